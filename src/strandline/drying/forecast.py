"""The forecast: what is to be expected of bodies that dry in a room, as bands over an ensemble."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from strandline.drying.around import Around, around, with_changes
from strandline.drying.cautions import (
    UNTRIED,
    assumed_of,
    assumed_profile,
    flags_after,
    flags_before,
    flags_of_mould,
    flags_start,
)
from strandline.drying.draws import Draws, Floats
from strandline.drying.members import Members, members_of
from strandline.drying.pore_mould import pore_mould
from strandline.drying.pores import pore_courses, pore_reached, pore_series, pore_slabs
from strandline.drying.reading import mould_of, reached, series_of, strains
from strandline.drying.shape import Size, half_of, size_of
from strandline.drying.start import dry_share, lies_even, soaked_moisture, start_band, start_over
from strandline.drying.stuff import Nothing, Other, Wood, stuff_of
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.physics.capillary import TwoStage
from strandline.physics.diffusion import direction_factor
from strandline.physics.engine import Body, Dried, dry
from strandline.physics.ranges import within
from strandline.things.drying import Assumption, Band, DryingForecast, DryingQuestion, Flag, WetBody

BODIES_AT_ONCE = 24
EARLY_H = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)
MOST_SAMPLES = 260
EVEN: Band = (1.0, 1.0, 1.0)
WOOD_SOURCES = ("siau-1984", "simpson-1973", "wood-handbook-2010", "strain-easing", "hukka-viitanen-1999")
BODY_FIELDS = ("density", "isotherm", "soaked", "diffusion", "shrinkage")
PORE_FIELDS = ("density", "pores", "second")
MOULD_SOURCES = ("hukka-viitanen-1999", "ojanen-2010")


@dataclass(slots=True)
class Case:
    """One body on its way through; ``members`` of one that the engine dries, None of one with pores."""

    wet: WetBody
    stuff: Wood | Other
    size: Size
    around: Around
    draws: Draws
    question: DryingQuestion
    assumed: list[Assumption]
    flags: list[Flag]
    start: Band | None = None
    members: Members | None = None
    rows: slice = field(default_factory=lambda: slice(0, 0))


def forecast(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
    """The forecasts of bodies, in the order given, a few dozen at a time.

    Raises ValueError for a question that cannot be asked or a body that cannot be; KeyError for a cover or
    coating that is not known; OutOfRange where the numbers leave the range of the equations.
    """
    check(question)
    hours = sample_hours(question.days)
    for first in range(0, len(bodies), BODIES_AT_ONCE):
        some = bodies[first : first + BODIES_AT_ONCE]
        yield from finished([prepared(wet, question) for wet in some], hours)


def check(question: DryingQuestion) -> None:
    """Refuse a question without a room, or with a room that runs backwards."""
    if not question.room or question.members < 4:
        raise ValueError("a forecast needs a room and at least 4 members")
    within("days", question.days, 0.01, 36_500.0, "d")
    within("target_rh", question.target_rh, 0.0, 1.0)
    for stretch in question.room:
        within("rh", stretch.rh, 0.0, 1.0)
    ends = [0.0, *(stretch.until_h for stretch in question.room)]
    if not all(before < after for before, after in pairwise(ends)):
        raise ValueError("each stretch of the room's air must end later than the one before")


def sample_hours(days: float) -> Floats:
    """Hours at which courses are written down: close together at first, then even, at most 260."""
    end = 24.0 * days
    step = next(
        (one for one in (3.0, 6.0, 12.0, 24.0, 48.0, 96.0) if end / one <= MOST_SAMPLES - 10), end / 240.0
    )
    even = np.arange(step, end * (1.0 + 1e-9), step)
    return np.unique(np.concatenate(([hour for hour in EARLY_H if hour < end], even, [end])))


def finished(cases: Sequence[Case | DryingForecast], hours: Floats) -> Iterator[DryingForecast]:
    """Forecasts of as many prepared bodies as are run at once, in their order."""
    engine = [case for case in cases if isinstance(case, Case) and case.members is not None]
    dried: Dried | None = None
    if engine:
        everyone: list[Body] = []
        for case in engine:
            mine = case.members.bodies if case.members else ()
            case.rows = slice(len(everyone), len(everyone) + len(mine))
            everyone.extend(mine)
        dried = dry(everyone, hours.tolist(), strained=True)
    for one in cases:
        if isinstance(one, DryingForecast):
            yield one
        elif one.members is None or dried is None:
            yield _of_pores(one, hours)
        else:
            yield _of_engine(one, one.members, dried)


def prepared(wet: WetBody, question: DryingQuestion) -> Case | DryingForecast:
    """Everything known and drawn for a body, or at once the answer that it is not forecast."""
    stuff = stuff_of(wet.kind)
    if isinstance(stuff, Nothing):
        return _none(wet, stuff.name, "no_body", f"not forecast: {stuff.why}")
    if isinstance(stuff, Other) and stuff.body.model == "film":
        return _none(wet, stuff.name, "film", "takes up next to no water: only its surface is wet")
    question = with_changes(question, wet.cover)
    draws = Draws(question.members, question.seed, f"{wet.tag}|{wet.part}")
    size, halves = _sized(wet, stuff, draws)
    near = around(wet, question, size, draws, _ends(wet, stuff))
    case = Case(wet, stuff, size, near, draws, question, [*size.assumed, *near.assumed], list(size.flags))
    case.flags += flags_before(wet, stuff, question)
    case.assumed += assumed_of(wet, stuff, question)
    if isinstance(stuff, Other) and stuff.body.model == "capillary":
        return case
    density = _density(stuff)
    case.start, told = _start(wet, stuff, density, size)
    case.assumed += told
    case.flags += flags_start(stuff, case.start, density)
    case.assumed += assumed_profile(wet, stuff, case.start, density)
    even = lies_even(wet) or case.start == soaked_moisture(stuff, density)
    case.members = members_of(stuff, size, wet.shape, question, near, case.start, draws, halves, even)
    return case


def _sized(wet: WetBody, stuff: Wood | Other, draws: Draws) -> tuple[Size, Floats]:
    """The size, and the members' half thickness: how much the ends count is known only roughly.

    Where nobody gave the thickness, each member has its own from within the band, and none lies beyond it.
    """
    ratio, band = _along(wet, stuff), wet.thickness_band_mm
    size = size_of(wet, ratio[1])
    if ratio == EVEN and band is None:
        return size, np.full(draws.members, size.half_m)
    along = np.ones(draws.members) if ratio == EVEN else draws.of("along_over_across", ratio)
    if band is None:
        return size, np.array([size_of(wet, float(one)).half_m for one in along])
    thick = draws.of("thickness_mm", band, band[0], band[2])
    return size, np.array([half_of(wet, float(mm), float(one)) for mm, one in zip(thick, along, strict=True)])


def _ends(wet: WetBody, stuff: Wood | Other) -> tuple[Size, ...]:
    """The thinnest and the thickest it may be, where nobody gave the thickness."""
    if wet.thickness_band_mm is None:
        return ()
    low, _, high = wet.thickness_band_mm
    along = _along(wet, stuff)[1]
    return tuple(size_of(replace(wet, thickness_mm=mm, thickness_band_mm=None), along) for mm in (low, high))


def _along(wet: WetBody, stuff: Wood | Other) -> Band:
    """Diffusivity along the grain over that across, where a length is known along which there is a grain."""
    if not isinstance(stuff, Wood) or wet.length_mm is None:
        return EVEN
    return direction_factor("longitudinal")


def _start(wet: WetBody, stuff: Wood | Other, density: Band, size: Size) -> tuple[Band, list[Assumption]]:
    """How wet it is, and what was assumed for it; over the whole band where the thickness is not known."""
    volume_m3 = size.volume_m3 if size.known else None
    if wet.thickness_band_mm is None:
        return start_band(wet, stuff, density, size.half_m, volume_m3)
    along = _along(wet, stuff)[1]
    low, mid, high = (half_of(wet, mm, along) for mm in wet.thickness_band_mm)
    return start_over(wet, stuff, density, (low, mid, high), volume_m3)


def _of_engine(case: Case, members: Members, dried: Dried) -> DryingForecast:
    """The forecast of a body that the engine has dried."""
    wet, stuff, rows, question = case.wet, case.stuff, case.rows, case.question
    masses = dry_mass_g(case, members)
    target = reached(dried, rows, members, question)
    mould = mould_of(wet, stuff, dried, rows, question, case.draws)
    case.flags = [*flags_of_mould(mould), *case.flags, *flags_after(target, question)]
    return DryingForecast(
        wet, "engine", stuff.name, series_of(dried, rows, masses), target,
        strains(wet, stuff, dried, rows, members), mould,
        case.start, dict(case.draws.bands), tuple(case.assumed), (*case.flags, UNTRIED), _sources(stuff),
    )  # fmt: skip


def _of_pores(case: Case, hours: Floats) -> DryingForecast:
    """The forecast of a body that dries through its pores."""
    stuff, question = _porous(case), case.question
    courses, told = courses_of(case)
    case.assumed += told
    series, target = pore_series(courses, stuff, hours), pore_reached(courses, stuff, question)
    mould = pore_mould(case.wet, stuff, courses, question, hours, case.draws)
    case.flags = [*flags_of_mould(mould), *case.flags, *flags_after(target, question)]
    case.flags.append(
        Flag("two_stage", "two stages by formula; the band is a fast, a likely and a slow reading")
    )
    return DryingForecast(
        case.wet, "two_stage", stuff.name, series, target, (), mould,
        series.mean[0], dict(case.draws.bands), tuple(case.assumed), (*case.flags, UNTRIED),
        _sources(stuff),
    )  # fmt: skip


def _porous(case: Case) -> Other:
    """What a body is that dries through its pores."""
    if not isinstance(case.stuff, Other):
        raise TypeError("only bodies other than timber dry by the two stages")
    return case.stuff


def courses_of(case: Case) -> tuple[list[TwoStage], list[Assumption]]:
    """The three readings of a body with pores, fastest first, and what was assumed of its water."""
    slabs, told = pore_slabs(case.wet, _porous(case), case.size, case.draws)
    return pore_courses(case.wet, slabs, case.question, case.around), told


def _density(stuff: Wood | Other) -> Band:
    """Dry kilograms in a cubic metre of the wet body."""
    if isinstance(stuff, Wood):
        return stuff.timber.basic_density_kg_m3
    band = stuff.body.dry_kg_m3
    return band.low, band.mid, band.high


def dry_mass_g(case: Case, members: Members) -> Floats | None:
    """The members' weight without any water: from the weight now, else from an old one, else from the size if
    that is known."""
    wet = case.wet
    if wet.wet_mass_g is not None:
        weighed: Floats = wet.wet_mass_g / (1.0 + members.start)
        return weighed
    if wet.dry_mass_g is not None:
        return np.full(case.draws.members, wet.dry_mass_g * dry_share(case.stuff))
    return 1000.0 * case.size.volume_m3 * members.density if case.size.known else None


def _none(wet: WetBody, name: str, key: str, say: str) -> DryingForecast:
    """The answer for what is not forecast."""
    return DryingForecast(wet, "none", name, None, None, (), None, None, flags=(Flag(key, say),))


def _sources(stuff: Wood | Other) -> tuple[str, ...]:
    """Keys of the sources behind a forecast."""
    if isinstance(stuff, Wood):
        return tuple(dict.fromkeys((*WOOD_SOURCES, *factor_of(stuff.timber).source, *stuff.timber.source)))
    fields = PORE_FIELDS if stuff.body.model == "capillary" else BODY_FIELDS
    held = [stuff.body.evidence[name].source for name in fields if name in stuff.body.evidence]
    mould = MOULD_SOURCES if stuff.body.model in {"sorbing", "capillary"} else ()
    return tuple(dict.fromkeys((*(key for keys in held for key in keys), *mould)))
