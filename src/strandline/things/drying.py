"""What the drying forecast takes and gives. Field names are those of ``strandline.dry/1``.

A band is (low, mid, high): what 5, 50 and 95 in 100 members of an ensemble stay below, unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Band = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Gap:
    """One kind of opening in a cover: ``hole`` (length = diameter) or ``slit``, where it is, how many."""

    kind: str
    length_mm: float
    width_mm: float
    place: str
    count: int


@dataclass(frozen=True, slots=True)
class CoverChange:
    """From an hour from now on a cover has these openings; None: it is taken off."""

    from_h: float
    gaps: tuple[Gap, ...] | None


@dataclass(frozen=True, slots=True)
class CoverState:
    """A cover as it stands: its sheet (key), the sheet's area, the air under it, its openings.

    ``later``: how it is changed, in the order of the hours; nothing follows its being taken off.
    """

    sheet: str
    sheet_area_m2: float | None
    air_litres: float | None
    gaps: tuple[Gap, ...]
    later: tuple[CoverChange, ...] = ()


@dataclass(frozen=True, slots=True)
class Stretch:
    """The air of the room until an hour from now."""

    until_h: float
    temp_c: float
    rh: float


@dataclass(frozen=True, slots=True)
class WetBody:
    """One body that dries: a part of an object, or a thing asked about by itself.

    ``kind`` is the key of a timber or another body, or a material's key of the care rules; ``known_by`` says
    how it is known (stated / assumed / family). ``thickness_mm`` is the least dimension, for a cylinder or
    sphere the diameter. ``faces``: how many broad faces are open. ``surfaces``: what makes it mould sooner.
    ``out_h``: hours since it came out of the water. ``thickness_band_mm`` stands where nobody gave a
    thickness: what such things usually have, with ``thickness_mm`` as its middle.
    """

    tag: str
    title: str
    part: str
    kind: str
    kind_words: str
    known_by: str
    shape: str
    thickness_mm: float | None
    width_mm: float | None = None
    length_mm: float | None = None
    faces: int = 2
    wet_mass_g: float | None = None
    dry_mass_g: float | None = None
    moisture: float | None = None
    under_water_h: float | None = None
    out_h: float = 0.0
    coating: str = "none"
    painted: bool = False
    surfaces: tuple[str, ...] = ()
    cover: CoverState | None = None
    thickness_band_mm: Band | None = None


@dataclass(frozen=True, slots=True)
class DryingQuestion:
    """What is asked of all bodies: the room, how far ahead, to what humidity, how many members, which
    seed."""

    room: tuple[Stretch, ...]
    days: float
    target_rh: float
    moving_air: bool = False
    members: int = 64
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something taken for want of knowledge: what, as what, why, from which source key and how sure."""

    what: str
    value: str
    why: str
    source: tuple[str, ...]
    confidence: str


@dataclass(frozen=True, slots=True)
class Flag:
    """A doubt or caution that holds for this forecast: a permanent key and a sentence."""

    key: str
    say: str


@dataclass(frozen=True, slots=True)
class StrainAgainst:
    """Tension against one criterion: index 1 is the limit. ``share_over`` of the members pass it."""

    criterion: str
    limit: float
    index: Band
    at_h: Band
    share_over: float
    says: str


@dataclass(frozen=True, slots=True)
class MouldForecast:
    """The model's index, and the rule of practice beside it, never mixed."""

    surface: str
    index_end: Band
    index_highest: Band
    first_growth_h: Band | None
    share_growing: float
    practice_applies: bool
    practice_kept_share: float
    practice_says: str


@dataclass(frozen=True, slots=True)
class Series:
    """Courses as bands at the hours: each value low, mid, high."""

    hours: tuple[float, ...]
    mean: tuple[Band, ...]
    surface: tuple[Band, ...]
    surface_rh: tuple[Band, ...]
    cover_rh: tuple[Band, ...]
    strain: tuple[Band, ...]
    mass_g: tuple[Band, ...] | None


@dataclass(frozen=True, slots=True)
class Reached:
    """When the mean moisture is that of air of the target's humidity; None where fewer than half get
    there."""

    rh: float
    moisture: Band
    hours: Band | None
    share: float


@dataclass(frozen=True, slots=True)
class DryingForecast:
    """What is to be expected of one body. ``model``: engine, two_stage or none; none says why in the
    flags."""

    body: WetBody
    model: str
    kind_name: str
    series: Series | None
    target: Reached | None
    strain: tuple[StrainAgainst, ...]
    mould: MouldForecast | None
    start_moisture: Band | None
    numbers: Mapping[str, Band] = field(default_factory=dict)
    assumed: tuple[Assumption, ...] = ()
    flags: tuple[Flag, ...] = ()
    sources: tuple[str, ...] = ()
