"""Makes the rows of air.csv, vapour.csv, surface.csv and films.csv that come from libraries or solvers.

Rows typed from pages stay as they are; rows this script made before are replaced.
Needs psychrolib 2.5.0 (no wheel, so it is not in the test lock), CoolProp 8.0.0, ht 1.2.0, cantera 3.2.0 and
SciPy 1.17.

Tolerances: psychrolib has the same equations, so they are those of rounding. CoolProp has real gas,
so they are the effects left out on purpose: 1 % of the humidity ratio (enhancement factor), 0.03 K, 0.1 % of
volume.
Correlations of others (ht) carry the spread stated for such correlations, 5 to 20 %.

Run: PYTHONPATH=. python tests/reference/make/air.py
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cantera
import CoolProp.HumidAirProp as real_air
import ht
import psychrolib
from CoolProp.CoolProp import HAProps_Aux, PropsSI
from scipy.integrate import quad, solve_bvp, solve_ivp
from scipy.optimize import brentq, fsolve

FOLDER = Path(__file__).parent.parent
COLUMNS = ("quantity", "inputs", "value", "unit", "tolerance", "source", "place", "how", "note", "miss")
PSYCHRO, COOL, HT = "library:psychrolib 2.5.0", "library:CoolProp 8.0.0", "library:ht 1.2.0"
CANTERA = "library:cantera 3.2.0"
MINE = (PSYCHRO, COOL, HT, CANTERA, "solvers")
P0 = 101325.0
Rows = list[tuple[str, ...]]
psychrolib.SetUnitSystem(psychrolib.SI)


def row(
    quantity: str,
    inputs: str,
    value: float,
    unit: str,
    tolerance: str,
    how: str,
    note: str = "",
    miss: str = "",
) -> tuple[str, ...]:
    """One line of a file."""
    key = how.partition(":")[2].partition(" ")[0].lower() or "solver-scipy"
    return (quantity, inputs, f"{value:.7g}", unit, tolerance, key, "", how, note, miss)


def air_by_psychrolib() -> Rows:
    """The equations of the handbook in another hand."""
    p = psychrolib
    rows = [
        row("air.saturation_pressure_pa", f"temp_c={t}", p.GetSatVapPres(t), "Pa", "0.05%", PSYCHRO)
        for t in (-60.0, -20.0, -5.0, 5.0, 20.0, 60.0, 120.0)
    ]
    states = (
        (20.0, 0.5, P0), (25.0, 0.8, P0), (-10.0, 0.8, P0), (-2.0, 0.4, 84556.0), (5.0, 0.95, 95000.0),
        (35.0, 0.3, P0), (60.0, 0.5, P0), (80.0, 0.2, 70108.4),
    )  # fmt: skip
    kinds: list[tuple[str, Callable[[float, float, float], float], str, str, int]] = [
        ("humidity_ratio", p.GetHumRatioFromRelHum, "kg/kg", "0.1%", 8),
        ("wet_bulb_c", p.GetTWetBulbFromRelHum, "degC", "0.03", 8),
        (
            "enthalpy_kj_kg",
            lambda t, rh, pa: p.GetMoistAirEnthalpy(t, p.GetHumRatioFromRelHum(t, rh, pa)) / 1000.0,
            "kJ/kg", "0.1", 6,
        ),
        (
            "specific_volume_m3_kg",
            lambda t, rh, pa: p.GetMoistAirVolume(t, p.GetHumRatioFromRelHum(t, rh, pa), pa),
            "m3/kg", "0.1%", 5,
        ),
        (
            "density_kg_m3",
            lambda t, rh, pa: p.GetMoistAirDensity(t, p.GetHumRatioFromRelHum(t, rh, pa), pa),
            "kg/m3", "0.1%", 5,
        ),
    ]  # fmt: skip
    for name, of, unit, tolerance, count in kinds:
        for t, rh, pa in states[:count]:
            inputs = f"temp_c={t};rh={rh};pressure_pa={pa}"
            rows.append(row(f"air.{name}", inputs, of(t, rh, pa), unit, tolerance, PSYCHRO))
    for t, rh, _ in (*states[:3], *states[5:]):
        dew = p.GetTDewPointFromRelHum(t, rh)
        rows.append(row("air.dew_point_c", f"temp_c={t};rh={rh}", dew, "degC", "0.03", PSYCHRO))
    for t, wet, pa in (
        (43.333, 41.111, P0),
        (54.444, 32.222, P0),
        (30.0, 25.0, 95461.0),
        (-1.0, -5.0, 95461.0),
    ):
        rh = p.GetRelHumFromTWetBulb(t, wet, pa)
        inputs = f"temp_c={t};wet_bulb_c={wet};pressure_pa={pa}"
        rows.append(row("air.rh_from_wet_bulb", inputs, rh, "1", "0.002", PSYCHRO))
    return rows


def air_by_coolprop() -> Rows:
    """Real gas: the international formulation for water, virial coefficients for moist air."""
    rows = []
    for t in (0.01, 5.0, 20.0, 40.0, 80.0, 100.0):
        value = PropsSI("P", "T", t + 273.15, "Q", 0, "Water")
        rows.append(row("air.saturation_pressure_pa", f"temp_c={t}", value, "Pa", "0.05%", COOL))
        rows.append(row("air.wagner_pressure_pa", f"temp_c={t}", value, "Pa", "0.02%", COOL))
    for t in (-40.0, -20.0, -5.0):
        value = HAProps_Aux("p_ws", t + 273.15, P0, 0)[0]
        rows.append(row("air.saturation_pressure_pa", f"temp_c={t}", value, "Pa", "0.05%", COOL, "over ice"))
    for t, rh, pa in (
        (20.0, 0.5, P0), (30.0, 0.9, P0), (25.0, 0.5, 84556.0), (60.0, 0.5, P0),
        (-10.0, 0.8, P0), (5.0, 0.8, P0),
    ):  # fmt: skip
        state = ("T", t + 273.15, "P", pa, "R", rh)
        inputs = f"temp_c={t};rh={rh};pressure_pa={pa}"
        ratio = real_air.HAPropsSI("W", *state)
        rows.append(row("air.humidity_ratio", inputs, ratio, "kg/kg", "1%", COOL, "real gas"))
        if t >= 0.0:
            wet = real_air.HAPropsSI("B", *state) - 273.15
            rows.append(row("air.wet_bulb_c", inputs, wet, "degC", "0.03", COOL, "real gas"))
            volume = real_air.HAPropsSI("Vda", *state)
            rows.append(row("air.specific_volume_m3_kg", inputs, volume, "m3/kg", "0.1%", COOL, "real gas"))
        dew = real_air.HAPropsSI("D", *state) - 273.15
        rows.append(row("air.dew_point_c", f"temp_c={t};rh={rh}", dew, "degC", "0.03", COOL, "real gas"))
    for t in (1.0, 20.0, 40.0, 80.0):
        kelvin = t + 273.15
        latent = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
        rows.append(row("air.latent_heat_j_kg", f"temp_c={t}", latent, "J/kg", "0.05%", COOL))
        density = PropsSI("D", "T", kelvin, "Q", 0, "Water")
        rows.append(row("air.water_density_kg_m3", f"temp_c={t}", density, "kg/m3", "0.01%", COOL))
    return rows


def vapour_rows() -> Rows:
    """Kinetic theory in trace amounts; its parameters were fitted for flames."""
    gas = cantera.Solution("gri30.yaml")
    rows = []
    for t in (20.0, 80.0):
        gas.TPX = t + 273.15, P0, "N2:0.78084,O2:0.20946,AR:0.0093,H2O:1e-6"
        value = gas.mix_diff_coeffs[gas.species_index("H2O")]
        note = "mechanism GRI 3.0, trace of vapour; tolerance: the disagreement of the literature"
        miss = "kinetic theory with parameters made for flames lies 10 to 14 % lower"
        rows.append(
            row(
                "vapour.diffusivity_marrero_mason_m2_s",
                f"temp_c={t}",
                value,
                "m2/s",
                "8%",
                CANTERA,
                note,
                miss,
            )
        )
    return rows


def surface_temp_two_ways(k: float, h: float, t: float, rh: float) -> float:
    """Energy balance by bracketing and by a quasi-Newton search, properties of psychrolib and CoolProp."""
    room = rh * psychrolib.GetSatVapPres(t) / (461.52 * (t + 273.15))

    def surplus(surface: float) -> float:
        there = psychrolib.GetSatVapPres(surface) / (461.52 * (surface + 273.15))
        kelvin = surface + 273.15
        latent = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
        return float(latent * k * (there - room) - h * (t - surface))

    one = brentq(surplus, 0.5, t + 5.0, xtol=1e-10)
    two = float(fsolve(lambda x: surplus(float(x[0])), [t - 1.0], xtol=1e-12)[0])
    assert abs(one - two) < 1e-6
    return float(one)


def surface_rows() -> Rows:
    """Properties of air, correlations in another hand, the energy balance by two searches."""
    rows = []
    for t in (-20.0, 20.0, 60.0):
        kelvin = t + 273.15
        note = "tolerance: the uncertainty stated for the library's correlation"
        mu = PropsSI("V", "T", kelvin, "P", P0, "Air")
        rows.append(row("surface.air_viscosity_pa_s", f"temp_c={t}", mu, "Pa s", "1%", COOL, note))
        lam = PropsSI("L", "T", kelvin, "P", P0, "Air")
        rows.append(row("surface.air_conductivity_w_m_k", f"temp_c={t}", lam, "W/(m K)", "2%", COOL, note))
    for re, sc, method, tolerance in (
        (500.0, 0.6, "Baehr", "0.1%"), (2e4, 0.71, "Baehr", "0.1%"), (4e5, 0.58, "Baehr", "0.1%"),
        (2e4, 0.71, "Churchill Ozoe", "5%"), (3e6, 0.71, "Schlichting", "15%"),
        (2e7, 0.6, "Schlichting", "15%"),
    ):  # fmt: skip
        if method == "Schlichting":
            value = ht.conv_external.Nu_horizontal_plate_turbulent_Schlichting(re, sc)
        elif method == "Baehr":
            value = ht.conv_external.Nu_horizontal_plate_laminar_Baehr(re, sc)
        else:
            value = ht.conv_external.Nu_horizontal_plate_laminar_Churchill_Ozoe(re, sc)
        miss = "the two ways to carry Prandtl's number part by 18 % here" if re > 1e7 else ""
        inputs = f"reynolds={re};schmidt={sc}"
        rows.append(row("surface.plate_sherwood", inputs, value, "1", tolerance, HT, method, miss))
    for ra, sc in ((1e3, 0.6), (1e5, 0.71), (1e8, 0.58), (1e10, 0.71)):
        value = ht.conv_free_immersed.Nu_vertical_plate_Churchill(sc, ra / sc)
        inputs = f"rayleigh={ra};schmidt={sc}"
        rows.append(
            row(
                "surface.still_vertical_churchill_sherwood",
                inputs,
                value,
                "1",
                "0.1%",
                HT,
                "Churchill and Chu",
            )
        )
        if 1e4 < ra < 1e9:
            rows.append(
                row(
                    "surface.still_vertical_sherwood",
                    f"rayleigh={ra}",
                    value,
                    "1",
                    "20%",
                    HT,
                    "Churchill and Chu",
                )
            )
    for ra, rising in ((5e4, 1), (1e6, 1), (1e9, 1), (1e6, 0), (1e9, 0)):
        value = ht.conv_free_immersed.Nu_horizontal_plate_McAdams(0.7, ra / 0.7, buoyancy=bool(rising))
        inputs = f"rayleigh={ra};rising={rising}"
        rows.append(row("surface.still_horizontal_sherwood", inputs, value, "1", "0.1%", HT, "McAdams"))
    for k, h, t, rh in ((0.005, 5.3, 20.0, 0.5), (0.00221, 8.0, 20.0, 0.5), (0.0007, 8.0, 30.0, 0.4)):
        inputs = f"conductance_m_s={k};heat_transfer_w_m2_k={h};temp_c={t};rh={rh}"
        value = surface_temp_two_ways(k, h, t, rh)
        note = "two searches of SciPy 1.17 with the properties of psychrolib 2.5.0 and CoolProp 8.0.0"
        rows.append(row("surface.surface_temp_c", inputs, value, "degC", "0.02", "solvers", note))
    return rows


def stefan_by_solvers(depth: float, t: float, rh: float, pa: float, diffusivity: float) -> float:
    """Vapour flux through still air: boundary-value problem, and quadrature of the same balance."""
    full = psychrolib.GetSatVapPres(t)
    gas = 461.52 * (t + 273.15)
    scale = pa * diffusivity / (gas * depth)

    def slope(_x: Any, y: Any, n: Any) -> list[Any]:
        return [-n[0] * (1.0 - y[0])]

    def ends(left: Any, right: Any, n: Any) -> list[Any]:
        return [left[0] - full / pa, right[0] - rh * full / pa]

    grid = [i / 50.0 for i in range(51)]
    start = [[full / pa + (rh - 1.0) * full / pa * x for x in grid]]
    found = solve_bvp(slope, ends, grid, start, p=[0.01], tol=1e-9)
    assert found.success
    other = quad(lambda y: 1.0 / (1.0 - y), rh * full / pa, full / pa)[0]
    assert math.isclose(found.p[0], other, rel_tol=1e-6)
    return float(scale * other)


def films_rows() -> Rows:
    """Surface tension and films of real gas; diffusion and the falling meniscus by solvers."""
    rows = []
    for t in (1.0, 20.0, 40.0, 80.0):
        value = PropsSI("I", "T", t + 273.15, "Q", 0, "Water")
        rows.append(row("films.surface_tension_n_m", f"temp_c={t}", value, "N/m", "0.5%", COOL))
    for t, rh in ((20.0, 0.5), (30.0, 0.4), (20.0, 0.8), (50.0, 0.1)):
        wet = psychrolib.GetTWetBulbFromRelHum(t, rh, P0)
        room = rh * psychrolib.GetSatVapPres(t) / (461.52 * (t + 273.15))
        mass = 1e-4 * PropsSI("D", "T", t + 273.15, "Q", 0, "Water")
        inputs = f"film_m=1e-4;conductance_m_s=0.005;temp_c={t};rh={rh}"
        for which, surface in (("isothermal", t), ("adiabatic", wet)):
            there = psychrolib.GetSatVapPres(surface) / (461.52 * (surface + 273.15))
            hours = mass / (0.005 * (there - room)) / 3600.0
            rows.append(row(f"films.film_drying_{which}_h", inputs, hours, "h", "0.5%", PSYCHRO))
    for t, rh in ((20.0, 0.5), (30.0, 0.4)):
        state = ("T", t + 273.15, "P", P0, "R", rh)
        room = real_air.HAPropsSI("W", *state) / real_air.HAPropsSI("Vda", *state)
        mass = 1e-4 * PropsSI("D", "T", t + 273.15, "Q", 0, "Water")
        inputs = f"film_m=1e-4;conductance_m_s=0.005;temp_c={t};rh={rh}"
        wet = real_air.HAPropsSI("B", *state)
        for which, kelvin, tolerance in (("isothermal", t + 273.15, "1%"), ("adiabatic", wet, "2%")):
            full = ("T", kelvin, "P", P0, "R", 1.0)
            there = real_air.HAPropsSI("W", *full) / real_air.HAPropsSI("Vda", *full)
            hours = mass / (0.005 * (there - room)) / 3600.0
            note = "real gas; wet bulb 0.03 K"
            rows.append(row(f"films.film_drying_{which}_h", inputs, hours, "h", tolerance, COOL, note))
    for depth, t, rh, pa in ((0.01, 20.0, 0.5, P0), (0.05, 40.0, 0.1, P0), (0.02, 60.0, 0.3, 84556.0)):
        flux = stefan_by_solvers(depth, t, rh, pa, 2.5e-5)
        inputs = f"depth_m={depth};temp_c={t};rh={rh};pressure_pa={pa};diffusivity_m2_s=2.5e-5"
        note = "boundary-value solver and quadrature of SciPy 1.17, psychrolib 2.5.0"
        rows.append(row("films.stefan_flux_kg_m2_s", inputs, flux, "kg/(m2 s)", "0.1%", "solvers", note))
        density = PropsSI("D", "T", t + 273.15, "Q", 0, "Water")
        carrier = flux * depth

        def fall(_t: float, y: list[float], c: float = carrier, rho: float = density) -> list[float]:
            return [c / (rho * y[0])]

        def bottom(_t: float, y: list[float], end: float = depth) -> float:
            return float(y[0] - end)

        setattr(bottom, "terminal", True)  # noqa: B010 - the solver reads it off the function
        ends = [
            solve_ivp(fall, (0.0, 1e9), [1e-6 * depth], method=way, events=bottom, rtol=1e-9, atol=1e-14).t[
                -1
            ]
            for way in ("LSODA", "Radau")
        ]
        assert math.isclose(*ends, rel_tol=1e-5)
        note = "falling meniscus by two integrators of SciPy 1.17 (LSODA, Radau)"
        rows.append(
            row("films.crevice_drying_time_h", inputs, ends[0] / 3600.0, "h", "0.1%", "solvers", note)
        )
    return rows


def main() -> None:
    """Replaces the rows made here, keeps the typed ones."""
    made = {
        "air": air_by_psychrolib() + air_by_coolprop(),
        "vapour": vapour_rows(),
        "surface": surface_rows(),
        "films": films_rows(),
    }
    for stem, rows in made.items():
        path = FOLDER / f"{stem}.csv"
        typed: Rows = []
        if path.exists():
            with path.open(encoding="utf-8", newline="") as stream:
                typed = [tuple(line) for line in list(csv.reader(stream))[1:] if line[7] not in MINE]
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream, lineterminator="\n").writerows([COLUMNS, *typed, *rows])
        print(f"{path.name}: {len(typed)} typed, {len(rows)} made")


if __name__ == "__main__":
    main()
