"""Drying forecasts of a list: one line for each part, and what is not forecast."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from strandline.cli.dry_numbers import (
    DAYS_FROM_H,
    NO_USE,
    cut,
    index_of,
    is_late,
    is_useless,
    name_of,
    percent,
    short,
    thick,
    times,
)
from strandline.cli.dry_tell import cautions_of, wrapped
from strandline.pipeline.drying import LeftOut
from strandline.things.drying import DryingForecast, DryingQuestion, WetBody

KIND, THICK, UNTIL, STRAIN = 29, 12, 26, 10
THICKNESS = "Thickness not known; give thickness_mm"
TOGETHER = {
    "parts": "Made of several materials, of which each dries by itself",
    "dry": "Takes up no water to speak of (metal, glass ...); only what stands on it has to go",
}
"""Reasons that many parts of a list share."""

MEASURE = 5
"""So many objects are named to be measured first."""

COLUMNS = (
    "Strain: likely, 1 is where wood, paint and glue begin to yield ('own': the limit remembered for that "
    "material, '-': none is reckoned). Mould: the model's index at its highest, likely; 1 under the "
    "microscope, 3 seen, 6 dense. Cautions: how many flags stand beside it."
)


def table_lines(found: Sequence[DryingForecast], question: DryingQuestion) -> Iterator[str]:
    """The head of the table and a line for each part."""
    if not found:
        return
    yield f"Until as dry as air of {percent(question.target_rh)} leaves it, mean and surface; days from now:"
    heads = f"{'tag':<7}{'part':<6}{'what dries':<{KIND}}{'thick':>{THICK}}  {'dry in':<{UNTIL}}"
    yield f"{heads}{'strain':>{STRAIN}}{'mould':>7}{'cautions':>10}"
    yield from (line(one, question) for one in found)
    yield wrapped(COLUMNS, "")
    yield from (wrapped(each, "") for each in thickness_lines(found, question))


def line(one: DryingForecast, question: DryingQuestion) -> str:
    """One part: when it is dry, strain, mould, how many cautions."""
    body = one.body
    first = f"{body.tag:<7}{body.part:<6}{cut(name_of(one), KIND - 1):<{KIND}}{thick(body):>{THICK}}"
    mould = "-" if one.mould is None else f"{one.mould.index_highest[1]:.1f}"
    last = f"{_strain(one):>{STRAIN}}{mould:>7}{len(cautions_of(one)):>10}"
    return f"{first}  {dry_in(one, question):<{UNTIL}}{last}"


def dry_in(one: DryingForecast, question: DryingQuestion) -> str:
    """When it is dry, as short as a column."""
    reached = one.target
    if reached is None:
        return "no forecast"
    if reached.hours is None:
        return f"not within {question.days:g} d"
    if reached.hours[2] <= 0.0:
        return "so dry already"
    if is_useless(one, question):
        return NO_USE
    unit, band = ("h", reached.hours)
    if reached.hours[2] >= DAYS_FROM_H:
        unit, band = "d", times(reached.hours, 1.0 / 24.0)
    low, mid, high = (short(each) for each in band)
    if low == high:
        return f"{mid} {unit}"
    return f"{low} to {'>' if is_late(one, question) else ''}{high} {unit}, likely {mid}"


def _strain(one: DryingForecast) -> str:
    """The likely index against yield, or against a material's own limit."""
    for each in one.strain:
        if each.criterion.startswith("yield"):
            return index_of(each.index[1]).replace("under ", "<")
        if each.criterion == "own_limit":
            return f"{index_of(each.index[1]).replace('under ', '<')} own"
    return "-"


def thickness_lines(found: Sequence[DryingForecast], question: DryingQuestion) -> Iterator[str]:
    """How many were reckoned over a thickness nobody gave, and which to measure first."""
    count = assumed_thickness(found)
    if not count:
        return
    yield (
        f"Thickness not given, so reckoned over what such things usually have: {count} of {len(found)}, "
        "marked '?'."
    )
    if first := measure_first(found, question):
        told = ", ".join(f"{one.tag}/{one.part} {cut(one.title, KIND - 1)}" for one in first)
        yield f"Measure first, where a thickness would say most: {told}."


def assumed_thickness(found: Iterable[DryingForecast]) -> int:
    """How many were reckoned over a thickness nobody gave."""
    return sum(one.body.thickness_band_mm is not None for one in found)


def measure_first(found: Iterable[DryingForecast], question: DryingQuestion) -> list[WetBody]:
    """A body of each of the few objects whose band of days is widest for want of a thickness, widest first.

    Of bands of one width that of the wider thickness goes first.
    """
    doubts: dict[str, tuple[float, float, WetBody]] = {}
    for one in found:
        band = one.body.thickness_band_mm
        if band is None or (open_h := _open_h(one, question)) <= 0.0:
            continue
        doubt = open_h, band[2] / band[0], one.body
        if one.body.tag not in doubts or doubt[:2] > doubts[one.body.tag][:2]:
            doubts[one.body.tag] = doubt
    widest = sorted(doubts.values(), key=lambda doubt: doubt[:2], reverse=True)
    return [body for _, _, body in widest[:MEASURE]]


def _open_h(one: DryingForecast, question: DryingQuestion) -> float:
    """Hours from low to high; where fewer than half get there, the end of the time by the share that does."""
    if one.target is None:
        return 0.0
    if one.target.hours is None:
        return 24.0 * question.days * min(1.0, 2.0 * one.target.share)
    return one.target.hours[2] - one.target.hours[0]


def left_lines(left_out: Sequence[LeftOut], *, every: bool) -> Iterator[str]:
    """What is not forecast, and why; unless every one is wanted, those of a common reason together."""
    if left_out:
        yield "Not forecast:"
    for one in left_out:
        if every or (one.why not in TOGETHER and one.why != "thickness"):
            part = f"/{one.part}" if one.part else ""
            yield wrapped(f"{one.tag}{part} {cut(one.title, 30)}: {one.say}", "  ")
    if every:
        return
    yield from _unmeasured([one for one in left_out if one.why == "thickness"])
    for why, say in TOGETHER.items():
        parts = [f"{one.tag}/{one.part}" for one in left_out if one.why == why]
        if parts:
            yield wrapped(f"{say} ({len(parts)}): {', '.join(parts)}", "  ")


def _unmeasured(left_out: Sequence[LeftOut]) -> Iterator[str]:
    """Objects somebody can go and measure: each with its title and the parts that are asked for."""
    if not left_out:
        return
    yield f"  {THICKNESS} ({len(left_out)}):"
    for tag in dict.fromkeys(one.tag for one in left_out):
        mine = [one for one in left_out if one.tag == tag]
        yield wrapped(f"{tag}/{', '.join(one.part for one in mine)}  {mine[0].title}", "    ")
