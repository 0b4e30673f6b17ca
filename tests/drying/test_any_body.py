"""Whatever body within reason is asked about, the answer is a forecast of finite numbers in bands that rise,
or a refusal that says why."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.drying import reading
from strandline.drying.forecast import forecast
from strandline.knowledge import bodies, covers, timbers
from strandline.knowledge.wetting import wetting
from strandline.physics.mould import SOON_MOULDY
from strandline.things.drying import CoverState, DryingForecast, DryingQuestion, Gap, Stretch, WetBody
from tests.drying.cast import ask, body, dried

KINDS = (
    *bodies.bodies(),
    *timbers.FAMILIES,
    *timbers.wood_materials(),
    *bodies.standings(),
    *[one.key for one in timbers.timbers()][::9],
    "oak",
    "no such thing",
)
MAYBE_MM = st.none() | st.floats(5.0, 1500.0)
MASS_G = st.none() | st.floats(5.0, 20_000.0)


@st.composite
def some_covers(draw: st.DrawFn) -> CoverState:
    """A cover with up to two kinds of openings."""
    gaps = []
    for _ in range(draw(st.integers(0, 2))):
        length = draw(st.floats(2.0, 500.0))
        width = length if draw(st.booleans()) else draw(st.floats(0.5, length))
        place = draw(st.sampled_from(("side", "top", "bottom")))
        gaps.append(
            Gap("hole" if width == length else "slit", length, width, place, draw(st.integers(1, 20)))
        )
    area = draw(st.none() | st.floats(0.01, 10.0))
    return CoverState(
        draw(st.sampled_from(sorted(covers.covers()))),
        area,
        draw(st.none() | st.floats(0.1, 500.0)),
        tuple(gaps),
    )


@st.composite
def some_bodies(draw: st.DrawFn) -> WetBody:
    """Anything that may lie on a bench."""
    return WetBody(
        tag=str(draw(st.integers(1, 9999))),
        title="a thing",
        part="whole",
        kind=draw(st.sampled_from(KINDS)),
        kind_words="words",
        known_by=draw(st.sampled_from(("stated", "assumed", "family"))),
        shape=draw(st.sampled_from(("plane", "cylinder", "sphere"))),
        thickness_mm=draw(st.none() | st.floats(0.3, 200.0)),
        width_mm=draw(MAYBE_MM),
        length_mm=draw(MAYBE_MM),
        faces=draw(st.sampled_from((1, 2))),
        wet_mass_g=draw(MASS_G),
        dry_mass_g=draw(MASS_G),
        moisture=draw(st.none() | st.floats(0.0, 4.0)),
        under_water_h=draw(st.none() | st.floats(0.0, 2000.0)),
        out_h=draw(st.floats(0.0, 500.0)),
        coating=draw(st.sampled_from(sorted(wetting()["coating"]))),
        painted=draw(st.booleans()),
        surfaces=tuple(sorted(draw(st.sets(st.sampled_from(sorted(SOON_MOULDY)), max_size=3)))),
        cover=draw(st.none() | some_covers()),
    )


@st.composite
def some_questions(draw: st.DrawFn) -> DryingQuestion:
    """A room of one to three stretches, from cold to too warm."""
    ends = sorted(draw(st.sets(st.integers(6, 700), min_size=1, max_size=3)))
    room = tuple(Stretch(float(end), draw(st.floats(1.0, 40.0)), draw(st.floats(0.05, 1.0))) for end in ends)
    return DryingQuestion(
        room,
        draw(st.floats(0.1, 60.0)),
        draw(st.floats(0.2, 0.9)),
        draw(st.booleans()),
        5,
        draw(st.integers(1, 99)),
    )


def bands_of(found: DryingForecast) -> Iterator[tuple[float, float, float]]:
    """Every band of a forecast."""
    yield from found.numbers.values()
    if found.start_moisture:
        yield found.start_moisture
    if found.target:
        yield found.target.moisture
        if found.target.hours:
            yield found.target.hours
    for one in found.strain:
        yield from (one.index, one.at_h)
    if found.mould:
        yield from (found.mould.index_end, found.mould.index_highest)
        if found.mould.first_growth_h:
            yield found.mould.first_growth_h
    if found.series:
        for name in ("mean", "surface", "surface_rh", "cover_rh", "strain", "mass_g"):
            yield from getattr(found.series, name) or ()


def law_of_any_answer(found: DryingForecast) -> None:
    """All numbers finite, no band falls, nothing below 0, shares are shares, and it can be written down."""
    text = json.dumps(dataclasses.asdict(found), allow_nan=False)
    assert json.loads(text)["model"] in ("engine", "two_stage", "none")
    for low, mid, high in bands_of(found):
        assert math.isfinite(low)
        assert math.isfinite(high)
        assert low <= mid <= high
        assert low >= -1e-9
    shares = [one.share_over for one in found.strain]
    if found.target:
        shares.append(found.target.share)
    if found.mould:
        shares += [found.mould.share_growing, found.mould.practice_kept_share]
    assert all(0.0 <= one <= 1.0 for one in shares)
    if found.series:
        count = len(found.series.hours)
        for name in ("surface", "surface_rh", "cover_rh", "strain", "mass_g"):
            assert len(getattr(found.series, name) or ()) in (0, count)
        assert len(found.series.mean) == count
        for course in (found.series.surface_rh, found.series.cover_rh):
            assert all(high <= 1.0 + 1e-6 for _, _, high in course)


@settings(max_examples=120)
@given(wet=some_bodies(), question=some_questions())
def test_any_body_is_forecast_or_refused_with_a_reason(wet: WetBody, question: DryingQuestion) -> None:
    """Only values that cannot be, numbers out of range and keys that are not known are refused, in words."""
    try:
        found = list(forecast([wet], question))
    except (ValueError, KeyError) as refusal:
        said = str(refusal.args[0]) if refusal.args else ""
        assert len(said) > 10, said
        assert " " in said
        return
    assert len(found) == 1
    assert found[0].body == wet
    law_of_any_answer(found[0])


def test_a_number_that_is_none_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A course that ends in NaN, and one whose bands stand on their heads."""
    plain = reading._bands
    for wrong in (
        lambda values: plain(values * math.nan),
        lambda values: tuple(b[::-1] for b in plain(values)),
    ):
        monkeypatch.setattr(reading, "_bands", wrong)
        with pytest.raises((AssertionError, ValueError)):
            law_of_any_answer(dried(body(), ask(days=2.0)))


@pytest.mark.parametrize("kind", sorted(set(KINDS)))
def test_every_kind_can_be_asked_about(kind: str) -> None:
    """A thin plate of it for two days: an answer, never a refusal."""
    told: dict[str, Any] = {"kind": kind, "thickness_mm": 4.0}
    law_of_any_answer(dried(body(**told), ask(days=2.0, members=6)))
