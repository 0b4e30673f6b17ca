"""What the members' courses say: bands, time to the target, strain against each criterion, mould."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set

import numpy as np

from strandline.drying.draws import Draws, Floats, band_of
from strandline.drying.members import Members
from strandline.drying.stuff import Other, Wood
from strandline.knowledge import kiln, timbers
from strandline.knowledge.timbers import Timber
from strandline.physics.engine import Body, Dried
from strandline.physics.isotherm import moisture_at
from strandline.physics.kiln import Step, envelope_ratio
from strandline.physics.mould import (
    GROWS_ABOVE_C,
    GROWS_BELOW_C,
    SURFACES,
    MouldState,
    PracticeVerdict,
    advance,
    critical_rh,
    practice_rule,
)
from strandline.physics.sorption import equilibrium_moisture
from strandline.physics.strain import GESSO_STRAIN, WARNING_STRAIN, YIELD_STRAIN
from strandline.things.drying import (
    Band,
    DryingQuestion,
    MouldForecast,
    Reached,
    Series,
    StrainAgainst,
    Stretch,
    WetBody,
)

MOULD_MEMBERS = 24
PRACTICE_STEP_H = 6.0
FIRST_GROWTH, EDGE_RH = 1.0, 1e-9
UNEVEN = 1e-6
MOULD_PACE: Band = (0.5, 1.0, 2.0)
"""How much faster or slower than the model a surface moulds (hukka-viitanen-1999: boards differ by two)."""
ABOVE_SCHEDULE = 0.01
MOULD_SURFACES = {
    "wood": "pine_resawn",
    "bone": "medium_resistant",
    "ceramic": "medium_resistant",
    "clay": "medium_resistant",
    "plaster": "medium_resistant",
    "stone": "medium_resistant",
}
"""Mineral bodies stand with concrete (ojanen-2010)."""
OTHER_SURFACE = "sensitive"
STRICT_COATINGS = ("paint", "lacquer", "gesso")
REFERENCE_C, REFERENCE_RH = 18.0, 0.55
"""The air in which gesso and paint lay without strain before the flood."""
SAID = {
    "yield_0.004": "where wood, paint and glue begin to yield: for aged, painted or irreplaceable things",
    "warning_0.009": "a warning: held wood has failed from here on",
    "kiln_envelope": "harsher than the published kiln schedule for sound bare boards of this wood",
    "gesso_0.0025": "how far swollen wood has stretched gesso by now: look for cracks; drying takes it back",
    "own_limit": "the limit remembered for this material; no easing is reckoned with",
}


def series_of(dried: Dried, rows: slice, dry_mass_g: Floats | None) -> Series:
    """The courses of one body's members as bands."""
    mean = dried.mean[rows]
    mass = None if dry_mass_g is None else _bands(dry_mass_g[:, None] * (1.0 + mean))
    return Series(
        tuple(float(hour) for hour in dried.hours),
        _bands(mean),
        _bands(dried.surface[rows]),
        _bands(dried.surface_rh[rows]),
        # Air that cools in its cover drops as dew what is above saturation; that is flagged, not reckoned.
        _bands(np.minimum(dried.cover_rh[rows], 1.0)),
        _bands(dried.strain[rows]),
        mass,
    )


def reached(dried: Dried, rows: slice, members: Members, question: DryingQuestion) -> Reached:
    """When members are as dry as air of the target's humidity leaves them, on the mean and at the surface.

    Both, because a thick body that has only been splashed is dry on the mean while its skin is wet. Of a
    member that is wet in its skin only, its wettest place counts as well: under a face that is dry again the
    water has gone deeper.
    """
    wanted = np.array([moisture_at(one, question.target_rh) for one in members.isotherms])
    skins = np.array([in_its_skin(one) for one in members.bodies])[:, None]
    courses = np.maximum(dried.mean[rows], dried.surface[rows])
    courses = np.where(skins, np.maximum(courses, dried.wettest[rows]), courses)
    hours = np.array([crossing(dried.hours, course, w) for course, w in zip(courses, wanted, strict=True)])
    share = float(np.mean(np.isfinite(hours)))
    band: Band | None = None
    if share >= 0.95:
        band = band_of(hours)
    elif share > 0.5:
        # Those who have not arrived count as the end of the time looked at, and the share says so.
        band = band_of(np.where(np.isfinite(hours), hours, dried.hours[-1]))
    return Reached(question.target_rh, band_of(wanted), band, share)


def in_its_skin(body: Body) -> bool:
    """Whether the water does not lie evenly in a body."""
    return float(np.ptp(np.asarray(body.profile))) > UNEVEN


def crossing(hours: Floats, values: Floats, wanted: float) -> float:
    """The hour at which falling values first come down to the one wanted; infinite if they do not."""
    below = np.flatnonzero(values <= wanted)
    if not len(below):
        return math.inf
    k = int(below[0])
    if k == 0:
        return float(hours[0])
    share = (values[k - 1] - wanted) / (values[k - 1] - values[k])
    return float(hours[k - 1] + share * (hours[k] - hours[k - 1]))


def strains(
    wet: WetBody, stuff: Wood | Other, dried: Dried, rows: slice, members: Members
) -> tuple[StrainAgainst, ...]:
    """Tension against each criterion that applies to the body; none of them is called safe."""
    peak, at_h = dried.peak_strain[rows], dried.peak_at_h[rows]
    if isinstance(stuff, Other):
        limit = stuff.body.strain_limit
        if limit is None or not np.any(members.limit):
            return ()
        return (_against("own_limit", limit.mid, peak / members.limit, at_h),)
    found = [
        _against("yield_0.004", YIELD_STRAIN, peak / YIELD_STRAIN, at_h),
        _against("warning_0.009", WARNING_STRAIN, peak / WARNING_STRAIN, at_h),
    ]
    steps = schedule_of(stuff, wet)[1]
    if steps and wet.shape == "plane":
        found.append(_envelope(steps, dried, rows, members))
    if coated(wet):
        found.append(_gesso(dried, rows, members))
    return tuple(found)


def coated(wet: WetBody) -> bool:
    """Whether the strict criterion is the one that counts: it bears paint, gilding or lacquer."""
    return wet.painted or wet.coating in STRICT_COATINGS


def schedule_of(wood: Wood, wet: WetBody) -> tuple[str, Sequence[Step]]:
    """The published schedule for boards of this wood and whose it is; of an envelope the mildest of its
    members'; nothing where there is none."""
    quarters = 8 if (wet.thickness_mm or 25.0) > 38.0 else 4
    known = {name.lower() for name in kiln.species_names()}
    names: set[str] = set()
    for member in wood.timber.members:
        names |= schedule_names(timbers.timber(member), known)
    if not wood.timber.members:
        names = schedule_names(wood.timber, known)
    found = [(name, kiln.schedule(name, quarters).steps) for name in sorted(names)]
    return max(found, key=lambda one: one[1][0].emc, default=("", ()))


def schedule_names(timber: Timber, known: Set[str]) -> set[str]:
    """Names of schedules for one wood: its own names, else what its key ends in.

    Schedules are named for the group ("beech"), timbers for the kind ("American beech"). A trade name does
    not lend its last word: satin walnut is no walnut.
    """
    words = timber.key.split("_")
    own = {name.lower() for name in (*timber.names, " ".join(words))} & known
    endings = (" ".join(words[first:]) for first in range(1, len(words)))
    return own or {ending for ending in endings if ending in known}


def mould_of(
    wet: WetBody, stuff: Wood | Other, dried: Dried, rows: slice, question: DryingQuestion, draws: Draws
) -> MouldForecast:
    """The index of some of the members, and the rule of practice for their surfaces, side by side.

    Boards of one wood in one climate differ by a factor of two in their pace, which is drawn as well.

    Both clocks run from the hour it came out of the water: until now its surface is taken as wet.
    """
    family = "wood" if isinstance(stuff, Wood) else stuff.body.family
    surface = MOULD_SURFACES.get(family, OTHER_SURFACE)
    every = max(1, question.members // MOULD_MEMBERS)
    surface_rh = dried.surface_rh[rows][::every]
    paces = draws.of("mould_pace", MOULD_PACE)[::every]
    temps = temperatures(question.room, dried.hours)
    ends, tops, firsts, verdicts = [], [], [], []
    for course, pace in zip(surface_rh, map(float, paces), strict=True):
        begin = advance(MouldState(), float(temps[0]), 1.0, pace * wet.out_h, surface)
        index, top, first = grown(dried.hours, temps, course, surface, begin, pace)
        ends.append(index)
        tops.append(top)
        firsts.append(first)
        even = even_climates(wet.out_h, dried.hours, temps, course)
        verdicts.append(practice_rule(even, PRACTICE_STEP_H, wet.surfaces))
    growing = np.array(firsts)
    share = float(np.mean(np.isfinite(growing)))
    first_band = band_of(np.where(np.isfinite(growing), growing, dried.hours[-1])) if share > 0.5 else None
    return MouldForecast(
        surface, band_of(np.array(ends)), band_of(np.array(tops)), first_band, share,
        *practice_of(verdicts, wet.out_h + float(dried.hours[-1])),
    )  # fmt: skip


def practice_of(verdicts: Sequence[PracticeVerdict], looked_h: float) -> tuple[bool, float, str]:
    """Whether the rule applies, the share of members that keep it, and what the worst of them says.

    Looking less far than the rule's 48 h decides nothing: then no member counts as having kept it.
    """
    worst = max(verdicts, key=lambda one: one.hours_against)
    if worst.applies and looked_h < worst.limit_h:
        return (
            True,
            0.0,
            f"not decided: looked only {looked_h:g} h from emergence on, and the rule speaks of 48",
        )
    return worst.applies, float(np.mean([one.kept for one in verdicts])), worst.why


def temperatures(room: Sequence[Stretch], hours: Floats) -> Floats:
    """The room's temperature in the interval that ends at each hour."""
    found = [next((one.temp_c for one in room if hour <= one.until_h), room[-1].temp_c) for hour in hours]
    return np.array(found)


def grown(
    hours: Floats, temps: Floats, course: Floats, surface: str, begin: MouldState, pace: float
) -> tuple[float, float, float]:
    """Index at the end, its highest value, and the hour of first growth (infinite if there is none)."""
    state, top = begin, begin.index
    first = math.inf if begin.index < FIRST_GROWTH else float(hours[0])
    damp = np.clip(0.5 * (course[1:] + course[:-1]), 0.0, 1.0)
    growing = np.flatnonzero(damp >= _critical(temps[1:], surface) - EDGE_RH)
    last = int(growing[-1]) + 1 if len(growing) else 0
    for k in range(1, last + 1):
        middle = float(damp[k - 1])
        before = state.index
        state = advance(state, float(temps[k]), middle, pace * float(hours[k] - hours[k - 1]), surface)
        if before < FIRST_GROWTH <= state.index:
            share = (FIRST_GROWTH - before) / (state.index - before)
            first = min(first, float(hours[k - 1] + share * (hours[k] - hours[k - 1])))
        top = max(top, state.index)
    if last < len(hours) - 1:
        # After the last damp hour it only declines: one long step falls as far as many short ones.
        rest_h = pace * float(hours[-1] - hours[last])
        state = advance(state, float(temps[-1]), float(damp[-1]), rest_h, surface)
    return state.index, top, first


def _critical(temps: Floats, surface: str) -> Floats:
    """Humidity from which mould can grow at these temperatures; infinite where it cannot at all."""
    least = SURFACES[surface].rh_least
    known = {
        temp: critical_rh(temp, least) if GROWS_ABOVE_C <= temp <= GROWS_BELOW_C else math.inf
        for temp in set(temps.tolist())
    }
    return np.array([known[temp] for temp in temps.tolist()])


def even_climates(out_h: float, hours: Floats, temps: Floats, course: Floats) -> list[tuple[float, float]]:
    """Climates at the surface in even steps from emergence on; before now it is taken as wet."""
    before = [(float(temps[0]), 1.0)] * math.ceil(out_h / PRACTICE_STEP_H)
    even = np.arange(PRACTICE_STEP_H / 2, hours[-1], PRACTICE_STEP_H)
    rh = np.clip(np.interp(even, hours, course), 0.0, 1.0)
    temp = temps[np.minimum(np.searchsorted(hours, even), len(temps) - 1)]
    return before + [(float(t), float(h)) for t, h in zip(temp, rh, strict=True)]


def _against(criterion: str, limit: float, index: Floats, at_h: Floats) -> StrainAgainst:
    """One criterion."""
    return StrainAgainst(
        criterion, limit, band_of(index), band_of(at_h), float(np.mean(index > 1.0)), SAID[criterion]
    )


def _envelope(steps: Sequence[Step], dried: Dried, rows: slice, members: Members) -> StrainAgainst:
    """How hard the surface is driven over how hard the schedule would drive it, at its worst moment."""
    worst, when = [], []
    # A schedule never asks for more than fibre saturation: members drawn lower are held just above it.
    fibres = np.maximum(members.fibre, max(step.emc for step in steps) + ABOVE_SCHEDULE)
    for mean, surface, fibre in zip(dried.mean[rows], dried.surface[rows], fibres, strict=True):
        ratios = [
            envelope_ratio(float(m), max(0.0, float(s)), steps, float(fibre))
            for m, s in zip(mean, surface, strict=True)
        ]
        place = int(np.argmax(ratios))
        worst.append(ratios[place])
        when.append(float(dried.hours[place]))
    return _against("kiln_envelope", 1.0, np.array(worst), np.array(when))


def _gesso(dried: Dried, rows: slice, members: Members) -> StrainAgainst:
    """How far the swollen wood stretches what lies on it, from the state before the flood."""
    before = equilibrium_moisture(REFERENCE_C, REFERENCE_RH)
    counted = np.minimum(dried.mean[rows], members.fibre[:, None])
    stretch = members.shrinkage[:, None] * np.abs(counted - before) / GESSO_STRAIN
    place = np.argmax(stretch, axis=1)
    return _against("gesso_0.0025", GESSO_STRAIN, np.max(stretch, axis=1), dried.hours[place])


def _bands(values: Floats) -> tuple[Band, ...]:
    """Bands over members at each sample."""
    low, mid, high = np.percentile(values, [5.0, 50.0, 95.0], axis=0)
    return tuple((float(a), float(b), float(c)) for a, b, c in zip(low, mid, high, strict=True))
