"""Pages of the science: what each model says, its equations and doubts, and its values from outside.

Made by tools/docs_build.py into docs/science/, with charts as SVG and a list of hashes of what they draw
(made.json), and docs/evidence/outside.json with the counts.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from tests.reference import outside_counts
from tests.reference.outside import APART, COUNTED, Row, all_rows

from docs_env import ROOT
from docs_md import MADE as MADE_NOTE
from docs_md import page as made_page
from docs_md import raw, table
from science_cards import Card, public_functions, read_card, source_keys
from science_charts import Drawn, by_quantity, chosen, draw, gaps, parity, rows_of, scattered, shown, verdict
from science_spec import Page, pages
from strandline.exchange.charts import chart_hash, to_svg
from strandline.knowledge.science_sources import ScienceSource, science_sources

FOLDER = ROOT / "docs" / "science"
EVIDENCE = ROOT / "docs" / "evidence" / "outside.json"
PHYSICS = ROOT / "src" / "strandline" / "physics"
MADE = "made.json"
LONG_TABLE = 8
FACTORS = {"two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0, "ten": 10.0}
HOWS = {
    "published": "read in a published page, table or standard",
    "library": "computed by a library that shares no code with ours",
    "solvers": "two solvers that share no code agree on it",
    "data": "measured, in an open data set",
    "memory": "a published value, from memory of it",
    "own": "computed by ourselves from the equation",
    "equation": "a published table that is only the same equation, so it tests our typing",
    "practice": "common practice, published nowhere",
}
READ = {"read": "the place itself was read", "opening": "only its opening was read", "memory": "from memory"}


def science_texts() -> dict[str, str]:
    """Every page by its path under docs/."""
    made = {f"science/{name}.md": _model(name, spec) for name, spec in pages().items()}
    made["science/README.md"] = _index()
    made["science/sources.md"] = _sources()
    return made


# ---- one model -------------------------------------------------------------------------------------------


def _model(name: str, spec: Page) -> str:
    """The page of one model."""
    rows = rows_of(spec)
    counting = [row for row in rows if row.counted]
    return made_page(
        spec.title,
        " ".join(spec.intro),
        f"{_what_holds(rows)} [All models](README.md), [sources](sources.md).",
        *(["## Functions"] if spec.modules else []),
        *(_functions(module) for module in spec.modules),
        *_charts(name, spec),
        "## Values from outside",
        *_values(counting, "No value from outside stands beside this model."),
        *_apart([row for row in rows if not row.counted]),
        *_misses(rows),
        "## What is in doubt, the gravest first",
        _doubts(spec),
    )


def _what_holds(rows: Sequence[Row]) -> str:
    """How many values there are and how many hold."""
    counting = [row for row in rows if row.counted]
    within = sum(verdict(row).within for row in counting)
    apart = len(rows) - len(counting)
    return (
        f"{within} of {len(counting)} values from outside lie within their tolerance; "
        f"{apart} more are counted apart."
    )


@cache
def cards(module: str) -> dict[str, Card]:
    """The cards of a module's functions by name."""
    syntax = ast.parse((PHYSICS / f"{module}.py").read_text(encoding="utf-8"))
    return {node.name: read_card(ast.get_docstring(node) or "") for node in public_functions(syntax)}


@cache
def module_sentence(module: str) -> str:
    """The first paragraph of what a module says of itself."""
    syntax = ast.parse((PHYSICS / f"{module}.py").read_text(encoding="utf-8"))
    return " ".join((ast.get_docstring(syntax) or "").split("\n\n")[0].split())


def _functions(module: str) -> str:
    """A module, and a table of its functions."""
    rows = [
        (
            raw(f"`{name}` {_plain(card.what)}"),
            *(raw(_plain(said)) for said in (card.equation, card.range, card.doubt)),
            raw(_linked(card.source)),
        )
        for name, card in cards(module).items()
    ]
    head = f"**`{module}`**: {_plain(module_sentence(module))}\n\n"
    return head + table(("function", "equation or rule", "range", "doubt", "source"), rows)


def _plain(text: str) -> str:
    """Text of a docstring as Markdown that shows it as it is."""
    return text.replace("<", "&lt;").replace("``", "`").replace("*", "\\*")


def _linked(source: str) -> str:
    """A source line with its keys as links."""
    said = _plain(source)
    known = science_sources()
    for key in sorted(set(source_keys(source, known)) & known.keys(), key=len, reverse=True):
        said = re.sub(
            rf"(?<![\w\[#-]){re.escape(key)}(?![\w\]-])", f"[{key}](sources.md#{key})", said, count=1
        )
    return said


def _charts(name: str, spec: Page) -> list[str]:
    """The charts of a page, as pictures with what they show in words."""
    drawn = charts_of(name)
    if not drawn:
        return []
    note = (
        "Lines are ours, points from outside; where values differ in more than one input, ours stands over "
        "theirs. Below each chart: how far our value lies from theirs, and the tolerance as a band."
    )
    return ["## Charts", note, *(f"![{_alt(one.alt)}]({file})" for file, one in drawn.items())]


def _alt(text: str) -> str:
    return text.replace("[", "(").replace("]", ")")


@cache
def charts_of(name: str) -> dict[str, Drawn]:
    """The charts of a page by the names of their files."""
    spec = pages()[name]
    made: dict[str, Drawn] = {}
    for curve in chosen(spec):
        stem = f"{name}-{curve.quantity.partition('.')[2]}".replace("_", "-")
        same = sum(one.startswith(f"{stem}.") for one in made)
        file = f"{stem}-along-{curve.along.replace('_', '-')}.svg" if same else f"{stem}.svg"
        made[file] = draw(curve, spec)
    if not made:
        for quantity, rows in scattered(spec).items():
            made[f"{name}-{quantity.partition('.')[2]}.svg".replace("_", "-")] = parity(quantity, rows)
    if not made and (drawn := gaps(spec)) is not None:
        made[f"{name}-gaps.svg"] = drawn
    return made


def _values(rows: Sequence[Row], none: str) -> list[str]:
    """A table for each quantity; a long one is folded."""
    blocks = []
    for quantity, held in by_quantity(rows).items():
        within = sum(verdict(row).within for row in held)
        head = f"`{quantity}`: {within} of {len(held)} within"
        said = _table(held)
        if len(held) > LONG_TABLE:
            summary = f"<summary><code>{quantity}</code>: {within} of {len(held)} within</summary>"
            blocks.append(f"<details>{summary}\n\n{said}\n</details>")
        else:
            blocks.append(f"{head}\n\n{said}")
    return blocks or [none]


def _table(rows: Iterable[Row]) -> str:
    """Values from outside beside ours."""
    told = []
    for row in rows:
        found = verdict(row)
        gap, allowed = _gap(row)
        told.append(
            (
                "; ".join(f"{name} = {value}" for name, value in row.inputs.items()),
                f"{row.value:g} {shown(row.unit)}".strip(),
                f"{found.ours:.5g}",
                gap if found.within else raw(f"**{gap}**"),
                allowed,
                row.how,
                raw(_place(row)),
            )
        )
    return table(("inputs", "theirs", "ours", "gap", "allowed", "how", "where"), told)


def _place(row: Row) -> str:
    """Sources with links, and the place in them."""
    known = science_sources()
    keys = [f"[{key}](sources.md#{key})" if key in known else _plain(key) for key in row.keys]
    return f"{'; '.join(keys)} {_plain(row.place)}".strip()


def _gap(row: Row) -> tuple[str, str]:
    """Gap and tolerance in words; what lies below a thousandth of the tolerance is none."""
    scale, unit = (100.0, " %") if row.relative else (1.0, "")
    share = round(verdict(row).gap / row.tolerance, 3)
    gap = f"{share * row.tolerance * scale:+.2g}{unit}" if share else "0"
    return gap, f"{row.tolerance * scale:g}{unit}"


def _apart(rows: Sequence[Row]) -> list[str]:
    """Values that prove nothing by themselves."""
    if not rows:
        return []
    return [
        "## Counted apart",
        "From memory, from common practice, from our own sums, or the same equation typed twice.",
        *_values(rows, ""),
    ]


def _misses(rows: Sequence[Row]) -> list[str]:
    """Values that we do not meet, and why."""
    missed = [row for row in rows if row.miss]
    return ["## Misses", _miss_table(missed)] if missed else []


def _miss_table(rows: Iterable[Row]) -> str:
    told = []
    for row in rows:
        gap, allowed = _gap(row)
        inputs = "; ".join(f"{name} = {value}" for name, value in row.inputs.items())
        told.append((raw(f"`{row.quantity}`"), inputs, gap, allowed, row.how, row.miss))
    return table(("quantity", "inputs", "gap", "allowed", "how", "reason"), told)


def _misses_together(rows: Iterable[Row]) -> str:
    """Misses by quantity and reason, those with the greatest gap for their tolerance first."""
    found: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        found.setdefault((row.quantity, row.miss), []).append(row)
    told = []
    for (quantity, reason), held in found.items():
        worst = max(held, key=_in_tolerances)
        gap, allowed = _gap(worst)
        told.append((_in_tolerances(worst), (raw(f"`{quantity}`"), len(held), gap, allowed, reason)))
    ranked = [line for _, line in sorted(told, key=lambda item: -item[0])]
    return table(("quantity", "misses", "greatest gap", "allowed", "reason"), ranked)


def _in_tolerances(row: Row) -> float:
    """The size of a gap, in tolerances; to a thousandth, so that no machine sorts otherwise."""
    return round(abs(verdict(row).gap) / row.tolerance, 3)


def _doubts(spec: Page) -> str:
    """Doubts that the spec ranks, then those of the cards by the size they name."""
    told = list(spec.doubts)
    by_text: dict[str, list[str]] = {}
    for module in spec.modules:
        for name, card in cards(module).items():
            if not re.match(r"(none|that of|as )", card.doubt.lower()):
                by_text.setdefault(card.doubt, []).append(f"`{module}.{name}`")
    ranked = sorted(by_text.items(), key=lambda item: -size_of_doubt(item[0]))
    told += [f"{', '.join(names)}: {_plain(doubt)}" for doubt, names in ranked if doubt]
    return "\n".join(f"{number}. {one}" for number, one in enumerate(told, start=1)) or "None known."


def size_of_doubt(text: str) -> float:
    """The greatest error a doubt names, in per cent; a factor of two is 100."""
    shares = [float(found) for found in re.findall(r"(\d+(?:\.\d+)?) ?(?:%|per ?cent)", text)]
    words = re.findall(r"factors? (?:of )?(\d+(?:\.\d+)?|two|three|four|five|ten)\b", text)
    factors = [100.0 * (FACTORS.get(word) or float(word)) - 100.0 for word in words]
    return max([*shares, *factors], default=0.0)


# ---- all models ------------------------------------------------------------------------------------------


def _index() -> str:
    """The index: pages, counts, misses, and what counts."""
    rows = all_rows()
    counts = outside_counts.counts(rows)
    misses = [row for row in rows if row.miss]
    libraries = ", ".join(f"{name} {number}" for name, number in counts["by_library"].items())
    return made_page(
        "The science",
        "Each page holds one model: its equations with source, range and doubt, charts, and every value from "
        "outside that stands beside it. The tests compare our functions with the same values.",
        f"**{counts['counted']} values from outside count**, {counts['rows'] - counts['counted']} more are "
        f"counted apart, {len(misses)} miss. The files are `tests/reference/*.csv`.",
        "## Models",
        table(("model", "modules", "counted", "within", "apart"), (_line(*item) for item in pages().items())),
        _by_hand(),
        "## What counts as a value from outside",
        table(
            ("how", "what it means", "counts", "values"),
            (
                (how, HOWS[how], "yes" if how in COUNTED else "apart", counts["by_how"].get(how, 0))
                for how in (*COUNTED, *APART)
            ),
        ),
        f"At least {outside_counts.LEAST_COUNTED} count in all and {outside_counts.LEAST_PER_MODULE} for "
        f"each module; at most {outside_counts.MOST_PER_LIBRARY} come from one library. A tolerance is half "
        "the last digit of the source or the spread it states, and is never widened to pass. A value that we "
        "miss stays, with its reason.",
        f"By library: {libraries or 'none'}.",
        "## By module",
        _by_module(rows, counts),
        _helpers(),
        "## Misses",
        "Those of one quantity with one reason stand together, with the greatest of their gaps; each is on "
        "the page of its model.",
        _misses_together(misses) or "None.",
    )


def _by_hand() -> str:
    """Links to the pages in the folder that nobody makes."""
    found = [
        f"[{text.splitlines()[0].lstrip('# ')}]({path.name})"
        for path in sorted(FOLDER.glob("*.md"))
        if not (text := path.read_text(encoding="utf-8")).startswith(MADE_NOTE) and text.strip()
    ]
    return f"Written by hand: {', '.join(found)}." if found else ""


def _by_module(rows: Iterable[Row], counts: dict[str, Any]) -> str:
    """Values of each module."""
    counted, apart = counts["counted_by_module"], counts["apart_by_module"]
    return table(
        ("module", "counted", "apart"),
        (
            (raw(f"`{module}`"), counted.get(module, 0), apart.get(module, 0))
            for module in sorted({row.module for row in rows})
        ),
    )


def _helpers() -> str:
    """Modules that need no values of their own."""
    told = [f"`{name}` ({why})" for name, why in outside_counts.HELPERS.items()]
    return "Without values of their own: " + "; ".join(told) + "."


def _line(name: str, spec: Page) -> tuple[object, ...]:
    """A page in the index."""
    rows = rows_of(spec)
    counting = [row for row in rows if row.counted]
    return (
        raw(f"[{spec.title}]({name}.md)"),
        raw(", ".join(f"`{module}`" for module in spec.modules)),
        len(counting),
        sum(verdict(row).within for row in counting),
        len(rows) - len(counting),
    )


def _sources() -> str:
    """The sources by key."""
    return made_page(
        "Sources of the science",
        "How closely each was read: " + "; ".join(f"*{key}*: {said}" for key, said in READ.items()) + ".",
        table(("key", "what", "year", "read", "note"), map(_source, sorted_sources())),
    )


def sorted_sources() -> list[ScienceSource]:
    """The sources in the order of their keys."""
    return [science_sources()[key] for key in sorted(science_sources())]


def _source(one: ScienceSource) -> tuple[object, ...]:
    what = f"{one.title}. {one.publisher}".rstrip(". ")
    return raw(f'<a id="{one.key}"></a>`{one.key}`'), what, one.year, one.read, one.note


# ---- files -----------------------------------------------------------------------------------------------


def all_charts() -> dict[str, Drawn]:
    """Every chart by the name of its file."""
    return {file: one for name in pages() for file, one in charts_of(name).items()}


def evidence() -> str:
    """What docs/evidence/outside.json holds."""
    return json.dumps(outside_counts.counts(all_rows()), ensure_ascii=False, indent=1) + "\n"


def hashes() -> str:
    """What made.json holds: file -> hash of what it draws."""
    told = {file: chart_hash(one.chart) for file, one in sorted(all_charts().items())}
    return json.dumps({"charts": told}, indent=1) + "\n"


def write() -> list[str]:
    """Write charts and counts that have changed; returns their paths under docs/."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    changed = []
    before = _told(FOLDER / MADE)
    for file, one in all_charts().items():
        if before.get(file) != chart_hash(one.chart) or not (FOLDER / file).is_file():
            (FOLDER / file).write_text(to_svg(one.chart) + "\n", encoding="utf-8")
            changed.append(f"science/{file}")
    for path in left_over(FOLDER):
        path.unlink()
        changed.append(f"science/{path.name} removed")
    for path, text in ((FOLDER / MADE, hashes()), (EVIDENCE, evidence())):
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
            changed.append(path.relative_to(ROOT / "docs").as_posix())
    return changed


def _told(path: Path) -> dict[str, str]:
    """The hashes that stand in a made.json."""
    if not path.is_file():
        return {}
    told: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))["charts"]
    return told


def left_over(folder: Path) -> list[Path]:
    """Charts that made.json names and no page holds; files that were not made here are left alone."""
    made = sorted(_told(folder / MADE).keys() - all_charts().keys())
    return [folder / name for name in made if "/" not in name and (folder / name).is_file()]


def faults(folder: Path = FOLDER, counted: Path = EVIDENCE) -> list[str]:
    """What is wrong with charts and counts: missing, old, left over; and what stands on no page."""
    mend = "run python tools/docs_build.py"
    before = _told(folder / MADE)
    found = []
    for file, one in all_charts().items():
        if not (folder / file).is_file():
            found.append(f"docs/science/{file}:1: is not there; {mend}")
        elif before.get(file) != chart_hash(one.chart):
            found.append(f"docs/science/{file}:1: is not what the science says now; {mend}")
    found += [f"docs/science/{path.name}:1: belongs to no page; {mend}" for path in left_over(folder)]
    if not counted.is_file() or counted.read_text(encoding="utf-8") != evidence():
        found.append(f"docs/evidence/outside.json:1: is not what the values from outside come to; {mend}")
    return found + unshown()


def unshown() -> list[str]:
    """Modules that are no helpers, and values, that stand on no page."""
    modules = {module for spec in pages().values() for module in spec.modules}
    there = {path.stem for path in PHYSICS.glob("*.py")} - {"__init__"} - outside_counts.HELPERS.keys()
    shown_rows = {row.id for spec in pages().values() for row in rows_of(spec)}
    names = sorted({f"{row.quantity} of {row.file}" for row in all_rows() if row.id not in shown_rows})
    lost = [f"the module '{name}' is on no page" for name in sorted(there - modules)]
    lost += [f"the values of {name} are on no page" for name in names]
    return [f"docs/science/README.md:1: {one}" for one in lost]
