"""What is read from the courses: mould from emergence on, strain by its criteria, schedules by name."""

from __future__ import annotations

import math

import numpy as np
import pytest

from strandline.drying import forecast as forecasting
from strandline.drying import reading
from strandline.drying.reading import crossing, schedule_names, schedule_of, temperatures
from strandline.drying.stuff import Wood, stuff_of
from strandline.knowledge import kiln, timbers
from strandline.physics import engine
from strandline.physics.grid import STEEP_POWER
from strandline.physics.isotherm import moisture_at
from strandline.physics.mould import MouldState
from strandline.things.drying import MouldForecast, Stretch, WetBody
from tests.drying.cast import ask, body, cover, dried, strain_of

SCHEDULES = {name.lower() for name in kiln.species_names()}


def mould(wet: WetBody, rh: float = 0.5, temp_c: float = 20.0) -> MouldForecast:
    """Mould on a body within two weeks."""
    found = dried(wet, ask(temp_c, rh, days=14.0)).mould
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("wanted", "hour"), [(2.0, 0.0), (1.0, 0.0), (0.75, 1.0), (0.5, 2.0), (0.2, 5.0), (0.05, math.inf)]
)
def test_crossing(wanted: float, hour: float) -> None:
    """At once where it is there already, between samples by a line, never where it does not come down."""
    assert crossing(np.array([0.0, 2.0, 6.0]), np.array([1.0, 0.5, 0.1]), wanted) == pytest.approx(hour)


def test_temperature_of_the_interval() -> None:
    """Until a stretch ends it is its own; after the last one it stays."""
    room = (Stretch(10.0, 5.0, 0.5), Stretch(20.0, 25.0, 0.5))
    assert temperatures(room, np.array([0.0, 10.0, 10.5, 30.0])).tolist() == [5.0, 5.0, 25.0, 25.0]


def law_mould_counts_from_emergence() -> None:
    """Three and a half weeks wet at 20 degC are first growth on pine (6.8 d at 100 %, hukka-viitanen-1999),
    also on a board three times as slow; one that has lain so before now has it now, whatever follows."""
    fresh, late = mould(body(thickness_mm=3.0)), mould(body(thickness_mm=3.0, out_h=24 * 24.0))
    assert fresh.share_growing == 0.0
    assert late.share_growing == 1.0
    assert late.first_growth_h == (0.0, 0.0, 0.0)
    assert late.index_highest[0] > 1.0 > fresh.index_highest[2]


def test_mould_counts_from_emergence() -> None:
    law_mould_counts_from_emergence()


def test_a_clock_that_starts_now_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The days before the forecast forgotten."""
    grown = reading.grown
    monkeypatch.setattr(
        reading, "grown", lambda h, t, c, s, begin, pace: grown(h, t, c, s, MouldState(), pace)
    )
    with pytest.raises(AssertionError):
        law_mould_counts_from_emergence()


def test_the_rule_of_practice_stands_beside_the_model() -> None:
    """For clean wood it does not apply. Soiled and under a shut cover it is broken by all members, thin and
    open by none; the index is that of clean wood either way."""
    clean, soiled = (mould(body(cover=cover(), surfaces=surfaces)) for surfaces in ((), ("soiled",)))
    assert (clean.practice_applies, clean.practice_kept_share) == (False, 1.0)
    assert (soiled.practice_applies, soiled.practice_kept_share) == (True, 0.0)
    assert "beyond 48 h" in soiled.practice_says
    assert soiled.index_end == clean.index_end
    thin = mould(body(kind="cotton", thickness_mm=0.5, surfaces=("textile",)))
    assert (thin.practice_applies, thin.practice_kept_share) == (True, 1.0)


def test_hours_since_emergence_break_the_rule() -> None:
    """What was out for three days and is damp for some hours more was damp too long."""
    wet = {"kind": "cotton", "thickness_mm": 0.5, "surfaces": ("textile",)}
    assert mould(body(**wet)).practice_kept_share == 1.0
    assert mould(body(**wet, out_h=72.0)).practice_kept_share == 0.0


def test_a_surface_that_is_none_is_refused() -> None:
    """With those there are."""
    with pytest.raises(ValueError, match="surfaces: 'shiny' is not one of"):
        mould(body(surfaces=("shiny",)))


def test_mould_by_family() -> None:
    """Wood on the surface the model was fitted on; bone is harder to eat than cloth."""
    assert mould(body()).surface == "pine_resawn"
    assert mould(body(kind="bone")).surface == "medium_resistant"
    assert mould(body(kind="cotton")).surface == "sensitive"


def test_criteria_stand_side_by_side() -> None:
    """Bare pine: yield, warning and schedule; with paint gesso too; two limits differ by their ratio only."""
    bare, painted = dried(body()), dried(body(painted=True))
    assert [one.criterion for one in bare.strain] == ["yield_0.004", "warning_0.009", "kiln_envelope"]
    assert [one.criterion for one in painted.strain][-1] == "gesso_0.0025"
    assert [one.criterion for one in dried(body(coating="gesso")).strain][-1] == "gesso_0.0025"
    strict, late = strain_of(bare, "yield_0.004"), strain_of(bare, "warning_0.009")
    assert strict[1] == pytest.approx(late[1] * 9.0 / 4.0)
    assert not any("safe" in one.says for one in painted.strain)


def test_own_limit_carries_its_doubt() -> None:
    """Horn against its own limit, which is known to a factor: the band is at least as wide."""
    found = next(one for one in dried(body(kind="horn", thickness_mm=6.0)).strain)
    assert found.criterion == "own_limit"
    limit = stuff_of("horn").body.strain_limit  # type: ignore[union-attr]  # horn is another body
    assert limit is not None
    assert found.limit == limit.mid
    assert found.index[2] / found.index[0] > limit.high / limit.low


def test_thicker_and_drier_is_harder_on_it() -> None:
    """Strain rises with thickness and with the dryness of the room."""
    thin, thick = (strain_of(dried(body(thickness_mm=one)), "yield_0.004")[1] for one in (3.0, 30.0))
    damp, dry = (strain_of(dried(body(), ask(rh=rh)), "yield_0.004")[1] for rh in (0.8, 0.35))
    assert thin < thick
    assert damp < dry


@pytest.mark.parametrize(
    ("key", "names"),
    [
        ("eastern_white_pine", {"eastern white pine"}),
        ("northern_red_oak", {"red oak"}),
        ("american_beech", {"beech"}),
        ("butternut", {"butternut"}),
        ("sweetgum", set()),
        ("european_oak", set()),
    ],
)
def test_schedules_by_the_right_name(key: str, names: set[str]) -> None:
    """Its own name first, then what its key ends in; satin walnut is no walnut, and no oak is every oak."""
    assert schedule_names(timbers.timber(key), SCHEDULES) == names


def test_an_envelope_is_held_to_the_mildest_schedule() -> None:
    """Of red oak, beech and the rest, that which begins in the dampest air; thick boards to milder ones."""
    found = stuff_of("hardwood")
    assert isinstance(found, Wood)
    name, steps = schedule_of(found, body())
    assert name in SCHEDULES
    for one in timbers.envelope("hardwood").members:
        for other in schedule_names(timbers.timber(one), SCHEDULES):
            assert steps[0].emc >= kiln.schedule(other).steps[0].emc
    oak = stuff_of("red_oak")
    assert isinstance(oak, Wood)
    thick = schedule_of(oak, body(thickness_mm=50.0))[1]
    assert thick[0].emc >= schedule_of(oak, body(thickness_mm=25.0))[1][0].emc


def law_dry_is_dry_to_the_core() -> None:
    """A thick board after half a day in water: at the hour at which a member counts as dry no place in it is
    wetter than the target, as the engine has it when it is stopped there."""
    wet, question = body(thickness_mm=50.0, under_water_h=12.5, moisture=None), ask(days=200.0, members=8)
    case = forecasting.prepared(wet, question)
    assert isinstance(case, forecasting.Case)
    assert case.members is not None
    wanted = [moisture_at(one, question.target_rh) for one in case.members.isotherms]
    hours = forecasting.sample_hours(question.days)
    dried_all = engine.dry(case.members.bodies, hours.tolist(), strained=True)
    reached = reading.reached(dried_all, slice(0, 8), case.members, question)
    assert reached.hours is not None
    batch = engine.prepare(
        case.members.bodies, reached.hours[2] + 1.0, cells=engine.STRAIN_CELLS, power=STEEP_POWER
    )
    engine.run(batch, [reached.hours[2] + 1.0])
    deepest = batch.state[:, : engine.STRAIN_CELLS + 1].max(axis=1)
    # The hour is the 95th of a hundred members: of eight one may still be on its way.
    assert np.sum(deepest > np.array(wanted) + 1e-3) <= 1


def test_dry_is_dry_to_the_core() -> None:
    law_dry_is_dry_to_the_core()


def test_a_dry_face_over_a_wet_layer_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The wettest place left out, as of a body wet through."""
    monkeypatch.setattr(reading, "in_its_skin", lambda one: False)
    with pytest.raises(AssertionError):
        law_dry_is_dry_to_the_core()


def test_a_thick_board_is_not_dry_long_before_a_thin_one() -> None:
    """Half a day in water: the skins of both took up as much, and only the core of the thick one takes some
    of it."""
    found = [
        dried(body(kind="european_beech", thickness_mm=mm, under_water_h=12.5), ask(days=200.0)).target
        for mm in (25.0, 100.0)
    ]
    thin, thick = (one.hours for one in found if one)
    assert thin
    assert thick
    assert thick[1] > 0.4 * thin[1]
    assert thick[0] > 24.0
