"""Diffusivity of vapour in air: the forms against each other, their trends and their ranges."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import vapour
from strandline.physics.ranges import OutOfRange

Form = Callable[[float, float], float]
FORMS: list[Form] = [
    vapour.diffusivity_schirmer_m2_s,
    vapour.diffusivity_marrero_mason_m2_s,
    vapour.diffusivity_massman_m2_s,
]
PERMEABILITIES: list[Form] = [
    vapour.permeability_schirmer_kg_m_s_pa,
    vapour.permeability_kuenzel_kg_m_s_pa,
    vapour.permeability_marrero_mason_kg_m_s_pa,
]


def check_trend(form: Form, temp_c: float, pressure_pa: float, power: float) -> None:
    """Rises with temperature to a power between 1.7 and 2.1 (one less for permeability), falls as 1/p."""
    step = math.log((temp_c + 274.15) / (temp_c + 273.15))
    found = math.log(form(temp_c + 1.0, pressure_pa) / form(temp_c, pressure_pa)) / step
    assert found == pytest.approx(power, abs=0.2)
    assert form(temp_c, 0.5 * pressure_pa) == pytest.approx(2.0 * form(temp_c, pressure_pa), rel=1e-9)


@given(temp_c=st.floats(9.0, 98.0), pressure_pa=st.floats(60000.0, 110000.0))
@settings(max_examples=60)
@pytest.mark.parametrize(("forms", "power"), [(FORMS, 1.9), (PERMEABILITIES, 0.9)])
def test_trend(forms: list[Form], power: float, temp_c: float, pressure_pa: float) -> None:
    """All forms."""
    for form in forms:
        check_trend(form, temp_c, pressure_pa, power)


def test_wrong_trends_are_caught() -> None:
    """Another power; pressure that does not count; a diffusivity passed off as permeability."""
    for wrong in (
        lambda t, p: 2.4e-5 * ((t + 273.15) / 293.15) ** 1.5 * 101325.0 / p,
        lambda t, p: 2.4e-5 * ((t + 273.15) / 293.15) ** 1.9,
    ):
        with pytest.raises(AssertionError):
            check_trend(wrong, 20.0, 101325.0, 1.9)
    with pytest.raises(AssertionError):
        check_trend(vapour.diffusivity_schirmer_m2_s, 20.0, 101325.0, 0.9)


@pytest.mark.parametrize("temp_c", [9.0, 15.0, 20.0, 25.0, 30.0, 40.0])
def test_forms_disagree_by_as_much_as_is_said(temp_c: float) -> None:
    """Schirmer lies 6 to 10 % above Marrero and Mason, and 5 to 7 % above Massman."""
    high = vapour.diffusivity_schirmer_m2_s(temp_c)
    assert 1.06 < high / vapour.diffusivity_marrero_mason_m2_s(temp_c) < 1.10
    assert 1.05 < high / vapour.diffusivity_massman_m2_s(temp_c) < 1.07


@given(temp_c=st.floats(-39.0, 99.0))
@settings(max_examples=60)
def test_band_holds_every_form_that_applies(temp_c: float) -> None:
    """Its ends are forms, and no form lies outside."""
    low, high = vapour.diffusivity_band_m2_s(temp_c)
    values = [vapour.diffusivity_schirmer_m2_s(temp_c), vapour.diffusivity_massman_m2_s(temp_c)]
    if temp_c >= 8.85:
        values.append(vapour.diffusivity_marrero_mason_m2_s(temp_c))
    assert (low, high) == (min(values), max(values))
    assert low < high


@pytest.mark.parametrize("temp_c", [-20.0, 0.0, 20.0, 60.0])
def test_permeability_and_diffusivity_are_one(temp_c: float) -> None:
    """Kuenzel's short form within 3 % of Schirmer's; Marrero and Mason's by the ideal gas."""
    schirmer = vapour.permeability_schirmer_kg_m_s_pa(temp_c)
    assert vapour.permeability_kuenzel_kg_m_s_pa(temp_c) == pytest.approx(schirmer, rel=0.03)
    kelvin = temp_c + 273.15
    assert schirmer * 461.52 * kelvin == pytest.approx(vapour.diffusivity_schirmer_m2_s(temp_c), rel=1e-12)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: vapour.diffusivity_marrero_mason_m2_s(8.0), "temp_c"),
        (lambda: vapour.diffusivity_schirmer_m2_s(101.0), "temp_c"),
        (lambda: vapour.diffusivity_massman_m2_s(math.nan), "temp_c"),
        (lambda: vapour.permeability_kuenzel_kg_m_s_pa(20.0, 0.0), "pressure_pa"),
        (lambda: vapour.permeability_from_diffusivity_kg_m_s_pa(-1e-6, 20.0), "diffusivity_m2_s"),
    ],
)
def test_refusals(asked: Callable[[], float], told: str) -> None:
    """Outside its range a form refuses and names the quantity."""
    with pytest.raises(OutOfRange, match=told):
        asked()
