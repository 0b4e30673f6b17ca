"""A drying forecast as one SVG: moisture, humidity and strain against days, one below the other.

What has no course, such as the mould index at its highest, stands in the description.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from datetime import datetime
from html import escape
from typing import Any

from strandline.exchange.charts import WIDTH, Band, Chart, Rule, Series, line_chart, to_svg
from strandline.things.drying import Band as Three
from strandline.things.drying import (
    CoverState,
    DryingForecast,
    DryingQuestion,
    MouldForecast,
    StrainAgainst,
)
from strandline.things.drying import Series as Course
from strandline.things.shared_room import SharedAir, SharedRoomForecast

HOURS_A_DAY = 24.0
HIGH, LOW = 150, 110
SECOND_BAND = {"color": "#8a5a1e", "opacity": 0.3}
TENSIONS = {"yield_0.004": "yield", "warning_0.009": "warning", "own_limit": "own limit"}
"""Criteria that are a tension, and so can stand as levels beside its course."""

OWN_LIMIT = "own limit: remembered for this material; no easing in it"
TITLE_SIZE, MARGIN = 15, 26
BESIDE = 74
"""Room at the right of the panels, for the names of levels: there no course runs through them."""

APART, NUDGE = 15.0, 8
"""Points below which two names at one side would touch, and by how much they then give way."""

LETTERS, TITLE_LETTERS = 54, 42
"""What fits across the chart in the small and in the large letters."""


def drying_svg(forecast: DryingForecast, question: DryingQuestion, as_of: datetime) -> str:
    """The chart as an SVG with its text in words.  Raises ValueError for a forecast without a course."""
    chart = drying_chart(forecast, question, as_of)
    return described(to_svg(chart), title_of(forecast), words_of(forecast, question, as_of))


def drying_chart(forecast: DryingForecast, question: DryingQuestion, as_of: datetime) -> Chart:
    """The panels of a forecast as one chart; bodies of pores have that of their water alone."""
    course = forecast.series
    if course is None:
        raise ValueError("there is no course to draw")
    days = [hour / HOURS_A_DAY for hour in course.hours]
    panels = [_moisture(forecast, course, days)]
    if course.surface_rh:
        panels.append(_humidity(forecast, course, days))
    if forecast.strain and course.strain:
        panels.append(_strain(forecast.strain, course, days))
    below = [
        circumstances(forecast, question, as_of),
        f"{_bands(forecast, question)} Not tried on a real object.",
    ]
    return _stacked(panels, title_of(forecast), below)


def room_svg(room: SharedRoomForecast, question: DryingQuestion, as_of: datetime) -> str:
    """The humidity of a room that things share, as an SVG with its text in words."""
    title = "Humidity of the room they share"
    return described(to_svg(room_chart(room, question, as_of)), title, room_words(room, question, as_of))


def room_chart(room: SharedRoomForecast, question: DryingQuestion, as_of: datetime) -> Chart:
    """The room's humidity against days, with the target."""
    days = [hour / HOURS_A_DAY for hour in room.hours]
    band, mid = _curve("room", days, room.rh)
    rules = [Rule(f"target {100 * room.target_rh:.3g}", 100 * room.target_rh)]
    chart = line_chart(
        [mid], [band], rules, (), "days", "relative humidity (%)", "Air of the room", height=HIGH
    )
    below = [
        _room_circumstances(room.air, question, as_of),
        f"{_members(question)} Not tried in a real room.",
    ]
    return _stacked([_panel(chart, HIGH)], "Humidity of the room they share", below)


def room_words(room: SharedRoomForecast, question: DryingQuestion, as_of: datetime) -> str:
    """The chart of a room in words."""
    when = "not within this time"
    if room.target_hours is not None:
        when = f"after {_said(room.target_hours, 1 / HOURS_A_DAY)} days"
    told = [
        _room_circumstances(room.air, question, as_of),
        f"{room.bodies} bodies give off water. Humidity at the start {100 * question.room[0].rh:.3g} %, "
        f"at its highest {_said(room.highest_rh, 100)} %, "
        f"at hour {_said(room.highest_at_h)}; at the end {_said(room.rh[-1], 100)} %.",
        f"At {100 * room.target_rh:.3g} % or below from then on: {when}.",
        f"{_members(question)} None of it was tried in a real room.",
    ]
    return " ".join(told)


def _room_circumstances(air: SharedAir, question: DryingQuestion, as_of: datetime) -> str:
    """The room, its air and its machine."""
    airs = ", then ".join(f"{one.temp_c:g} C and {100 * one.rh:.3g} %" for one in air.outside)
    machine = "no dehumidifier"
    if air.dehumidifier is not None:
        machine = f"a dehumidifier rated {air.dehumidifier.rated_l_day:g} l a day"
    return (
        f"Room of {air.volume_m3:g} m3 at {question.room[0].temp_c:g} C; {air.air_changes_per_h:g} air "
        f"changes an hour; outside {airs}; {machine}; {question.days:g} days from {as_of.day} {as_of:%B %Y}."
    )


def title_of(forecast: DryingForecast) -> str:
    """What is drawn."""
    body = forecast.body
    thick = "" if body.thickness_mm is None else f", {body.thickness_mm:g} mm"
    if body.thickness_band_mm is not None:
        thick = f", {body.thickness_band_mm[0]:.3g} to {body.thickness_band_mm[2]:.3g} mm (not measured)"
    tag = f"{body.tag}/{body.part}, " if body.title else ""
    return f"Drying forecast: {tag}{body.kind_words or body.kind}{thick}"


def circumstances(forecast: DryingForecast, question: DryingQuestion, as_of: datetime) -> str:
    """Room, cover, days and the date they count from."""
    airs = [f"{one.temp_c:g} C and {100 * one.rh:.3g} %" for one in question.room]
    ends = [f" until hour {one.until_h:g}" for one in question.room[:-1]] + [""]
    room = ", then ".join(f"{air}{end}" for air, end in zip(airs, ends, strict=True))
    under = _under(forecast.body.cover)
    if any(flag.key == "shared_room" for flag in forecast.flags):
        room += " at first, then the air it shares"
    return f"Room {room}; {under}; {question.days:g} days from {as_of.day} {as_of:%B %Y}."


def _under(cover: CoverState | None) -> str:
    """The cover, and the hours at which it is changed."""
    if cover is None:
        return "uncovered"
    openings = "with openings" if cover.gaps else "no openings"
    changed = " and ".join(
        f"{'taken off' if one.gaps is None else 'changed'} at hour {one.from_h:g}" for one in cover.later
    )
    return f"under a cover ({cover.sheet}, {openings}{', ' if changed else ''}{changed})"


def _bands(forecast: DryingForecast, question: DryingQuestion) -> str:
    """What bands and lines are."""
    if forecast.model == "two_stage":
        return "Band: from a fast to a slow reading; line: a likely one."
    return _members(question)


def _members(question: DryingQuestion) -> str:
    return f"Bands: 5th to 95th percentile of the {question.members} members; lines: the middle."


def words_of(forecast: DryingForecast, question: DryingQuestion, as_of: datetime) -> str:
    """The chart in words, for those who do not see it."""
    course, told = forecast.series, [circumstances(forecast, question, as_of)]
    if course is not None:
        told.append(
            f"Mean moisture from {_said(course.mean[0], 100)} % to {_said(course.mean[-1], 100)} % "
            f"in {course.hours[-1] / HOURS_A_DAY:g} days."
        )
    reached = forecast.target
    if reached is not None:
        when = (
            "not within this time"
            if reached.hours is None
            else (f"after {_said(reached.hours, 1 / HOURS_A_DAY)} days")
        )
        told.append(f"As dry as air of {100 * reached.rh:.3g} % leaves it: {when}.")
    told += [
        f"Strain against {one.criterion.replace('_', ' ')}: {_said(one.index)} times the criterion."
        for one in forecast.strain
    ]
    if any(one.criterion == "own_limit" for one in forecast.strain):
        told.append(f"{OWN_LIMIT[:1].upper()}{OWN_LIMIT[1:]}.")
    if forecast.mould is not None:
        told += _mould_words(forecast.mould)
    told.append(f"{_bands(forecast, question)} None of it was tried on a real object.")
    return " ".join(told)


def _mould_words(mould: MouldForecast) -> list[str]:
    """The model's index and the rule of practice; neither has a course."""
    highest, end = mould.index_highest, mould.index_end
    told = [
        f"Mould index at its highest: {_said(highest)}; at the end: {_said(end)} "
        "(1 under the microscope, 3 seen, 6 dense).",
        f"It begins in {100 * mould.share_growing:.0f} % of the members"
        + (f", after {_said(mould.first_growth_h, 1 / HOURS_A_DAY)} days." if mould.first_growth_h else "."),
    ]
    if mould.practice_applies:
        kept = f"{100 * mould.practice_kept_share:.0f} % of them"
        told.append(f"The rule of practice for its surface is kept in {kept}.")
    return told


def described(svg: str, title: str, words: str) -> str:
    """The SVG with title and description in it, as what screen readers say."""
    inside = f'<title id="t">{escape(title)}</title><desc id="d">{escape(words)}</desc>'
    opened = re.sub(r"<svg ", '<svg role="img" aria-labelledby="t d" ', svg, count=1)
    return re.sub(r"(<svg [^>]*>)", lambda found: found[1] + inside, opened, count=1)


def _said(band: Three, factor: float = 1.0) -> str:
    """Low to high and likely, without exponents."""
    low, mid, high = (_short(one * factor) for one in band)
    return mid if low == high else f"{low} to {high} (likely {mid})"


def _short(value: float) -> str:
    if 0 < abs(value) < 0.001:
        return "under 0.001"
    return f"{value:.2g}" if abs(value) < 10 else f"{value:.0f}"


def _curve(
    label: str, days: Sequence[float], held: Sequence[Three], factor: float = 100.0
) -> tuple[Band, Series]:
    """A band with its middle."""
    low = [factor * one[0] for one in held]
    high = [factor * one[2] for one in held]
    return Band(label, days, low, high), Series(label, days, [factor * one[1] for one in held])


def _two_bands(chart: Chart) -> Chart:
    """The second band in another grey, so that the two differ in black and white."""
    areas = [layer for layer in chart["layer"] if layer["mark"]["type"] == "area"]
    for layer in areas[1:]:
        layer["mark"] = {**layer["mark"], **SECOND_BAND}
    return chart


def _moisture(forecast: DryingForecast, course: Course, days: Sequence[float]) -> Chart:
    mean, mean_mid = _curve("whole body", days, course.mean)
    bands, curves = [mean], [mean_mid]
    if course.surface:
        surface, surface_mid = _curve("surface", days, course.surface)
        bands, curves = [*bands, surface], [*curves, surface_mid]
    rules = []
    if forecast.target is not None:
        name = f"at {100 * forecast.target.rh:.3g} % air"
        rules.append(Rule(name, 100 * forecast.target.moisture[1]))
    title = "Water in it" if course.surface else "Water in it (whole body)"
    return _panel(
        line_chart(curves, bands, rules, (), "days", "water (% of dry weight)", title, height=HIGH), HIGH
    )


def _humidity(forecast: DryingForecast, course: Course, days: Sequence[float]) -> Chart:
    at_it, at_mid = _curve("at the surface", days, course.surface_rh)
    bands, curves = [at_it], [at_mid]
    if forecast.body.cover is not None and course.cover_rh:
        under, under_mid = _curve("under the cover", days, course.cover_rh)
        bands, curves = [*bands, under], [*curves, under_mid]
    title = "Air at it" if len(curves) > 1 else "Air at its surface"
    return _panel(line_chart(curves, bands, (), (), "days", "relative humidity (%)", title, height=LOW), LOW)


def _strain(strain: Sequence[StrainAgainst], course: Course, days: Sequence[float]) -> Chart:
    band, mid = _curve("strain", days, course.strain, 1000.0)
    rules = [
        Rule(f"{TENSIONS[one.criterion]} {1000.0 * one.limit:.2g}", 1000.0 * one.limit)
        for one in strain
        if one.criterion in TENSIONS
    ]
    title = "Greatest tension in it"
    notes = [OWN_LIMIT] if any(one.criterion == "own_limit" for one in strain) else []
    chart = line_chart([mid], [band], rules, (), "days", "strain (thousandths)", title, height=LOW)
    return _panel(chart, LOW, notes)


def _panel(chart: Chart, height: int, notes: Sequence[str] = ()) -> Chart:
    """A panel with the names of its levels at its right, bands that differ in grey, and no needless notes."""
    chart["width"] = WIDTH - BESIDE
    # An empty subtitle would still take its room.
    chart["title"] = {**chart["title"], "subtitle": list(notes)}
    if not notes:
        del chart["title"]["subtitle"]
    names = [layer for layer in chart["layer"] if layer["mark"]["type"] == "text"]
    names.sort(key=lambda layer: float(layer["data"]["values"][0]["y"]))
    for number, layer in enumerate(names):
        x, y = layer["encoding"]["x"]["scale"]["domain"], layer["encoding"]["y"]["scale"]["domain"]
        at = [float(one["data"]["values"][0]["y"]) / (y[1] - y[0]) * height for one in names]
        up = number > 0 and at[number] - at[number - 1] < APART
        down = number + 1 < len(at) and at[number + 1] - at[number] < APART
        layer["data"] = {"values": [{**layer["data"]["values"][0], "x": x[1]}]}
        layer["mark"] = {**layer["mark"], "dx": 4, "dy": NUDGE * (int(down) - int(up)), "baseline": "middle"}
    return _two_bands(chart)


def _stacked(panels: Sequence[Chart], title: str, below: Sequence[str]) -> Chart:
    """Panels one below the other, each with its own legend, the axis of days named at the last."""
    inner: list[dict[str, Any]] = []
    for number, panel in enumerate(panels):
        held = {key: panel[key] for key in panel.keys() - {"$schema", "config", "padding", "background"}}
        _same_margin(held)
        held["resolve"] = {"scale": {"color": "shared"}}
        if number + 1 < len(panels):
            _without_days(held)
        inner.append(held)
    outer = {key: panels[0][key] for key in ("$schema", "config", "padding", "background")}
    independent = {
        "scale": {"color": "independent", "strokeDash": "independent", "shape": "independent"},
        "legend": {"color": "independent", "strokeDash": "independent", "shape": "independent"},
    }
    top = {
        "text": textwrap.wrap(title, TITLE_LETTERS),
        "subtitle": [line for text in below for line in textwrap.wrap(text, LETTERS)],
        "anchor": "start",
        "frame": "bounds",
        "fontSize": TITLE_SIZE,
        "subtitleFontSize": 12,
        "offset": 10,
    }
    return {**outer, "title": top, "vconcat": inner, "spacing": 16, "resolve": independent}


def _same_margin(panel: dict[str, Any]) -> None:
    """Axes of one width, so that days stand below each other."""
    for layer in panel["layer"]:
        if "axis" in (y := layer["encoding"].get("y", {})):
            layer["encoding"]["y"] = {**y, "axis": {**y["axis"], "minExtent": MARGIN}}


def _without_days(panel: dict[str, Any]) -> None:
    for layer in panel["layer"]:
        layer["encoding"]["x"] = {**layer["encoding"]["x"], "title": None}
