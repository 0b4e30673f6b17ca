"""Charts for the pages of the science: our curve, the values from outside, and the gaps between them."""

from __future__ import annotations

import inspect
import math
import textwrap
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from tests.reference import outside
from tests.reference.outside import Row, Verdict

from science_spec import Curve, Page, Value
from strandline.exchange import charts

UNITS = {
    "c": "°C",
    "f": "°F",
    "v": "V",
    "mv": "mV",
    "d": "d",
    "k": "K",
    "m_s05": "m/s^0.5",
    "kg_m2_s05": "kg/(m² s^0.5)",
    "kg_m2_s": "kg/(m² s)",
    "kg_m_s_pa": "kg/(m s Pa)",
    "kg_s": "kg/s",
    "kj_kg": "kJ/kg",
    "us_cm": "µS/cm",
    "mg_l": "mg/l",
    "g_mol": "g/mol",
    "g_m2": "g/m²",
    "g_h": "g/h",
    "l_day": "l/d",
    "ug_m3": "µg/m³",
    "mg_m2_d": "mg/(m² d)",
    "weeks": "weeks",
    "pa": "Pa",
    "kpa": "kPa",
    "mpa": "MPa",
    "gpa": "GPa",
    "m": "m",
    "mm": "mm",
    "um": "µm",
    "s": "s",
    "h": "h",
    "days": "d",
    "kg": "kg",
    "g": "g",
    "w": "W",
    "percent": "%",
    "m2": "m²",
    "m3": "m³",
    "kg_m3": "kg/m³",
    "g_m3": "g/m³",
    "kg_m2": "kg/m²",
    "kg_kg": "kg/kg",
    "m2_s": "m²/s",
    "m3_s": "m³/s",
    "m3_h": "m³/h",
    "m_s": "m/s",
    "w_m2_k": "W/(m² K)",
    "w_m_k": "W/(m K)",
    "j_kg": "J/kg",
    "j_kg_k": "J/(kg K)",
    "n_m": "N/m",
    "pa_s": "Pa s",
    "mol_kg": "mol/kg",
    "m3_kg": "m³/kg",
}
WORDS = {"rh": "relative humidity", "temp": "temperature", "moisture": "moisture content"}
WHOLE = {
    "moisture": ("moisture content", "kg/kg"),
    "us_cm": ("conductivity", "µS/cm"),
    "mol_l": ("salt", "mol/l"),
    "days": ("time", "d"),
    "hours": ("time", "h"),
    "at_h": ("time", "h"),
}
LEAST_ON_A_LINE = 3
LEAST_SCATTERED = 4
MOST_GAP = 5.0
MOST_STEPS = 200
MARGIN = 0.06
FAR = 50.0
SCALES = ("°C", "°F")
"""Units whose nought is nothing in particular."""

SHOWN = {"um": "µm", "uS/cm": "µS/cm", "degC": "°C", "degK": "K", "1": "", "-": ""}
POWERS = {"m2": "m²", "m3": "m³", "^2": "²", "^3": "³", "*": " "}
REFUSALS = (ValueError, ArithmeticError, TypeError, KeyError)
Key = tuple[tuple[str, Value], ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart that is ready, with what it shows in words."""

    chart: charts.Chart
    alt: str
    values: int


HELD: dict[str, Verdict] = {}
"""Verdicts by row: some of our answers take long, and each is shown more than once."""


def verdict(row: Row) -> Verdict:
    """Our value beside theirs, asked for once in a run."""
    if row.id not in HELD:
        HELD[row.id] = outside.verdict(row)
    return HELD[row.id]


def spoken(name: str) -> tuple[str, str]:
    """``temp_c`` as *temperature* and *°C*."""
    if name in WHOLE:
        return WHOLE[name]
    pieces, unit = name.split("_"), ""
    for length in range(min(4, len(pieces) - 1), 0, -1):
        unit = UNITS.get("_".join(pieces[-length:]), "")
        if unit:
            pieces = pieces[:-length]
            break
    return " ".join(WORDS.get(piece, piece) for piece in pieces), unit


def shown(unit: str) -> str:
    """The unit of a row as it is printed: nothing for a number without one."""
    said = SHOWN.get(unit, unit)
    for plain, raised in POWERS.items():
        said = said.replace(plain, raised)
    return said.replace("degC", "°C")


def axis(name: str, unit: str = "") -> str:
    """The title of an axis: what, and its unit in brackets."""
    what, own = spoken(name)
    return f"{what} [{shown(unit or own) or '–'}]"


def chosen(page: Page) -> list[Curve]:
    """The curves of a page: those its spec names, else those with the longest rows of values."""
    if page.curves:
        return list(page.curves)
    found = []
    for quantity, rows in by_quantity(counted(page)).items():
        along, score = max(
            ((name, _score(rows, name)) for name in _numbers(rows)),
            key=lambda pair: pair[1],
            default=("", 0),
        )
        # Yes and no, written as 1 and 0, are no curve.
        if score >= LEAST_ON_A_LINE and len({row.value for row in rows}) > 2:
            found.append((-score, quantity, along))
    return [Curve(quantity, along) for _, quantity, along in sorted(found)[: page.most_charts]]


def rows_of(page: Page) -> list[Row]:
    """The values of a page."""
    return [
        row
        for row in outside.all_rows()
        if row.file in page.files and (not page.only or row.module in page.only)
    ]


def counted(page: Page) -> list[Row]:
    """Those of them that count."""
    return [row for row in rows_of(page) if row.counted]


def by_quantity(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Rows by what they are of, in the order of the files."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        found[row.quantity].append(row)
    return dict(found)


def _numbers(rows: Sequence[Row]) -> list[str]:
    """Inputs that are numbers in every row."""
    names = [name for row in rows for name, value in row.inputs.items() if _is_number(value)]
    return [name for name in dict.fromkeys(names) if names.count(name) == len(rows)]


def _is_number(value: Value) -> bool:
    return not isinstance(value, str) and math.isfinite(value)


def _lines(rows: Iterable[Row], along: str) -> list[tuple[Key, list[Row]]]:
    """Rows that differ along one input only, longest first."""
    found: dict[Key, list[Row]] = defaultdict(list)
    for row in rows:
        if along in row.inputs and math.isfinite(_at(row, along)):
            others = sorted((name, value) for name, value in row.inputs.items() if name != along)
            found[tuple(others)].append(row)
    return sorted(found.items(), key=lambda item: (-len(item[1]), str(item[0])))


def _score(rows: Sequence[Row], along: str) -> int:
    """How many values lie on lines worth drawing."""
    counts = [len({row.inputs[along] for row in held}) for _, held in _lines(rows, along)[:4]]
    return sum(count for count in counts if count >= LEAST_ON_A_LINE)


def draw(curve: Curve, page: Page) -> Drawn:
    """One chart.  Raises ValueError where no value lies on a line of it."""
    rows = _drawable(curve, page)
    groups = _groups(curve, rows)
    held = [row for _, group in groups for row in group]
    xs = [_at(row, curve.along) for row in held]
    if not held:
        raise ValueError(f"{curve.quantity} along {curve.along}: no value lies on a line")
    labels = list(curve.labels) or _labels([key for key, _ in groups])
    log_x = far_apart(xs) and spoken(curve.along)[1] not in SCALES
    log_y = far_apart([row.value for row in held]) and shown(held[0].unit) not in SCALES
    low, high = _stretch(curve, xs, log_x)
    ask = outside.function(held[0].file, curve.quantity)
    lines, points, answered = [], [], []
    for (key, group), label in zip(groups, labels, strict=True):
        at, ours = _course(ask, curve, dict(key), _steps(ask, curve, low, high, log_x))
        answered += at
        if at:
            lines.append(_line(label, at, ours, positive=log_y))
        along = [_at(row, curve.along) for row in group]
        points.append(charts.Series(label, along, [row.value for row in group], points=True))
    title = curve.title or _title(ask, curve.quantity)
    apart = not held[0].counted
    title += " (values counted apart)" if apart else ""
    unit, x_title = held[0].unit, axis(curve.along)
    shaded = (
        [charts.Shade("where the function gives an answer", min(answered), max(answered))] if answered else []
    )
    upper = charts.line_chart(
        [*lines, *points],
        shaded=shaded,
        x_title=x_title,
        y_title=curve.y_title or axis(curve.quantity.partition(".")[2], unit),
        title=textwrap.wrap(title, 42),
        log_x=log_x,
        log_y=log_y,
    )
    return Drawn(
        charts.stacked(upper, _gaps(groups, labels, curve, upper)),
        _alt(title, curve, held, (low, high)),
        len(held),
    )


def parity(quantity: str, rows: Sequence[Row]) -> Drawn:
    """Ours over theirs, for values that differ in more than one input: on the line they are the same."""
    theirs = [row.value for row in rows]
    log = far_apart(theirs)
    ends = [min(theirs), max(theirs)]
    title = f"{_title(outside.function(rows[0].file, quantity), quantity)}: ours over theirs"
    label, same = "value from outside", "the same"
    ours = [verdict(row).ours for row in rows]
    log = log and min(ours) > 0.0
    unit = shown(rows[0].unit) or "–"
    upper = charts.line_chart(
        [charts.Series(same, ends, ends), charts.Series(label, theirs, ours, points=True)],
        x_title=f"theirs [{unit}]",
        y_title=f"ours [{unit}]",
        title=textwrap.wrap(title, 42),
        log_x=log,
        log_y=log,
    )
    lower = charts.line_chart(
        [
            charts.Series(same, ends, [0.0, 0.0]),
            charts.Series(label, theirs, list(map(_gap, rows)), points=True),
        ],
        bands=[charts.Band("the tolerance", ends, [-1.0, -1.0], [1.0, 1.0])],
        x_title=f"theirs [{unit}]",
        y_title="gap [tolerances]",
        height=charts.LOW_HEIGHT,
        log_x=log,
    )
    alt = f"{title}, {len(rows)} values from outside; {_outside_tolerance(rows)}"
    return Drawn(charts.stacked(upper, lower), alt, len(rows))


def gaps(page: Page) -> Drawn | None:
    """How far ours lies from each value that counts, in tolerances, in the order of the table.

    For pages whose values lie on no line. Beyond MOST_GAP a point stands at the edge: the table says how
    far.
    """
    rows = [row for row in counted(page) if row.tolerance > 0.0]
    if not rows:
        return None
    at = [float(number) for number in range(1, len(rows) + 1)]
    held = [max(-MOST_GAP, min(MOST_GAP, _gap(row))) for row in rows]
    inside = [(x, y) for x, y in zip(at, held, strict=True) if abs(y) <= 1.0]
    outside_band = [(x, y) for x, y in zip(at, held, strict=True) if abs(y) > 1.0]
    ends = [0.0, at[-1] + 1.0]
    named = (("within its tolerance", inside), ("outside it", outside_band))
    series = [
        charts.Series(name, [x for x, _ in some], [y for _, y in some], points=True)
        for name, some in named
        if some
    ]
    title = f"Gaps of {len(rows)} values: {page.title}"
    chart = charts.line_chart(
        [charts.Series("the same", ends, [0.0, 0.0]), *series],
        bands=[charts.Band("the tolerance", ends, [-1.0, -1.0], [1.0, 1.0])],
        x_title="number in the table of values [–]",
        y_title="gap [tolerances]",
        title=textwrap.wrap(title, 42),
    )
    alt = f"{title}, in tolerances; {len(inside)} lie within them, {len(outside_band)} outside"
    return Drawn(chart, alt, len(rows))


def scattered(page: Page) -> dict[str, list[Row]]:
    """Quantities of a page without curves that have enough values for a chart of ours over theirs."""
    rows = by_quantity(counted(page))
    enough = [
        (-len(held), quantity)
        for quantity, held in rows.items()
        if len({row.value for row in held}) >= LEAST_SCATTERED and len({row.unit for row in held}) == 1
    ]
    return {quantity: rows[quantity] for _, quantity in sorted(enough)[: page.most_charts]}


def _drawable(curve: Curve, page: Page) -> list[Row]:
    """The values that a chart may show: those that count, else those counted apart."""
    rows = [row for row in rows_of(page) if row.quantity == curve.quantity and curve.along in row.inputs]
    return [row for row in rows if row.counted] or rows


def _alt(title: str, curve: Curve, rows: Sequence[Row], reach: tuple[float, float]) -> str:
    """What a chart shows, in words."""
    what, unit = spoken(curve.along)
    whose = "from outside" if rows[0].counted else "counted apart"
    stretch = f"along {what} from {reach[0]:g} to {reach[1]:g} {unit}".rstrip()
    return f"{title}: {len(rows)} values {whose}, {stretch}; {_outside_tolerance(rows)}"


def _line(label: str, at: Sequence[float], ours: Sequence[float], *, positive: bool) -> charts.Series:
    """One curve; on a logarithmic axis only what lies above zero can be shown."""
    pairs = [(x, y) for x, y in zip(at, ours, strict=True) if y > 0.0 or not positive]
    return charts.Series(label, [x for x, _ in pairs], [y for _, y in pairs])


def _at(row: Row, along: str) -> float:
    """Where a value lies along an input."""
    return float(row.inputs[along])


def far_apart(values: Sequence[float]) -> bool:
    """Whether numbers are so far apart that only a logarithmic axis shows them all."""
    return min(values, default=0.0) > 0.0 and max(values) / min(values) > FAR


def _stretch(curve: Curve, xs: Sequence[float], log: bool) -> tuple[float, float]:
    """From where to where a chart reaches: a little beyond the values, but to no negative x without one."""
    room = 0.0 if log else MARGIN * (max(xs) - min(xs))
    low = min(xs) - room if min(xs) < 0.0 else max(0.0, min(xs) - room)
    return low if curve.low is None else curve.low, max(xs) + room if curve.high is None else curve.high


def _outside_tolerance(rows: Sequence[Row]) -> str:
    """How many of some values lie outside their tolerance, in words."""
    out = sum(not verdict(row).within for row in rows)
    return f"{out} of them outside the tolerance" if out else "all within the tolerance"


def _groups(curve: Curve, rows: Sequence[Row]) -> list[tuple[Key, list[Row]]]:
    """Lines and the values on them: those asked for, else the longest."""
    found = _lines(rows, curve.along)
    if curve.lines:
        wanted = [set(_plain(tuple(line.items()))) for line in curve.lines]
        fits = [[one for one in found if want <= set(_plain(one[0]))] for want in wanted]
        if not all(fits):
            raise ValueError(f"{curve.quantity} along {curve.along}: no value lies on a line of it")
        # The one with the fewest other inputs is the one that was meant.
        return [min(fit, key=lambda one: len(one[0])) for fit in fits]
    long = [one for one in found if len(one[1]) >= LEAST_ON_A_LINE] or found
    return sorted(long[: curve.most_lines], key=lambda group: [_order(value) for _, value in group[0]])


def _order(value: Value) -> tuple[float, str]:
    """Numbers by size, words by the alphabet."""
    return (0.0, value) if isinstance(value, str) else (float(value), "")


def _plain(key: Key) -> Key:
    """A key in which 20 and 20.0 are the same."""
    return tuple((name, value if isinstance(value, str) else float(value)) for name, value in key)


def _labels(keys: Sequence[Key]) -> list[str]:
    """What tells the lines apart, in words."""
    if len(keys) == 1:
        return ["ours, and from outside"]
    shared = set.intersection(*(set(key) for key in keys))
    told = []
    for key in keys:
        parts = []
        for name, value in key:
            if (name, value) not in shared:
                what, unit = spoken(name)
                number = value if isinstance(value, str) else f"{what} {value:g} {unit}".strip()
                parts.append(number.replace("_", " "))
        told.append(", ".join(parts) or "the rest")
    return told


def _course(
    ask: Callable[..., float], curve: Curve, others: Mapping[str, Value], steps: Sequence[float]
) -> tuple[list[float], list[float]]:
    """Our values at some places, where there are any."""
    at, ours = [], []
    for x in steps:
        try:
            value = float(ask(**{**others, curve.along: x}))
        except REFUSALS:
            value = math.nan
        if math.isfinite(value):
            at.append(x)
            ours.append(value)
    return at, ours


def _steps(ask: Callable[..., float], curve: Curve, low: float, high: float, log: bool) -> list[float]:
    """Places along x: whole numbers where nothing else is asked for, else evenly spread on the axis."""
    asked = inspect.signature(ask).parameters.get(curve.along)
    if asked is not None and asked.annotation in ("int", int):
        first, last = math.ceil(low), math.floor(high)
        return list(range(first, last + 1, 1 + (last - first) // MOST_STEPS))
    shares = [step / (curve.steps - 1) for step in range(curve.steps)]
    if log:
        return [low * (high / low) ** share for share in shares]
    return [low + (high - low) * share for share in shares]


def _title(ask: Callable[..., float], quantity: str) -> str:
    """The first sentence of what answers, else the name in words."""
    first = (inspect.getdoc(ask) or "").split("\n\n")[0].split(".")[0].split("[")[0]
    said = " ".join(first.split())
    name = spoken(quantity.partition(".")[2])[0].capitalize()
    told = said if 0 < len(said) <= 90 and not said.startswith("The same") else name
    return told.replace("degC", "°C")


def _gaps(
    groups: Sequence[tuple[Key, list[Row]]], labels: Sequence[str], curve: Curve, upper: charts.Chart
) -> charts.Chart:
    """The lower panel: gaps in per cent or in the unit, or in tolerances where those differ."""
    rows = [row for _, held in groups for row in held]
    tolerances = {(row.relative, row.tolerance) for row in rows}
    if len(tolerances) > 1:
        scale, reach, unit = 0.0, 1.0, "tolerances"
    else:
        relative, tolerance = next(iter(tolerances))
        scale = 100.0 if relative else 1.0
        reach, unit = scale * tolerance, "%" if relative else shown(rows[0].unit)
    series = [
        charts.Series(
            label,
            [_at(row, curve.along) for row in held],
            [_gap(row) * (scale * row.tolerance if scale else 1.0) for row in held],
            points=True,
        )
        for label, (_, held) in zip(labels, groups, strict=True)
    ]
    scale_x = upper["layer"][-1]["encoding"]["x"]["scale"]
    domain = scale_x["domain"]
    band = charts.Band("the tolerance", domain, [-reach] * 2, [reach] * 2)
    return charts.line_chart(
        series,
        bands=[band],
        rules=[charts.Rule("", 0.0)],
        x_title=axis(curve.along),
        y_title=f"gap [{unit or '–'}]",
        height=charts.LOW_HEIGHT,
        log_x=scale_x.get("type") == "log",
    )


def _gap(row: Row) -> float:
    """The gap in tolerances, to a thousandth: the last bits of a machine change no picture."""
    return round(verdict(row).gap / row.tolerance, 3)
