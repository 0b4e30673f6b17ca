"""Numbers and bands of a drying forecast in words: no exponents, no key of a field."""

from __future__ import annotations

import math
import shutil

from strandline.things.drying import Band, DryingForecast, DryingQuestion, StrainAgainst, WetBody

NARROW, WIDE = 72, 120
DAYS_FROM_H = 48.0
ALMOST = 0.999
USELESS_FROM = 0.1
"""A band that begins below this share of the days looked at and ends beyond them says nothing."""

LEAST, DIGITS, LEAST_SHORT = 1e-6, 2, 0.1
NO_USE = "no useful forecast"
CRITERIA = {
    "yield_0.004": "yield (0.004)",
    "warning_0.009": "the warning (0.009)",
    "kiln_envelope": "the kiln schedule",
    "gesso_0.0025": "gesso's yield (0.0025)",
}
NAMES = {
    "film_m_s": "what the air at its surface carries away, metres a second",
    "coating_sd_m": "what its coating holds back, as metres of still air",
    "cover_m_s": "what the cover lets through, metres a second",
    "start_moisture": "water at the start, kg to a kg dry",
    "basic_density_kg_m3": "dry wood in its wet size, kg in a cubic metre",
    "dry_density_kg_m3": "dry weight, kg in a cubic metre",
    "dry_kg_m3": "dry weight, kg in a cubic metre",
    "diffusivity_factor": "how fast water moves in it, times the law's",
    "sorption_factor": "what it holds in air of a humidity, times the law's",
    "shrinkage_tangential": "shrinkage from wet to dry, share of its size",
    "shrinkage_per_kg_kg": "shrinkage for a kg water to a kg dry, share of its size",
    "fibre_saturation": "water from which on it shrinks, kg to a kg dry",
    "easing_strain": "strain at which held wood gives way, share of its size",
    "strain_limit": "strain it bears, share of its size",
    "free_saturation_kg_m3": "water when it is soaked, kg in a cubic metre",
    "critical_kg_m3": "water from which on it dries slower, kg in a cubic metre",
    "second_stage_mm2_h": "how fast it dries once its face is dry, square mm an hour in dry air at 25 C",
    "thickness_mm": "thickness, mm, which was not given",
    "mould_pace": "how fast mould grows, times the model's",
    "mu": "how hard vapour gets through it, times still air",
}
UNITS = (("_kg_m3", "kg in a cubic metre"), ("_m2_s", "square metres a second"), ("_m_s", "metres a second"),
         ("_mm", "mm"), ("_m", "metres"), ("_h", "hours"), ("_c", "degrees C"))  # fmt: skip


def width() -> int:
    """Columns to write in."""
    return min(max(shutil.get_terminal_size((110, 24)).columns, NARROW), WIDE)


def plain(value: float, digits: int = DIGITS) -> str:
    """A number of so many digits that count, without exponents: 0.000003, 1000."""
    if value == 0:
        return "0"
    size = abs(value)
    if size < LEAST:
        return "under 0.000001"
    places = max(0, digits - 1 - math.floor(math.log10(size)))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def index_of(value: float) -> str:
    """How many times a criterion: of a thousandth and less no more is said."""
    return "under 0.001" if 0 < value < 0.001 else plain(value)


def number_name(key: str) -> str:
    """What was reckoned with, in words with its unit."""
    first, within, rest = key.partition(" from hour ")
    known = NAMES.get(first)
    if known is None:
        ending, unit = next(((e, u) for e, u in UNITS if first.endswith(e)), ("", ""))
        name = first.removesuffix(ending).replace("_", " ")
        known = f"{name}, {unit}" if unit else name
    return f"{known}{within}{rest}"


def criterion(one: StrainAgainst) -> str:
    """What strain is held against."""
    if one.criterion == "own_limit":
        return f"this material's own limit ({plain(one.limit)})"
    return CRITERIA.get(one.criterion, one.criterion.replace("_", " "))


def counted(one: DryingForecast) -> str:
    """What the figures of a forecast are counted in."""
    return "readings" if one.model == "two_stage" else "reckonings"


def until(one: DryingForecast, question: DryingQuestion) -> str:
    """When it is as dry as was asked, as a band; or how few get there."""
    reached = one.target
    if reached is None:
        return "no forecast; the cautions say why"
    some = f"{share(reached.share)} of the {counted(one)} get there"
    if one.model == "two_stage":
        there = round(3 * reached.share)
        some = f"{there} of the three readings {'gets' if there == 1 else 'get'} there"
    if reached.hours is None:
        return f"not within {question.days:g} d ({some})"
    if reached.hours[2] <= 0.0:
        return "so dry already"
    rest = "" if reached.share >= 1.0 else f" ({some})"
    if is_useless(one, question):
        return f"{NO_USE}: the band runs from now to beyond the days looked at{rest}"
    said = days(reached.hours)
    return f"{said.replace(' to ', ' to more than ', 1) if is_late(one, question) else said}{rest}"


def is_late(one: DryingForecast, question: DryingQuestion) -> bool:
    """Whether the band ends beyond the days looked at: what does not get there counts as their end."""
    reached, end = one.target, 24.0 * question.days
    return (
        reached is not None
        and reached.hours is not None
        and reached.share < 1.0
        and reached.hours[2] >= end * ALMOST
    )


def is_useless(one: DryingForecast, question: DryingQuestion) -> bool:
    """Whether the band runs from about now to beyond the days looked at."""
    if one.target is None or one.target.hours is None or not is_late(one, question):
        return False
    return one.target.hours[0] < USELESS_FROM * 24.0 * question.days


def days(hours: Band) -> str:
    """A band of hours: in days where it reaches beyond two of them."""
    if hours[2] < DAYS_FROM_H:
        return span(hours, " h")
    return span(times(hours, 1.0 / 24.0), " d")


def span(band: Band, unit: str) -> str:
    """Low to high, and likely."""
    low, mid, high = (short(one) for one in band)
    if low == high:
        return f"{mid}{unit}"
    return f"{low} to {high}{unit}, likely {mid}"


def short(value: float) -> str:
    """A number with no more digits than a band is worth."""
    if 0.0 < value < LEAST_SHORT:
        return f"<{LEAST_SHORT:g}"
    return f"{value:.0f}" if abs(value) >= 10 or value == 0 else f"{value:.1f}"


def times(band: Band, factor: float) -> Band:
    """A band in another unit."""
    return band[0] * factor, band[1] * factor, band[2] * factor


def share(value: float) -> str:
    """A share in per cent."""
    return f"{100 * value:.0f} %"


def percent(rh: float) -> str:
    """A humidity in per cent."""
    return f"{100 * rh:.3g} %"


def name_of(one: DryingForecast) -> str:
    """What dries, in the words it was asked about; the kind taken for it where that is another word."""
    words, name = one.body.kind_words, one.kind_name.replace("_", " ")
    # An envelope of many woods has a key of all of their names: the words say it shorter.
    if not name or ":" in name or name.lower() == words.lower():
        return words or name
    return f"{words} (as {name})" if words else name


def thick(body: WetBody) -> str:
    """The least dimension; where nobody gave it, the band that was reckoned over, with a question mark."""
    if body.thickness_band_mm is not None:
        low, _, high = body.thickness_band_mm
        return f"{plain(low)}-{plain(high)} mm?"
    return "-" if body.thickness_mm is None else f"{plain(body.thickness_mm, 4)} mm"


def cut(text: str, most: int) -> str:
    """A text of one line, shortened."""
    one_line = " ".join(text.split())
    return one_line if len(one_line) <= most else one_line[: most - 1] + "…"
