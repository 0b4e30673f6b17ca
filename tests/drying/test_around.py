"""Film, coating and cover: in series, with the cover passing what it can and no more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strandline.drying import around as surrounding
from strandline.drying import forecast as forecasting
from strandline.drying.around import around
from strandline.drying.draws import band_of
from strandline.drying.shape import Size, size_of
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.vapour import diffusivity_schirmer_m2_s
from strandline.things.drying import CoverState, Gap, Stretch, WetBody
from tests.drying.cast import FOREVER_H, all_sure, ask, body, cover, draws, dried, series

TIGHT = cover()
SHEET_SD_M = 25.0
BLOCKS = (
    body(cover=TIGHT, moisture=1.2),
    body(cover=TIGHT, moisture=1.2, thickness_mm=60.0, width_mm=60.0, length_mm=120.0),
    body(cover=TIGHT, moisture=1.2, shape="sphere", thickness_mm=60.0, width_mm=None, length_mm=None),
    body(cover=TIGHT, moisture=1.2, shape="cylinder", thickness_mm=60.0, width_mm=None, length_mm=80.0),
    body(cover=TIGHT, moisture=1.2, faces=1),
)


def law_a_shut_cover_passes_what_its_sheet_does(wet: WetBody) -> None:
    """Day 2 to 4 of a soaked body in a shut bag of 0.3 m2: grams lost are D A / s_d rho (1 - 0.5) t, whatever
    its shape."""
    found = series(wet, ask(days=4.0, members=4))
    assert found.mass_g is not None
    first, last = found.hours.index(48.0), found.hours.index(96.0)
    lost = found.mass_g[first][1] - found.mass_g[last][1]
    by_hand = diffusivity_schirmer_m2_s(20.0) * 0.3 / SHEET_SD_M * saturation_density_kg_m3(20.0) * 0.5
    assert lost == pytest.approx(1000.0 * by_hand * 48 * 3600, rel=0.02)


@pytest.mark.parametrize("wet", BLOCKS, ids=["board", "block", "ball", "short rod", "one face"])
def test_a_shut_cover_passes_what_its_sheet_does(wet: WetBody, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every number at its middle."""
    all_sure(monkeypatch)
    law_a_shut_cover_passes_what_its_sheet_does(wet)


def test_a_cover_shared_out_over_the_wrong_area_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Over the whole surface of a block, of which the plane that stands for it has less."""

    def wrong(wet: WetBody, along: float) -> Size:
        found = size_of(wet, along)
        return replace(found, open_m2=found.area_m2)

    all_sure(monkeypatch)
    law_a_shut_cover_passes_what_its_sheet_does(BLOCKS[1])
    monkeypatch.setattr(forecasting, "size_of", wrong)
    with pytest.raises(AssertionError):
        law_a_shut_cover_passes_what_its_sheet_does(BLOCKS[1])


def law_coat_and_film_in_series() -> None:
    """Half the members of a varnished board: 1 / (1/h + s_d / D)."""
    wet = body(coating="varnish")
    found = around(wet, ask(), size_of(wet, 4.0), draws(400))
    by_hand = 1.0 / (1.0 / 0.0025 + 1.0 / diffusivity_schirmer_m2_s(20.0))
    assert band_of(found.surface_m_s)[1] == pytest.approx(by_hand, rel=0.05)
    assert found.regime == "open"


def test_coat_and_film_in_series() -> None:
    law_coat_and_film_in_series()


def test_a_coat_in_the_wrong_unit_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Air that lets a thousand times as much through."""
    monkeypatch.setattr(
        surrounding, "diffusivity_schirmer_m2_s", lambda temp_c: 1e3 * diffusivity_schirmer_m2_s(temp_c)
    )
    with pytest.raises(AssertionError):
        law_coat_and_film_in_series()


def test_a_fan_reaches_what_is_open_and_not_what_is_covered() -> None:
    """The film is thinner in the open; under a cover it is that of still air."""
    plain, covered = body(), body(cover=TIGHT)
    for wet, same in ((plain, False), (covered, True)):
        still, moved = (
            around(wet, ask(moving_air=moving), size_of(wet, 4.0), draws()).surface_m_s
            for moving in (False, True)
        )
        assert np.array_equal(still, moved) is same
        assert np.median(moved) >= np.median(still)


def test_a_cover_is_one_cover_for_all_stretches() -> None:
    """The member that has the loosest cover today has it tomorrow too."""
    wet = body(cover=cover(Gap("hole", 6.0, 6.0, "side", 4)))
    room = (Stretch(48.0, 8.0, 0.7), Stretch(96.0, 20.0, 0.4), Stretch(FOREVER_H, 15.0, 0.5))
    found = around(wet, ask(room=room), size_of(wet, 4.0), draws()).outer_m_s
    assert len(found) == 3
    order = np.argsort(found[0])
    assert all(np.array_equal(np.argsort(one), order) for one in found[1:])


def test_what_is_not_said_of_a_cover_is_assumed() -> None:
    """Its area and its air; neither if both were given."""
    given = dried(body(cover=TIGHT)).assumed
    assert not {"sheet_area_m2", "air_litres"} & {one.what for one in given}
    taken = dried(body(cover=CoverState("pe_100", None, None, ()))).assumed
    assert {"sheet_area_m2", "air_litres"} <= {one.what for one in taken}


def test_what_is_not_known_is_named() -> None:
    """Coating and sheet, with those there are; a gap that is none."""
    with pytest.raises(KeyError, match="coating 'tar' is not known; there are none, wax"):
        dried(body(coating="tar"))
    with pytest.raises(KeyError, match="cover 'foil' is not known; there are pe_25"):
        dried(body(cover=CoverState("foil", None, None, ())))
    with pytest.raises(ValueError, match="an opening is a"):
        dried(body(cover=cover(Gap("door", 10.0, 10.0, "side", 1))))
