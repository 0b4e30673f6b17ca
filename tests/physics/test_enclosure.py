"""Covers: between body and room, ordered, invertible; each rule is shown to catch a wrong engine."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import enclosure
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.enclosure import Climate, Cover, Sheet
from strandline.physics.openings import Band, hole, slit
from strandline.physics.ranges import OutOfRange

BAG = Cover(Sheet("bag", 10.0, 20.0, 40.0), 1.0, 0.1)
CLIMATE = Climate(20.0, 0.5, 20.0, 0.95)
conductances = st.floats(1e-7, 1e-2)
shares = st.floats(0.0, 1.0)


def check_between(cover_rh: Callable[[float, float, float, float], float], *given_: float) -> None:
    """The air of a cover lies between body and room, and what the body gives leaves."""
    body_rh, room_rh, body, outer = given_
    inside = cover_rh(body_rh, room_rh, body, outer)
    assert min(body_rh, room_rh) - 1e-12 <= inside <= max(body_rh, room_rh) + 1e-12
    assert math.isclose(body * (body_rh - inside), outer * (inside - room_rh), rel_tol=1e-6, abs_tol=1e-15)


@given(body_rh=shares, room_rh=shares, body=conductances, outer=conductances)
@settings(max_examples=80)
def test_between(body_rh: float, room_rh: float, body: float, outer: float) -> None:
    """The steady state."""
    check_between(enclosure.cover_rh, body_rh, room_rh, body, outer)


def test_between_catches_swapped_sides() -> None:
    """An engine with body and outside exchanged."""
    with pytest.raises(AssertionError):
        check_between(lambda b, r, g, o: enclosure.cover_rh(b, r, o, g), 1.0, 0.5, 0.0015, 3e-6)


def test_wet_body_keeps_the_air_full_whatever_the_openings() -> None:
    """The openings set the pace: a hundredfold opening, the same air, a hundredfold loss."""
    small, large = (enclosure.cover_rh(1.0, 0.5, 0.0015, g) for g in (1e-7, 1e-5))
    assert min(small, large) > 0.995
    losses = [enclosure.loss_kg_s(g, 20.0, h, 0.5) for g, h in ((1e-7, small), (1e-5, large))]
    assert math.isclose(losses[1] / losses[0], 100.0, rel_tol=0.01)


@given(start=shares, outer=conductances, seconds=st.floats(0.0, 1e5))
@settings(max_examples=50)
def test_change_goes_one_way_to_the_end(start: float, outer: float, seconds: float) -> None:
    """Between start and steady state, nearer the longer."""
    end = enclosure.cover_rh(0.9, 0.5, 1e-3, outer)
    now = enclosure.rh_after_s(start, 0.9, 0.5, 1e-3, outer, 0.1, seconds)
    later = enclosure.rh_after_s(start, 0.9, 0.5, 1e-3, outer, 0.1, 2.0 * seconds + 1.0)
    assert abs(later - end) <= abs(now - end) + 1e-12
    assert abs(now - end) <= abs(start - end) + 1e-12


def test_time_constant_is_two_thirds() -> None:
    """After one time constant 63 % of the change is made."""
    tau = enclosure.time_constant_s(0.1, 1e-3, 1e-4)
    end = enclosure.cover_rh(1.0, 0.5, 1e-3, 1e-4)
    reached = enclosure.rh_after_s(0.5, 1.0, 0.5, 1e-3, 1e-4, 0.1, tau)
    assert math.isclose((reached - 0.5) / (end - 0.5), 1.0 - math.exp(-1.0))


@given(sd=st.floats(0.01, 1e4), temp_c=st.floats(5.0, 40.0), drh=st.floats(0.05, 1.0))
@settings(max_examples=50)
def test_packaging_figure_and_thickness_are_inverse(sd: float, temp_c: float, drh: float) -> None:
    """Round trip."""
    flux = enclosure.film_flux_g_m2_day(sd, temp_c, drh)
    if 1e-3 <= flux <= 5000.0:
        assert math.isclose(enclosure.sd_from_transmission_m(flux, temp_c, drh), sd, rel_tol=1e-9)


def test_three_ways_to_a_still_air_thickness_agree() -> None:
    """Permeance, resistance and resistance factor of one film, within 5 %."""
    by_permeance = enclosure.sd_from_permeance_m(4e-12)
    by_resistance = enclosure.sd_from_resistance_m(1.0 / 4e-12 / 1e9)
    assert math.isclose(by_permeance, by_resistance, rel_tol=0.05)
    assert math.isclose(enclosure.sd_from_mu_m(by_resistance / 1e-4, 1e-4), by_resistance)


def test_conductance_is_what_the_flux_needs() -> None:
    """Flux = conductance x rho_sat x difference, for the whole loss over the area of the body."""
    per_m2 = enclosure.outer_conductance(BAG, 0.5, CLIMATE)
    whole = enclosure.outer_band_m3_s(BAG, CLIMATE)
    flux = per_m2.mid * saturation_density_kg_m3(20.0) * (0.95 - 0.5)
    assert math.isclose(flux * 0.5, enclosure.loss_kg_s(whole.mid, 20.0, 0.95, 0.5))


def check_counts(openings_for: Callable[..., enclosure.Counts]) -> None:
    """The likely number, put into the cover, gives the conductance wanted within one opening."""
    one = hole(0.006, 0.0002, "side")
    counts = openings_for(1.2e-5, 0.5, BAG, one, CLIMATE)
    assert 0 <= counts.few <= counts.likely <= counts.many
    with_them = Cover(BAG.sheet, 1.0, 0.1, (hole(0.006, 0.0002, "side", counts.likely),))
    each = enclosure.outer_conductance(with_them, 0.5, CLIMATE).mid / 1.2e-5
    assert abs(each - 1.0) < 0.03


def test_counts() -> None:
    """The inverse."""
    check_counts(enclosure.openings_for)


def test_counts_catch_a_forgotten_sheet() -> None:
    """An engine that leaves out what the sheet passes asks for too many."""

    def forgetful(
        wanted: float, area: float, cover: Cover, one: object, climate: Climate
    ) -> enclosure.Counts:
        tight = Cover(Sheet("tight", 1e5, 1e5, 1e5), cover.sheet_area_m2, cover.air_volume_m3)
        return enclosure.openings_for(wanted, area, tight, hole(0.006, 0.0002, "side"), climate)

    with pytest.raises(AssertionError):
        check_counts(forgetful)


def test_a_sheet_that_passes_enough_needs_no_holes() -> None:
    """Cotton."""
    cloth = Cover(Sheet("cloth", 0.001, 0.003, 0.01), 1.0, 0.1)
    counts = enclosure.openings_for(1e-5, 0.5, cloth, hole(0.006, 0.0, "side"), CLIMATE)
    assert (counts.likely, counts.sheet_alone_suffices) == (0, True)


def test_opening_adds_to_the_sheet() -> None:
    """All three ends grow by a seam left open."""
    shut, ajar = (
        enclosure.outer_band_m3_s(Cover(BAG.sheet, 1.0, 0.1, seam), CLIMATE)
        for seam in ((), (slit(0.1, 0.005, 0.001, "side"),))
    )
    assert shut.low < ajar.low
    assert shut.mid < ajar.mid
    assert shut.high < ajar.high


def test_night() -> None:
    """The air alone drops a thimble; the wet body feeds a hundred times more; no cold, no water."""
    alone = enclosure.air_condensed_kg(0.1, 18.0, 0.98, 10.0)
    fed = enclosure.night_condensed_kg(18.0, 1.0, 0.0015, 10.0, 1.0, 10.0)
    assert 0.0 < 100.0 * alone < fed
    assert enclosure.night_condensed_kg(18.0, 1.0, 0.0015, 18.5, 1.0, 10.0) == 0.0
    assert enclosure.air_condensed_kg(0.1, 18.0, 0.5, 17.0) == 0.0


@given(one=conductances, two=conductances)
@settings(max_examples=30)
def test_series_below_each_parallel_above_each(one: float, two: float) -> None:
    """Resistances and conductances add."""
    assert enclosure.series_m3_s([one, two]) < min(one, two)
    assert enclosure.parallel_m3_s([one, two]) > max(one, two)


def test_bands_add() -> None:
    """And an empty list is refused."""
    with pytest.raises(ValueError, match="no band"):
        enclosure.total_band([])
    assert enclosure.total_band([Band(1.0, 2.0, 3.0, "a", "b")]).high == 3.0


def test_refusals() -> None:
    """Crossed bands of a sheet, humidities above one, nothing to divide by."""
    with pytest.raises(OutOfRange):
        Sheet("crossed", 10.0, 5.0, 20.0)
    with pytest.raises(OutOfRange):
        enclosure.cover_rh(1.2, 0.5, 1e-3, 1e-3)
    with pytest.raises(OutOfRange):
        enclosure.cover_rh(1.0, 0.5, 0.0, 0.0)
