"""How the drying engine is asked for the values in nonlinear.csv.

The columns give a case as keywords: shape, half_mm; the diffusivity as c, p0 to p4 and rise
(physics/diffusivity.py);
start (or start_centre and start_surface, joined by the root of the depth); the surface held at ``surface``,
or rho0, m0, k, k1, k2, k_m [kg/m2 s] and rh_air; from change_h on k_m_2, rh_air_2 and factor_2 (of the
diffusivity); hours. The wood of the last rows has its diffusivity from temp_c and specific_gravity.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from strandline.physics.diffusion import transverse_diffusivity_m2_s
from strandline.physics.diffusivity import Diffusivity, fitted
from strandline.physics.engine import FOREVER_H, Body, Piece, prepare, run
from strandline.physics.grid import grid
from strandline.physics.isotherm import Isotherm

Case = dict[str, float | str]

CELLS = 160
"""The tolerances of the rows are mostly 2e-5 kg/kg, to which two solvers agree. At its usual 40 cells the
engine
comes within 1.3e-4, at 160 within 1e-5."""
TOLERANCE = 1e-6
SATURATION_KG_M3 = 0.0173
WIDE_OPEN_M_S = 1e6
"""Conductance of a cover that is not there."""
AT_ONCE_H = 1e-6
"""Hours in which a change of climate that the row says is sudden happens."""
HOLDING_M_S = 1e3
"""Conductance of a surface that is held: what the flux out of the body makes of it is below 1e-8 kg/kg."""
EPS_RH = 0.01
"""Width with which the engine's humidity at the surface meets 1."""


def held_humidity(moisture: float) -> float:
    """Humidity with which the holding isotherm is in balance, as the engine rounds it near 1."""
    rh = moisture / (HOLDING.m0 + moisture) / HOLDING.k
    return 0.5 * (rh + 1.0 - math.sqrt((rh - 1.0) ** 2 + EPS_RH**2))


HOLDING = Isotherm(1.0, 0.9, 0.0, 0.0)
"""An isotherm far from saturated at any moisture of the rows, for surfaces that are held."""


def diffusivity_of(case: Case, factor: float = 1.0) -> Diffusivity:
    """The diffusivity of a row."""
    if "temp_c" in case:
        temp_c, density = float(case["temp_c"]), 1000.0 * float(case["specific_gravity"])
        return fitted(lambda u: transverse_diffusivity_m2_s(temp_c, u, density), 0.25, 0.1)
    p0, p1, p2, p3, p4 = (factor * float(case[f"p{power}"]) for power in range(5))
    return Diffusivity(float(case["c"]), (p0, p1, p2, p3, p4), factor * float(case["rise"]))


def body_of(case: Case) -> Body:
    """The body of a row, with its climate."""
    shape, half_m = str(case["shape"]), float(case["half_mm"]) * 1e-3
    depth = 1.0 - grid(shape, CELLS).x
    centre, surface = (
        float(case.get(f"start_{end}", case.get("start", 0.0))) for end in ("centre", "surface")
    )
    profile = surface + (centre - surface) * np.sqrt(depth)
    if "surface" in case:
        profile[-1] = case["surface"]
        piece = Piece(FOREVER_H, HOLDING, diffusivity_of(case), SATURATION_KG_M3, HOLDING_M_S, WIDE_OPEN_M_S)
        room = ((0.0, held_humidity(float(case["surface"]))),)
        return Body(shape, half_m, 500.0, (piece,), tuple(profile), room)
    isotherm = Isotherm(*(float(case[name]) for name in ("m0", "k", "k1", "k2")))

    def piece_of(until_h: float, factor: float, k_m: float) -> Piece:
        film_m_s = k_m / SATURATION_KG_M3
        return Piece(
            until_h, isotherm, diffusivity_of(case, factor), SATURATION_KG_M3, film_m_s, WIDE_OPEN_M_S
        )

    until_h = float(case.get("change_h", FOREVER_H))
    pieces = [piece_of(until_h, 1.0, float(case["k_m"]))]
    knots = [(0.0, float(case["rh_air"]))]
    if "change_h" in case:
        pieces.append(piece_of(FOREVER_H, float(case["factor_2"]), float(case["k_m_2"])))
        knots += [(until_h, float(case["rh_air"])), (until_h + AT_ONCE_H, float(case["rh_air_2"]))]
    return Body(shape, half_m, float(case["rho0"]), tuple(pieces), tuple(profile), tuple(knots))


def engine_value(what: Literal["mean", "surface"], case: Case) -> float:
    """The engine's moisture after ``case["hours"]``."""
    hours = float(case["hours"])
    body = body_of(case)
    dried = run(prepare([body], hours, cells=CELLS), [hours], tolerance=TOLERANCE)
    return float({"mean": dried.mean, "surface": dried.surface}[what][0, 0])


def mean_moisture(**case: float | str) -> float:
    """Mean over the body [kg/kg]."""
    return engine_value("mean", case)


def surface_moisture(**case: float | str) -> float:
    """At the surface [kg/kg]."""
    return engine_value("surface", case)


def siau_mean_moisture(**case: float | str) -> float:
    """Mean over a wood whose diffusivity has the exponential form: the engine answers by its fitted
    polynomial."""
    return engine_value("mean", case)
