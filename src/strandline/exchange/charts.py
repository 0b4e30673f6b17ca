"""Charts: curves, bands and limits as a Vega-Lite dict, and that dict as an SVG.

Every series differs from the others in colour, in dashes and in the shape of its points, so that a chart
reads in black and white too. Sizes suit a telephone: a chart is 360 points wide.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

Chart = dict[str, Any]

FONT = "Atkinson Hyperlegible Next"
FONTS = Path(__file__).parent.parent / "papers" / "fonts"
VEGA_LITE = "5.21"
WIDTH, HEIGHT, LOW_HEIGHT = 285, 210, 90
COLOURS = ("#005b96", "#b34700", "#3d7a1e", "#7a3b8f", "#8a6d00", "#444444")
DASHES = ((1, 0), (6, 3), (2, 2), (8, 3, 2, 3), (4, 1), (1, 3))
SHAPES = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down")
INK, FAINT = "#222222", "#6b6b6b"
PLAIN = (1e-3, 1e6)
"""An axis that reaches no farther than the first, or as far as the second, has powers of ten for labels."""

SHORT = (
    f"datum.value == 0 || (abs(datum.value) >= {PLAIN[0]} && abs(datum.value) < {PLAIN[1]}) "
    "? format(datum.value, '~g') : replace(format(datum.value, '.2~e'), 'e+', 'e')"
)
DIGITS = 6
"""Significant digits of a number in a chart: the last bits of a machine change no picture."""


@dataclass(frozen=True, slots=True)
class Series:
    """One curve, or one set of points; those of one label share their look."""

    label: str
    x: Sequence[float]
    y: Sequence[float]
    points: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """Everything between two curves."""

    label: str
    x: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]


@dataclass(frozen=True, slots=True)
class Rule:
    """A level across the whole chart, such as a target."""

    label: str
    y: float


@dataclass(frozen=True, slots=True)
class Shade:
    """A stretch along x, such as the range an equation is stated for."""

    label: str
    low: float
    high: float


def line_chart(
    series: Sequence[Series],
    bands: Sequence[Band] = (),
    rules: Sequence[Rule] = (),
    shaded: Sequence[Shade] = (),
    x_title: str = "",
    y_title: str = "",
    title: str | Sequence[str] = "",
    height: int = HEIGHT,
    log_x: bool = False,
    log_y: bool = False,
) -> Chart:
    """A chart of curves and points; units stand in the titles of the axes.

    Bands lie behind the curves, rules are labelled lines, shades cover a stretch along x.
    """
    panel = _panel(series, bands, rules, shaded, (x_title, y_title), (log_x, log_y))
    panel["height"] = height
    notes = [f"Shaded: {one.label}" for one in shaded] + [f"Band: {one.label}" for one in bands]
    return _whole({"title": _title(title, notes), **panel})


def stacked(upper: Chart, lower: Chart) -> Chart:
    """Two charts of one x, one above the other, as one."""
    panels = [{key: one[key] for key in one.keys() - {"$schema", "config"}} for one in (upper, lower)]
    title = panels[0].pop("title")
    title["subtitle"] = title["subtitle"] + panels[1].pop("title")["subtitle"]
    above = panels[0]["layer"][-1]["encoding"]["x"]["title"]
    for layer in panels[0]["layer"]:
        if layer.get("encoding", {}).get("x", {}).get("title") == above:
            layer["encoding"]["x"] = {**layer["encoding"]["x"], "title": None}
    independent = {"scale": {"color": "shared"}, "legend": {"color": "shared"}}
    return _whole({"title": title, "vconcat": panels, "spacing": 14, "resolve": independent})


def to_svg(chart: Chart) -> str:
    """The chart as an SVG; needs neither network nor fonts of the system."""
    # Here because it is large and slow to load, and only charts need it.
    import vl_convert

    _register_fonts()
    return str(vl_convert.vegalite_to_svg(chart, vl_version=VEGA_LITE, allowed_base_urls=[]))


def chart_hash(chart: Chart) -> str:
    """A hash of what is drawn: it stays when another version draws the same chart a little differently."""
    told = json.dumps(chart, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()


@cache
def _register_fonts() -> None:
    """Make our own fonts known to the renderer."""
    # Here for the same reason as in to_svg.
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))


def rounded(value: float) -> float:
    """A number with no more digits than a picture shows."""
    return float(f"{value:.{DIGITS}g}")


def _panel(
    series: Sequence[Series],
    bands: Sequence[Band],
    rules: Sequence[Rule],
    shaded: Sequence[Shade],
    titles: tuple[str, str],
    logs: tuple[bool, bool],
) -> Chart:
    """One panel: its layers from back to front."""
    x, y = _axes(series, bands, rules, titles, logs)
    layers = [_shade(one, x) for one in shaded] + [_band(one, x, y) for one in bands]
    layers += [layer for rule in rules for layer in _rule(rule, x, y)]
    labels = list(dict.fromkeys(one.label for one in series))
    lines = [one for one in series if not one.points]
    dots = [one for one in series if one.points]
    if lines:
        layers.append(_drawn(lines, labels, x, y, points=False))
    if dots:
        layers.append(_drawn(dots, labels, x, y, points=True))
    return {"width": WIDTH, "layer": layers}


def _axes(
    series: Sequence[Series],
    bands: Sequence[Band],
    rules: Sequence[Rule],
    titles: tuple[str, str],
    logs: tuple[bool, bool],
) -> tuple[Chart, Chart]:
    """The encodings of x and y, with the same extent in every layer."""
    xs = [value for one in series for value in one.x] + [value for one in bands for value in one.x]
    ys = [value for one in series for value in one.y]
    ys += [value for one in bands for value in (*one.low, *one.high)] + [rule.y for rule in rules]
    if not xs:
        raise ValueError("a chart needs at least one value")
    axis: Chart = {"labelOverlap": "greedy", "tickCount": 5}
    x: Chart = {"field": "x", "type": "quantitative", "title": titles[0], "axis": axis}
    y: Chart = {"field": "y", "type": "quantitative", "title": titles[1], "axis": axis}
    x["scale"], y["scale"] = _scale(xs, logs[0], 0.0), _scale(ys, logs[1], 0.06)
    for one, log in zip((x, y), logs, strict=True):
        if log or not PLAIN[0] <= max(map(abs, one["scale"]["domain"])) < PLAIN[1]:
            one["axis"] = {**axis, "labelExpr": SHORT}
        if log and len(decades := _decades(one["scale"]["domain"])) > 1:
            one["axis"]["values"] = decades
    return x, y


def _decades(domain: Sequence[float]) -> list[float]:
    """Powers of ten on a logarithmic axis; every second, third... where there are many."""
    powers = range(math.ceil(math.log10(domain[0])), math.floor(math.log10(domain[1])) + 1)
    return [rounded(10.0**power) for power in powers[:: 1 + len(powers) // 6]]


def _scale(values: Sequence[float], log: bool, margin: float) -> Chart:
    """From the least to the greatest, with a margin."""
    if not log:
        return {"domain": _extent(values, margin), "nice": False, "zero": False}
    low, high = _extent([math.log(value) for value in values], margin)
    return {"type": "log", "domain": [rounded(math.exp(low)), rounded(math.exp(high))]}


def _extent(values: Sequence[float], margin: float) -> list[float]:
    """Least and greatest, with a margin; never a single point."""
    if not all(map(math.isfinite, values)):
        raise ValueError("a chart holds finite numbers only")
    low, high = min(values), max(values)
    room = (high - low) * margin or abs(high) * 0.05 * (high == low) or 1.0 * (high == low)
    return [rounded(low - room), rounded(high + room)]


def _shade(one: Shade, x: Chart) -> Chart:
    """A stretch along x, cut to what the chart shows."""
    low, high = x["scale"]["domain"]
    ends = {"x": rounded(max(one.low, low)), "x2": rounded(min(one.high, high)), "s": one.label}
    return {
        "data": {"values": [ends]},
        "mark": {"type": "rect", "color": "#dfe8ef", "opacity": 0.7},
        "encoding": {"x": x, "x2": {"field": "x2"}},
    }


def _band(one: Band, x: Chart, y: Chart) -> Chart:
    """The area between two curves."""
    rows = [
        {"x": rounded(at), "y": rounded(low), "y2": rounded(high)}
        for at, low, high in zip(one.x, one.low, one.high, strict=True)
    ]
    return {
        "data": {"values": rows},
        "mark": {"type": "area", "color": "#9fc0d8", "opacity": 0.55},
        "encoding": {"x": x, "y": y, "y2": {"field": "y2"}},
    }


def _rule(one: Rule, x: Chart, y: Chart) -> list[Chart]:
    """A level, and its label above the left end: a course that dries down to it passes there high above."""
    low, high = x["scale"]["domain"]
    values = [{"x": low, "y": rounded(one.y)}, {"x": high, "y": rounded(one.y)}]
    mark = {"type": "line", "color": FAINT, "strokeDash": [2, 2], "strokeWidth": 1}
    layers: list[Chart] = [{"data": {"values": values}, "mark": mark, "encoding": {"x": x, "y": y}}]
    if one.label:
        text = {"type": "text", "align": "left", "dy": -7, "dx": 4, "color": INK, "text": one.label}
        layers.append({"data": {"values": values[:1]}, "mark": text, "encoding": {"x": x, "y": y}})
    return layers


def _drawn(series: Sequence[Series], labels: Sequence[str], x: Chart, y: Chart, *, points: bool) -> Chart:
    """All curves, or all sets of points, of a panel."""
    rows = [
        {"x": rounded(at), "y": rounded(value), "s": one.label}
        for one in series
        for at, value in zip(one.x, one.y, strict=True)
    ]
    encoding: Chart = {"x": x, "y": y, "color": _look(labels, COLOURS)}
    if points:
        mark: Chart = {"type": "point", "filled": False, "size": 42, "strokeWidth": 1.6, "opacity": 1}
        encoding["shape"] = _look(labels, SHAPES)
    else:
        mark = {"type": "line", "strokeWidth": 1.8, "clip": True}
        encoding["strokeDash"] = _look(labels, [list(one) for one in DASHES])
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}


def _look(labels: Sequence[str], ways: Sequence[object]) -> Chart:
    """Label -> look, in the order of the labels; a legend only where there is something to tell apart."""
    chosen = [ways[number % len(ways)] for number in range(len(labels))]
    look: Chart = {"field": "s", "type": "nominal", "scale": {"domain": list(labels), "range": chosen}}
    look["legend"] = {"title": None} if len(labels) > 1 else None
    return look


def _title(title: str | Sequence[str], notes: Sequence[str]) -> Chart:
    """Title, and below it what the areas mean."""
    lines = [title] if isinstance(title, str) else list(title)
    return {
        "text": lines,
        "subtitle": list(notes),
        "anchor": "start",
        "frame": "bounds",
        "fontSize": 14,
        "subtitleFontSize": 12,
        "subtitlePadding": 4,
        "offset": 8,
    }


def _whole(panel: Mapping[str, Any]) -> Chart:
    """A panel, or several, as a whole chart with our looks."""
    small, text = {"labelFontSize": 12, "titleFontSize": 12.5}, {"labelColor": INK, "titleColor": INK}
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        **panel,
        "padding": 6,
        "background": "white",
        "config": {
            "font": f"{FONT}, Noto Sans, sans-serif",
            "axis": {**small, **text, "titleFontWeight": "normal", "gridColor": "#e2e2e2"},
            "legend": {
                **text,
                "orient": "bottom",
                "direction": "vertical",
                "labelFontSize": 12,
                "labelLimit": 300,
                "symbolSize": 110,
                "symbolStrokeWidth": 1.8,
                "columns": 1,
            },
            "view": {"stroke": "#bbbbbb"},
            "text": {"fontSize": 12},
            "title": {"fontWeight": "bold", "color": INK, "subtitleColor": INK},
        },
    }
