"""One drying forecast in words for a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence

from strandline.cli.dry_given import ONE
from strandline.cli.dry_numbers import (
    counted,
    criterion,
    days,
    index_of,
    name_of,
    number_name,
    percent,
    plain,
    share,
    span,
    thick,
    times,
    until,
    width,
)
from strandline.things.drying import (
    Assumption,
    Band,
    CoverState,
    DryingForecast,
    DryingQuestion,
    Flag,
    Gap,
    MouldForecast,
    Series,
    StrainAgainst,
    WetBody,
)

INDENT, HOLDS = " " * 6, "\N{NO-BREAK SPACE}"
SHOWN_HOURS = (0.0, 6.0, 24.0, 48.0, 96.0, 168.0, 336.0, 720.0, 1440.0, 2880.0)
SURE = {"v": "read", "m": "from memory", "c": "common practice, no published source"}
ASSUMED = {
    "sheet_area_m2": "area of the sheet",
    "air_litres": "air under the cover",
    "thickness_mm": "thickness",
    "dry_mass_g": "dry weight",
}
ALWAYS_SAID = ("untried", "fast_side", "shared_room")
"""Flags that the last lines of every answer say anyway."""


def full(one: DryingForecast, question: DryingQuestion) -> str:
    """One body in full: the course at some hours, every assumption and flag, with sources."""
    body = one.body
    tag = "" if body.tag == ONE else f"{body.tag}/{body.part}  "
    title = f"{body.title}: " if body.title else ""
    size = f"{thick(body)} {body.shape}" if body.thickness_mm is not None else body.shape
    lines = [f"{tag}{title}{name_of(one)}, {size}, {_faces(body)}"]
    lines += [wrapped(text, "  ") for text in _circumstances(one, question)]
    if one.start_moisture is not None:
        lines.append(
            f"  Water at the start: {span(times(one.start_moisture, 100.0), ' % of its dry weight')}"
        )
    dry = f"As dry as air of {percent(question.target_rh)} leaves it: {until(one, question)}"
    lines.append(wrapped(dry, "  "))
    for heading, some in (
        ("Strain (1 is the criterion; each is another question)", _strain_lines(one.strain)),
        ("Mould", _mould_lines(one.mould)),
    ):
        if told := list(some):
            lines += [f"  {heading}:", *(wrapped(text, "    ") for text in told)]
    if one.series is not None:
        lines += ["  The course (low, likely, high):", *_course(one.series)]
    if one.assumed:
        lines.append("  Taken for granted:")
        lines += [wrapped(_assumed(each), "    ") for each in one.assumed]
    lines += [wrapped(f"flag: {flag.say} [{flag.key}]", "  ") for flag in one.flags]
    if one.numbers:
        lines.append("  Reckoned with (low, likely, high):")
        lines += [
            wrapped(f"{number_name(key)}: {', '.join(map(plain, band))}", "    ")
            for key, band in one.numbers.items()
        ]
    if one.sources:
        lines.append(wrapped(f"Sources: {', '.join(one.sources)}", "  "))
    return "\n".join(lines)


def explained(found: Sequence[DryingForecast], question: DryingQuestion) -> Iterator[str]:
    """What low, likely and high are, for the models that were used."""
    models = {one.model for one in found}
    if "engine" in models:
        yield (
            f"Each figure was reckoned {question.members} times with other numbers from within their doubt: "
            "low and high leave out the outermost 5 in 100."
        )
    if "two_stage" in models:
        yield (
            "Brick, plaster, stone and pottery are three readings, a fast, a likely and a slow one; "
            "strain and surface moisture are not reckoned for them; mould is, from the air at the face."
        )


def cautions_of(one: DryingForecast) -> list[Flag]:
    """The flags that are not said of every forecast."""
    return [flag for flag in one.flags if flag.key not in ALWAYS_SAID]


def _over(value: float) -> str:
    """How many reckonings go over a criterion, in words."""
    if value <= 0.0:
        return "no reckoning goes over it"
    if value >= 1.0:
        return "every reckoning goes over it"
    return f"{share(value)} of the reckonings go over it"


def _strain_lines(strain: Sequence[StrainAgainst]) -> Iterator[str]:
    """Tension against each criterion, side by side and named."""
    for one in strain:
        low, mid, high = map(index_of, one.index)
        index = mid if low == high else f"{low} to {high}, likely {mid}"
        when = f"highest at {days(one.at_h)}"
        yield f"against {criterion(one)}: {index}; {_over(one.share_over)}; {when}. {_sentence(one.says)}"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _mould_lines(mould: MouldForecast | None) -> Iterator[str]:
    """The model and the rule of practice, one beside the other."""
    if mould is None:
        return
    low, mid, high = (f"{value:.1f}" for value in mould.index_highest)
    first = f", first growth after {days(mould.first_growth_h)}" if mould.first_growth_h else ""
    yield (
        f"mould model ({mould.surface.replace('_', ' ')}, clean; 1 under the microscope, 3 seen, 6 dense): "
        f"index {low} to {high}, likely {mid}, at its highest; it begins in "
        f"{share(mould.share_growing)} of the reckonings{first}"
    )
    if mould.practice_applies:
        kept = f"kept in {share(mould.practice_kept_share)} of the reckonings"
        yield (f"rule of practice, for this surface: {kept} ({mould.practice_says})")
    else:
        yield "rule of practice: nothing was said of the surface that brings it in"


def _assumed(one: Assumption) -> str:
    keys = ", ".join(one.source)
    whence = f"{keys}, {SURE[one.confidence]}" if keys else SURE[one.confidence]
    what = ASSUMED.get(one.what, one.what.replace("_", " "))
    return f"{what}: {one.value}; {one.why} [{whence}]"


def _faces(body: WetBody) -> str:
    if body.shape != "plane":
        return "open all round"
    return "both faces open" if body.faces == 2 else "one face open"


def _circumstances(one: DryingForecast, question: DryingQuestion) -> Iterator[str]:
    """Room, cover and surfaces."""
    body = one.body
    stretches = [f"{each.temp_c:g} C and {percent(each.rh)}" for each in question.room]
    until_h = [f" until {each.until_h:g} h" for each in question.room[:-1]] + [""]
    room = ", then ".join(f"{air}{end}" for air, end in zip(stretches, until_h, strict=True))
    if any(flag.key == "shared_room" for flag in one.flags):
        room += " at first, then the air it shares"
    moving = ", moving air" if question.moving_air else ""
    how = "three readings" if one.model == "two_stage" else f"{question.members} {counted(one)}"
    yield f"Room: {room}{moving}; {question.days:g} d ahead, {how}, seed {question.seed}"
    yield f"Cover: {_cover(body.cover)}; coating: {body.coating}; out of the water for {body.out_h:g} h"
    if body.surfaces:
        yield f"Surface: {', '.join(each.replace('_', ' ') for each in body.surfaces)}"


def _cover(cover: CoverState | None) -> str:
    if cover is None:
        return "none"
    later = [f"; from hour {one.from_h:g}: {_changed(one.gaps)}" for one in cover.later]
    return f"{cover.sheet}, openings: {_gaps(cover.gaps)}{''.join(later)}"


def _changed(gaps: Sequence[Gap] | None) -> str:
    """What a cover is changed to."""
    if gaps is None:
        return "taken off"
    return _gaps(gaps) if gaps else "shut"


def _gaps(gaps: Sequence[Gap]) -> str:
    """Openings in words."""
    told = [
        f"{gap.count} x {gap.kind} "
        + (f"{gap.length_mm:g}" if gap.kind == "hole" else f"{gap.length_mm:g} x {gap.width_mm:g}")
        + f" mm, {gap.place}"
        for gap in gaps
    ]
    return " and ".join(told) or "none"


def _course(series: Series) -> Iterator[str]:
    """What is reckoned of water, surface, air and weight, at a few hours; bodies of pores have no surface."""
    columns: list[tuple[str, Sequence[Band], float]] = [
        ("water, %", series.mean, 100.0),
        ("surface, %", series.surface, 100.0),
        ("air at it, %", series.surface_rh, 100.0),
        ("weight, g", series.mass_g or (), 1.0),
    ]
    there = [column for column in columns if column[1]]
    yield f"    {'hours':>6}  {''.join(f'{head:<20}' for head, _, _ in there)}".rstrip()
    for at in _places(series.hours):
        cells = [f"{_three(times(held[at], factor)):<20}" for _, held, factor in there]
        yield f"    {series.hours[at]:>6.0f}  {''.join(cells)}".rstrip()


def _three(band: Band) -> str:
    return " ".join(f"{one:.0f}" if abs(one) >= 100 else f"{one:.1f}" for one in band)


def _places(hours: Sequence[float]) -> list[int]:
    """Places of the samples nearest to a few hours, and the last."""
    wanted = [hour for hour in SHOWN_HOURS if hour < hours[-1]]
    near = [min(range(len(hours)), key=lambda k, hour=hour: abs(hours[k] - hour)) for hour in wanted]  # type: ignore[misc]  # the default binds the hour
    return list(dict.fromkeys([*near, len(hours) - 1]))


def wrapped(text: str, indent: str = INDENT) -> str:
    """Lines of the terminal's width; a number is not parted from its per cent."""
    held = re.sub(r"(?<=\d) (?=%)", HOLDS, text)
    lines = textwrap.fill(
        held, width(), initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False
    )
    return lines.replace(HOLDS, " ")
