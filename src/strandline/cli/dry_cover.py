"""The cover that the options of ``strandline dry`` describe, and how it is changed later."""

from __future__ import annotations

import math
from itertools import pairwise

from strandline.cli.dry_options import Given
from strandline.cli.shared import UserError
from strandline.knowledge.covers import covers
from strandline.things.drying import CoverChange, CoverState, Gap

PLACES = ("top", "side", "bottom")
LEAST_GAP_MM, LARGEST_HOLE_MM, LONGEST_SLIT_MM, MOST_GAPS = 0.01, 3000.0, 10_000.0, 10_000
MM2_IN_M2, MOST_DIGITS = 1e6, 9
GAP_WANTS = "wants hole,DIAMETER,PLACE,COUNT or slit,LENGTHxWIDTH,PLACE,COUNT in mm"
THEN_WANTS = "--then wants HOUR,GAP or HOUR,shut or HOUR,off, for example 72,slit,100x5,top,2"
LATEST_H, LEAST_HOURS = 100_000.0, 0.1


def cover_from(given: Given) -> CoverState | None:
    """The cover the options describe, or none; UserError."""
    if given.cover is None:
        for name, value in (
            ("--gap", given.gaps),
            ("--then", given.then),
            ("--sheet-area-m2", given.sheet_area_m2),
            ("--air-litres", given.air_litres),
        ):
            if value:
                raise UserError(f"{name} is of a cover; say which with --cover")
        return None
    if given.cover not in covers():
        raise UserError(f"--cover: there is no sheet '{given.cover}'; there are {', '.join(covers())}")
    gaps = tuple(gap_from(text) for text in given.gaps)
    _check_room("--gap", gaps, given.sheet_area_m2)
    later = changes_from(given.then)
    for change in later:
        _check_room("--then", change.gaps or (), given.sheet_area_m2)
    return CoverState(given.cover, given.sheet_area_m2, given.air_litres, gaps, later)


def _check_room(option: str, gaps: tuple[Gap, ...], sheet_m2: float | None) -> None:
    """Refuse openings that add up to more than the sheet has."""
    open_mm2 = sum(_area_mm2(gap) * gap.count for gap in gaps)
    if sheet_m2 is not None and open_mm2 >= sheet_m2 * MM2_IN_M2:
        raise UserError(
            f"{option}: the openings add up to {open_mm2 / MM2_IN_M2:.2g} m2, "
            f"and the whole sheet has {sheet_m2:g} m2"
        )


def _area_mm2(gap: Gap) -> float:
    area = gap.length_mm * gap.width_mm
    return area * math.pi / 4 if gap.kind == "hole" else area


def changes_from(texts: tuple[str, ...]) -> tuple[CoverChange, ...]:
    """``72,slit,100x5,top,2``, ``72,shut``, ``240,off``; those of one hour together.  UserError."""
    found: dict[float, tuple[Gap, ...] | None] = {}
    for text in texts:
        hour, gaps = _change(text)
        if hour in found and not (gaps and found[hour]):
            raise UserError(f"--then: hour {hour:g} is shut or off and something else; got '{text}'")
        found[hour] = (*(found.get(hour) or ()), *gaps) if gaps else gaps
    hours = list(found)
    for before, after in pairwise(hours):
        if after <= before:
            raise UserError(f"--then: say the hours in their order; {after:g} h comes after {before:g} h")
        if after - before < LEAST_HOURS:
            raise UserError(f"--then: {before:g} h and {after:g} h are less than {LEAST_HOURS:g} h apart")
        if found[before] is None:
            raise UserError(f"--then: the cover is off from hour {before:g}; nothing of it is changed later")
    return tuple(CoverChange(hour, gaps) for hour, gaps in found.items())


def _change(text: str) -> tuple[float, tuple[Gap, ...] | None]:
    """The hour, and the opening; none if it is shut, None if it is taken off."""
    first, _, rest = (piece.strip() for piece in text.partition(","))
    hour = number_in(first)
    if hour is None or not rest:
        raise UserError(f"{THEN_WANTS}; got '{text}'")
    if not LEAST_HOURS <= hour <= LATEST_H:
        raise UserError(f"--then: the hour is from {LEAST_HOURS:g} to {LATEST_H:g}; got '{text}'")
    if rest == "off":
        return hour, None
    return hour, () if rest == "shut" else (gap_from(rest, "--then: an opening"),)


def gap_from(text: str, option: str = "--gap") -> Gap:
    """``hole,6,side,4`` or ``slit,100x5,top,1``; UserError."""
    pieces = [piece.strip() for piece in text.split(",")]
    if len(pieces) != 4 or pieces[0] not in {"hole", "slit"}:
        raise UserError(f"{option} {GAP_WANTS}; got '{text}'")
    kind, sizes, place, count = pieces
    long_side, short_side = _gap_size(kind, sizes, text, option)
    if place not in PLACES:
        raise UserError(
            f"{option}: the place of an opening is top, side or bottom; got '{place}' in '{text}'"
        )
    if not (count.isdecimal() and len(count) <= MOST_DIGITS and 1 <= int(count) <= MOST_GAPS):
        raise UserError(
            f"{option}: the count is a whole number from 1 to {MOST_GAPS}; got '{count}' in '{text}'"
        )
    return Gap(kind, long_side, short_side, place, int(count))


def _gap_size(kind: str, sizes: str, text: str, option: str) -> tuple[float, float]:
    """Length and width in mm, the longer first."""
    held = [number_in(piece) for piece in sizes.lower().split("x")]
    known = [one for one in held if one is not None]
    if len(known) != len(held) or len(held) != (1 if kind == "hole" else 2):
        raise UserError(f"{option} {GAP_WANTS}; got '{text}'")
    long_side, short_side = max(known), min(known)
    longest = LARGEST_HOLE_MM if kind == "hole" else LONGEST_SLIT_MM
    if not LEAST_GAP_MM <= short_side <= LARGEST_HOLE_MM or long_side > longest:
        raise UserError(f"{option}: a {kind} measures from {LEAST_GAP_MM:g} to {longest:g} mm; got '{text}'")
    return long_side, short_side


def number_in(text: str) -> float | None:
    """The finite number that a text is, or None."""
    try:
        found = float(text)
    except ValueError:
        return None
    return found if math.isfinite(found) else None
