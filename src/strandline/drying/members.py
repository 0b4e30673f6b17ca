"""The members of one body's ensemble, as the drying engine wants them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from strandline.drying.around import Around
from strandline.drying.draws import Band, Draws, Floats
from strandline.drying.shape import Size
from strandline.drying.start import core_moisture, profile, soaked_moisture
from strandline.drying.stuff import Other, Wood
from strandline.knowledge.timbers import Timber
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.diffusion import held_diffusivity_m2_s
from strandline.physics.diffusivity import Diffusivity, fitted
from strandline.physics.engine import FOREVER_H, OPEN_M_S, STRAIN_CELLS, Body, Piece
from strandline.physics.grid import STEEP_POWER, grid
from strandline.physics.isotherm import Isotherm
from strandline.physics.sorption import branch_factor, wood_isotherm
from strandline.physics.strain import EASING_STRAIN, relax_time_h
from strandline.physics.surface import (
    conductance_in_series_m_s,
    cooling_number,
    heat_from_conductance_w_m2_k,
    radiative_w_m2_k,
)
from strandline.physics.wood import fibre_saturation, maximum_moisture
from strandline.things.drying import DryingQuestion

LIGHTEST_KG_M3, HEAVIEST_KG_M3 = 80.0, 1040.0
"""The lightest wood there is, and wood that is all wall when its walls are full: the diffusivity holds no
further (siau-1984)."""
STEP_H = 0.01
"""A change of the room's air is a ramp this short."""
KELVIN, REFERENCE_K = 273.15, 293.15


@dataclass(frozen=True, slots=True)
class Members:
    """Engine bodies of one thing with the numbers its results are read against, shape (members)."""

    bodies: tuple[Body, ...]
    start: Floats
    fibre: Floats
    shrinkage: Floats
    density: Floats
    isotherms: tuple[Isotherm, ...]
    limit: Floats
    """Strain the material bears; 0 where its own limit is not known."""


def members_of(
    stuff: Wood | Other,
    size: Size,
    shape: str,
    question: DryingQuestion,
    around: Around,
    start: Band,
    draws: Draws,
    halves: Floats | None = None,
    even: bool = False,
) -> Members:
    """Every member of a body; ``halves``: their half thickness; ``even``: the water lies evenly in them.

    Timber: Siau's diffusivity times the wood's measured factor or the general one, the handbook's isotherm
    on its first drying, shrinkage across the grain where it is largest. Other bodies: their own bands.
    """
    count = draws.members
    wood = isinstance(stuff, Wood)
    made = _wood(stuff.timber, question, draws) if isinstance(stuff, Wood) else _other(stuff, question, draws)
    begin = draws.of("start_moisture", start)
    if wood:
        # Dense wood has less room for water, whatever was drawn for its moisture.
        begin = np.minimum(begin, [maximum_moisture(float(one)) for one in made.density])
    vertices = grid(shape, STRAIN_CELLS, STEEP_POWER)
    core = core_moisture(stuff)
    skin = soaked_moisture(stuff, made.density_band)[1]
    room = _knots(question)
    bodies = []
    for i in range(count):
        pieces = tuple(
            Piece(
                stretch.until_h if number + 1 < len(question.room) else FOREVER_H,
                made.isotherms[number][i],
                made.diffusivities[number][i],
                saturation_density_kg_m3(stretch.temp_c),
                float(around.surface_m_s[number][i]),
                float(around.outer_m_s[number][i]),
                around.air_depth_m[number],
                cooling(float(around.surface_m_s[number][i]), OPEN_M_S, stretch.temp_c),
                relax_time_h(stretch.temp_c) if wood else FOREVER_H,
            )
            for number, stretch in enumerate(question.room)
        )
        half_m = size.half_m if halves is None else float(halves[i])
        mean = float(begin[i])
        wet = profile(vertices, mean, core, mean if even else max(skin, mean))
        bodies.append(
            Body(
                shape, half_m, float(made.density[i]), pieces, tuple(wet.tolist()), room,
                shrinkage=float(made.shrinkage[i]), fibre_saturation=float(made.fibre[i]),
                mechano=float(made.mechano[i]),
            )
        )  # fmt: skip
    return Members(
        tuple(bodies), begin, made.fibre, made.shrinkage, made.density, tuple(made.isotherms[-1]), made.limit
    )


@dataclass(frozen=True, slots=True)
class _Made:
    """What the kind of a body gives, per stretch and member."""

    density: Floats
    density_band: Band
    isotherms: list[list[Isotherm]]
    diffusivities: list[list[Diffusivity]]
    shrinkage: Floats
    fibre: Floats
    mechano: Floats
    limit: Floats


def _wood(timber: Timber, question: DryingQuestion, draws: Draws) -> _Made:
    """Numbers of timber."""
    density = draws.of("basic_density_kg_m3", timber.basic_density_kg_m3, LIGHTEST_KG_M3, HEAVIEST_KG_M3)
    factor = draws.of("diffusivity_factor", factor_of(timber).band)
    branch = draws.of("sorption_factor", branch_factor("green_desorption"))
    total = draws.of("shrinkage_tangential", timber.tangential_to_oven_dry)
    fibre = draws.of("fibre_saturation", timber.fibre_saturation(20.0))
    easing = draws.of("easing_strain", EASING_STRAIN)
    # A straight line to the member's own fibre saturation, as where the easing strain was fitted.
    per_moisture = total / fibre
    isotherms, diffusivities = [], []
    for stretch in question.room:
        base = wood_isotherm(stretch.temp_c)
        isotherms.append([replace(base, m0=base.m0 * float(one)) for one in branch])
        forms = [_timber_form(round(stretch.temp_c, 3), round(float(one), -1)) for one in density]
        diffusivities.append([_scaled(form, float(f)) for form, f in zip(forms, factor, strict=True)])
    return _Made(
        density,
        timber.basic_density_kg_m3,
        isotherms,
        diffusivities,
        per_moisture,
        fibre,
        per_moisture / easing,
        np.zeros(draws.members),
    )


def _other(stuff: Other, question: DryingQuestion, draws: Draws) -> _Made:
    """Numbers of another body."""
    body = stuff.body
    dry, top, wet = body.dry_m2_s, body.top_m2_s, body.wet_m2_s
    if dry is None or top is None or wet is None:
        raise ValueError(f"{body.key} has no diffusivity")
    density_band = (body.dry_kg_m3.low, body.dry_kg_m3.mid, body.dry_kg_m3.high)
    density = draws.of("dry_density_kg_m3", density_band)
    factor = draws.of("diffusivity_factor", (dry.low / dry.mid, 1.0, dry.high / dry.mid))
    spread = body.isotherm_spread
    branch = draws.of("sorption_factor", (spread.low, spread.mid, spread.high))
    shrinkage = np.zeros(draws.members)
    if body.shrinkage is not None:
        shrinkage = draws.of(
            "shrinkage_per_kg_kg", (body.shrinkage.low, body.shrinkage.mid, body.shrinkage.high)
        )
    limit = np.zeros(draws.members)
    if body.strain_limit is not None and body.shrinkage is not None:
        bears = body.strain_limit
        limit = draws.of("strain_limit", (bears.low, bears.mid, bears.high))
    saturated = np.array([body.isotherm.saturated * float(one) for one in branch])
    isotherms, diffusivities = [], []
    for stretch in question.room:
        warm = 1.0
        if body.arrhenius_k is not None:
            warm = float(np.exp(body.arrhenius_k.mid * (1.0 / REFERENCE_K - 1.0 / (stretch.temp_c + KELVIN))))
        isotherms.append([replace(body.isotherm, m0=body.isotherm.m0 * float(one)) for one in branch])
        base = (dry.mid * warm, top.mid * warm, wet.mid * warm)
        diffusivities.append(
            [
                Diffusivity(
                    float(s), (f * base[0], f * (base[1] - base[0]), 0.0, 0.0, 0.0), f * (base[2] - base[1])
                )
                for f, s in zip(map(float, factor), saturated, strict=True)
            ]
        )
    return _Made(
        density, density_band, isotherms, diffusivities, shrinkage, saturated, np.zeros(draws.members), limit
    )


@lru_cache(maxsize=4096)
def _timber_form(temp_c: float, density_kg_m3: float) -> Diffusivity:
    """Siau's diffusivity across the grain in the engine's form; free water moves as fast as bound water at
    most."""
    top = min(0.28, fibre_saturation(temp_c))
    return fitted(lambda u: held_diffusivity_m2_s(temp_c, u, density_kg_m3), top, lowest=0.05)


def _scaled(form: Diffusivity, factor: float) -> Diffusivity:
    """The same form, faster or slower."""
    p0, p1, p2, p3, p4 = (factor * value for value in form.polynomial)
    return Diffusivity(form.top, (p0, p1, p2, p3, p4), factor * form.rise, form.misfit)


def cooling(surface_m_s: float, outer_m_s: float, temp_c: float) -> float:
    """How much evaporation slows itself by cooling the body, through its surface and its cover in series.

    Heat comes by the air of the film and by radiation. The engine has the cover in series on its own and
    wants that of the surface alone (a cover as good as none).
    """
    heat = heat_from_conductance_w_m2_k(max(surface_m_s, 0.001), temp_c)
    heat += radiative_w_m2_k(temp_c, temp_c, 0.9)
    return cooling_number(conductance_in_series_m_s(surface_m_s, outer_m_s), heat, temp_c)


def _knots(question: DryingQuestion) -> tuple[tuple[float, float], ...]:
    """The room's humidity as knots: level stretches with short ramps between."""
    knots = [(0.0, question.room[0].rh)]
    for before, after in zip(question.room[:-1], question.room[1:], strict=True):
        knots += [(before.until_h, before.rh), (before.until_h + STEP_H, after.rh)]
    return tuple(knots)
