"""The band is honest: every uncertain number reaches the answer, what is known narrows it, and it depends on
nothing but the body, the question and the seed."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from strandline.drying import draws as drawing
from strandline.drying import forecast as forecasting
from strandline.drying import members as membering
from strandline.drying.forecast import BODIES_AT_ONCE, forecast
from strandline.drying.start import start_band
from strandline.drying.stuff import Wood, stuff_of
from strandline.knowledge import timbers
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.things.drying import Band, DryingForecast, WetBody
from tests.drying.cast import PINE, all_sure, ask, body, cover, dried, hours, strain_of, target

LONG = ask(days=288.0)
MANY = tuple(
    body(tag=f"{number:04}", kind=kind, thickness_mm=4.0 + number % 7, painted=number % 3 == 0, cover=under)
    for number, kind, under in zip(
        range(BODIES_AT_ONCE + 4),
        (PINE, "bone", "brick", "iron", "leather_vegetable", "red_oak", "cotton") * 4,
        (None, None, None, None, cover()) * 6,
        strict=False,
    )
)


def plain(found: DryingForecast) -> str:
    """A forecast as text."""
    return json.dumps(dataclasses.asdict(found), sort_keys=True, allow_nan=False)


def wide(band: Band) -> float:
    """High over low."""
    return band[2] / band[0]


def law_a_body_does_not_feel_its_neighbours(bodies: Sequence[WetBody] = MANY) -> None:
    """Alone, in a list longer than is run at once, and in that list backwards: the same to the last digit."""
    question = ask(days=4.0, members=8)
    forward = {one.body.tag: plain(one) for one in forecast(bodies, question)}
    backward = {one.body.tag: plain(one) for one in forecast(bodies[::-1], question)}
    assert forward == backward
    for one in bodies[:: len(bodies) // 5]:
        assert plain(dried(one, question)) == forward[one.tag]


def test_a_body_does_not_feel_its_neighbours() -> None:
    law_a_body_does_not_feel_its_neighbours()


def test_draws_from_one_stream_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A generator that goes on from body to body."""
    stream = np.random.default_rng(5)
    monkeypatch.setattr(drawing.Draws, "_scores", lambda self, what: stream.normal(size=self.members))
    with pytest.raises(AssertionError):
        law_a_body_does_not_feel_its_neighbours(MANY[:6])


def test_the_seed_and_the_name_count() -> None:
    """The same twice; another with another seed, another tag, another part."""
    question = ask(days=4.0)
    one = dried(body(), question)
    assert plain(one) == plain(dried(body(), question))
    for other in (
        dried(body(), replace(question, seed=2)),
        dried(body(tag="9"), question),
        dried(body(part="lid"), question),
    ):
        assert other.series != one.series


CARRIED = (
    ("film_m_s", body(thickness_mm=3.0), "hours"),
    ("coating_sd_m", body(coating="varnish"), "hours"),
    ("cover_m_s", body(thickness_mm=3.0, cover=cover(sheet="board_box")), "hours"),
    ("start_moisture", body(), "hours"),
    ("basic_density_kg_m3", body(), "hours"),
    ("diffusivity_factor", body(), "hours"),
    ("sorption_factor", body(), "moisture"),
    ("shrinkage_tangential", body(), "strain"),
    ("fibre_saturation", body(), "strain"),
    ("easing_strain", body(), "strain"),
    ("dry_density_kg_m3", body(kind="bone", thickness_mm=4.0), "hours"),
    ("shrinkage_per_kg_kg", body(kind="bone", thickness_mm=4.0), "own strain"),
    ("strain_limit", body(kind="bone", thickness_mm=4.0), "own strain"),
)


def answer(found: DryingForecast, which: str) -> Band:
    """One of the bands of a forecast."""
    assert found.target
    assert found.target.hours
    if which == "hours":
        return found.target.hours
    if which == "moisture":
        return found.target.moisture
    return strain_of(found, "own_limit" if which == "own strain" else "yield_0.004")


@pytest.mark.parametrize(("name", "wet", "which"), CARRIED, ids=[one[0] for one in CARRIED])
def test_each_band_reaches_the_answer(
    name: str, wet: WetBody, which: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With every other number sure, the band of this one alone spreads the answer."""
    with monkeypatch.context() as sure:
        all_sure(sure)
        low, _, high = answer(dried(wet, LONG), which)
        assert high == pytest.approx(low, rel=1e-6)
    with monkeypatch.context() as sure:
        all_sure(sure, name)
        found = dried(wet, LONG)
        low, _, high = answer(found, which)
        assert high > 1.002 * low
    assert name in dried(wet, ask(days=1.0)).numbers


def law_a_wider_doubt_widens(factor: Band = (0.25, 1.0, 4.0)) -> None:
    """A diffusivity known to a factor of four instead of two."""
    before = wide(hours(body(), LONG))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(membering, "factor_of", lambda timber: replace(factor_of(timber), band=factor))
        assert wide(hours(body(), LONG)) > 1.3 * before


def test_a_wider_doubt_widens() -> None:
    law_a_wider_doubt_widens()


def test_a_doubt_left_out_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Members that all have the middle diffusivity."""
    monkeypatch.setattr(membering, "_scaled", lambda form, factor: form)
    with pytest.raises(AssertionError):
        law_a_wider_doubt_widens()


def law_a_weighing_narrows() -> None:
    """The start, and the moisture four days on: nothing known, weighed now, weighed now and before.

    The time to the target hardly narrows: it hangs on the diffusivity, of which one weighing says nothing.
    """
    states = (body(), body(wet_mass_g=700.0), body(wet_mass_g=700.0, dry_mass_g=374.0))
    found = [dried(one, LONG) for one in states]
    starts = [wide(one.start_moisture) for one in found if one.start_moisture]
    later = [wide(one.series.mean[one.series.hours.index(96.0)]) for one in found if one.series]
    times = [wide(one.target.hours) for one in found if one.target and one.target.hours]
    assert starts[0] > starts[1] > starts[2]
    assert later[0] > 1.2 * later[2]
    assert times[0] > 0.9 * times[2]


def test_a_weighing_narrows() -> None:
    law_a_weighing_narrows()


def test_a_weighing_that_is_not_used_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A start that knows of nothing."""
    ignored = start_band
    monkeypatch.setattr(
        forecasting, "start_band",
        lambda wet, *others: ignored(replace(wet, wet_mass_g=None, dry_mass_g=None), *others),
    )  # fmt: skip
    with pytest.raises(AssertionError):
        law_a_weighing_narrows()


def law_the_unknown_covers_what_it_may_be(kind: str = "oak") -> None:
    """Time to target of an oak of no known kind: not shorter than it may be nor longer, within a fifth (the
    numbers of an envelope are drawn apart, so its corners are rare), and about as wide as that of any. Looked
    at until the slowest oak is dry."""
    found = timbers.find(kind)
    assert found
    question = replace(LONG, days=900.0)
    unknown = hours(body(kind=kind, known_by="family", kind_words=kind), question)
    for member in found.members:
        one = hours(body(kind=member), question)
        assert unknown[0] <= one[0] / 0.8, member
        assert unknown[2] >= 0.8 * one[2], member
        assert wide(unknown) > 0.9 * wide(one), member


def test_the_unknown_covers_what_it_may_be() -> None:
    law_the_unknown_covers_what_it_may_be()


def test_an_envelope_that_is_its_first_member_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The unknown taken as the lightest kind there is."""
    sole = replace(timbers.timber("balsa") if "balsa" in timbers._by_key() else timbers.timber(PINE))
    plain_stuff = stuff_of
    monkeypatch.setattr(
        forecasting, "stuff_of",
        lambda kind: Wood(sole) if kind == "oak" else plain_stuff(kind),
    )  # fmt: skip
    with pytest.raises(AssertionError):
        law_the_unknown_covers_what_it_may_be()


def test_every_group_and_family_can_be_asked_about() -> None:
    """The heaviest draw of the heaviest wood is still wood: no name people write ends in a refusal."""
    question = ask(days=2.0, members=64)
    for kind in (*timbers.FAMILIES, timbers.ANY, *(one.names[0] for one in timbers.groups())):
        found = dried(body(kind=kind, thickness_mm=3.0, known_by="family", kind_words=kind), question)
        assert found.model == "engine", kind


def test_target_semantics() -> None:
    """Already there: 0 h. Never: none, with a share. Between: a band that rises and a share of one."""
    there = target(body(moisture=0.05), ask())
    assert there.hours == (0.0, 0.0, 0.0)
    assert there.share == 1.0
    never = target(body(), ask(rh=0.9, target_rh=0.6))
    assert never.hours is None
    assert never.share == 0.0
    between = target(body(thickness_mm=5.0), ask())
    assert between.hours
    assert between.hours[0] < between.hours[1] < between.hours[2] < 720.0
    assert between.share == 1.0
    assert between.moisture[0] < between.moisture[1] < between.moisture[2]


def test_those_who_do_not_arrive_count_as_the_end() -> None:
    """Some arrive within the days looked at: the share says so and the high end is the end."""
    found = next(
        one
        for days in (4.0, 6.0, 8.0, 10.0, 12.0, 15.0)
        if 0.5 < (one := target(body(thickness_mm=12.0), ask(days=days, members=40))).share < 0.95
    )
    assert found.hours
    assert found.hours[2] in [24.0 * days for days in (4.0, 6.0, 8.0, 10.0, 12.0, 15.0)]
