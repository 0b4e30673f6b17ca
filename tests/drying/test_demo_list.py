"""Every body of the demo's list can be reckoned, also under a cover and in a room that changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from strandline.cli.shared import open_work
from strandline.drying.forecast import forecast
from strandline.pipeline.drying import Asked, bodies_of
from strandline.pipeline.lists import Tally, plans
from strandline.things.drying import CoverState, DryingQuestion, Gap, Stretch
from tests.cli.run import AS_OF, demo_file

COVER = CoverState("pe_100", None, None, (Gap("hole", 6.0, 6.0, "side", 4),))
ROOM = (Stretch(72.0, 18.0, 0.6), Stretch(720.0, 0.0, 0.85))


@pytest.mark.parametrize("cover", [None, COVER], ids=["open", "covered"])
def test_every_body_of_the_demos_list_can_be_reckoned(tmp_path: Path, cover: CoverState | None) -> None:
    """None is out of the range of an equation; of most the thickness is what such things usually have."""
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    work = open_work(listed, AS_OF, site, (), None)
    bodies = [
        one.body
        for facts, plan in plans(work.opened.rows, work.engine, work.site, Tally(problems=[]))
        for one in bodies_of(facts, plan, work.site.as_of, cover)
        if isinstance(one, Asked)
    ]
    found = list(forecast(bodies, DryingQuestion(ROOM, 10.0, 0.7, members=4)))
    assert [one.body for one in found] == bodies
    usual = [one for one in found if one.body.thickness_band_mm is not None]
    assert len(usual) > 0.8 * len(found)
    assert all("thickness_assumed" in {flag.key for flag in one.flags} for one in usual)
    assert {one.model for one in usual} == {"engine", "two_stage"}
