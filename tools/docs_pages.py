"""All pages that are made, as texts by path under docs/, and the made blocks inside pages written by hand.

A page written by hand may hold blocks that are made anew each time:

    <!-- output: care LIST --show 0042 ;; from Parts: ;; count 4 -->   what a command of the demo says
    <!-- made: headers -->                                              a table made here, by its name

each up to the line ``<!-- end -->``.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Callable
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

import docs_knowledge
import docs_web
from docs_bad import bad_input_page
from docs_commands import cli_page, papers_page, schemas_page
from docs_env import ROOT
from docs_md import MADE as MADE_NOTE
from docs_md import fenced, page, raw, table, words
from docs_runs import AS_OF, Demo, demo_folder
from strandline.care.engine import Engine
from strandline.exchange.headers import names
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.things.listing import COLUMNS

DOCS = ROOT / "docs"
BLOCK = re.compile(r"(<!-- (output|made): (.*?) -->\n)(.*?)(<!-- end -->)", re.DOTALL)
OBJECT = f"care LIST --site site.toml --as-of {AS_OF} --show 0042"


def made_pages(demo: Demo) -> dict[str, str]:
    """Every page that is made as a whole."""
    return {
        "cli.md": cli_page(demo),
        "papers.md": papers_page(),
        "pages.md": docs_web.pages_page(),
        "schemas.md": schemas_page(),
        "bad-input.md": bad_input_page(),
        "one-object.md": _one_object(demo),
        **science().science_texts(),
        **docs_knowledge.pages(shipped()),
    }


@cache
def all_pages() -> dict[str, str]:
    """Made pages, and pages with made blocks, as they should be now, by path under docs/.

    Made once in a run of a tool.  Raises ValueError where one cannot be made.
    """
    with demo_folder() as demo:
        pages = made_pages(demo)
        for path in sorted(DOCS.glob("*.md")):
            text = path.read_text(encoding="utf-8")
            if path.name not in pages and BLOCK.search(text):
                pages[path.name] = with_blocks(text, demo)
        return pages


def with_blocks(text: str, demo: Demo) -> str:
    """The text with each of its made blocks made anew.  Raises ValueError at a block nobody can make."""

    def fill(found: re.Match[str]) -> str:
        made = output(found[3], demo) if found[2] == "output" else _made(found[3].strip())
        return f"{found[1]}{made.rstrip()}\n{found[5]}"

    return BLOCK.sub(fill, text)


def output(asked: str, demo: Demo) -> str:
    """What a command says, or the lines asked for: from a text, up to a text, a count of lines."""
    line, *picks = (piece.strip() for piece in asked.split(";;"))
    ran = demo.run(line)
    if ran.trouble or ran.code not in (0, 1):
        raise ValueError(f"'{line}' ended with {ran.code}: {ran.err.strip()} {ran.trouble}")
    lines = (ran.err if "err" in picks else ran.out).splitlines()
    for pick in picks:
        verb, _, what = pick.partition(" ")
        if verb in {"from", "until"}:
            at = next((n for n, text in enumerate(lines) if what in text), None)
            if at is None:
                raise ValueError(f"'{line}' says nothing with '{what}'")
            lines = lines[at:] if verb == "from" else lines[:at]
        elif verb == "count":
            lines = lines[: int(what)]
        elif verb != "err":
            raise ValueError(f"'{pick}' is no way to pick lines")
    return fenced("\n".join(lines))


def _one_object(demo: Demo) -> str:
    return page(
        "One object in full: the sea chest",
        "What the program says about one object of the demo, a sea chest of oak and iron with rope "
        "handles and a painted "
        "lid, an invented thing in an invented flood. [The guide](guide.md#one-object-in-full) "
        "explains the parts of it.",
        fenced(f"./strandline {OBJECT}", "sh"),
        fenced(demo.run(OBJECT).out),
    )


def _made(name: str) -> str:
    if name not in MADE:
        raise ValueError(f"there is no made block '{name}'; there are {', '.join(MADE)}")
    return MADE[name]()


def _headers() -> str:
    """Columns with the header names that are read as them."""
    spelled_by: dict[str, list[str]] = {column: [] for column in COLUMNS}
    for name, (column, unit) in _spelled().items():
        spelled_by[column].append(f"{name} ({unit})" if unit else name)
    rows = ((raw(f"`{column}`"), ", ".join(spelled)) for column, spelled in spelled_by.items())
    return table(("column", "also read under these names"), rows)


def _spelled() -> dict[str, tuple[str, str]]:
    """Names as they stand in the program's own table of names."""
    path = ROOT / "src" / "strandline" / "exchange" / "headers.toml"
    held: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    found = {name: (column, "") for column, spelled in held["names"].items() for name in spelled}
    for unit, by_column in held["names_with_unit"].items():
        found |= {name: (column, unit) for column, spelled in by_column.items() for name in spelled}
    return found


def _units() -> str:
    rows = []
    for kind, by_word in names().units.items():
        by_unit: dict[str, list[str]] = {}
        for word, unit in by_word.items():
            by_unit.setdefault(unit, []).append(word)
        rows += [(kind, unit, ", ".join(spelled)) for unit, spelled in by_unit.items()]
    return table(("kind", "unit", "spelt"), rows)


def _keys() -> str:
    rows = (
        ("water", ", ".join(m.WATERS)),
        ("wet_state", ", ".join(m.WET_STATES)),
        ("done_already", ", ".join(m.DONE_ALREADY)),
        ("kinds of joins (JSON)", ", ".join(m.JOIN_KINDS)),
        ("families (JSON)", ", ".join(m.FAMILIES)),
    )
    return table(("column", "keys"), rows)


def _of_tests(name: str) -> Any:
    """A module of the tests; by name, because no tool imports the tests as a matter of course."""
    if str(ROOT) not in sys.path:
        sys.path.insert(0, str(ROOT))
    return import_module(name)


def science() -> Any:
    """The maker of the pages of the science; by name too, because it reads what the tests compare."""
    return _of_tests("science_pages")


def _cases() -> str:
    grade = _of_tests("tests.reference.grade")
    engine = Engine(shipped())
    cases = grade.cases()
    missed = [len(grade.misses(case, engine)) for case in cases]
    points = sum(grade.points(case) for case in cases)
    held = points - sum(missed)
    return table(
        ("cases", "cases wholly met", "assertions", "met", "share"),
        [(len(cases), sum(not one for one in missed), points, held, f"{100 * held / points:.1f} %")],
    )


def _labels() -> str:
    score = _of_tests("tests.labels.score")
    rows = []
    for half in ("open", "locked"):
        told = score.score_half(half)
        for what in ("families", "features", "joins"):
            one = told[what]
            rows.append(
                (
                    half,
                    told["rows"],
                    what,
                    f"{one['precision']:.3f}",
                    f"{one['recall']:.3f}",
                    one["read"],
                    one["labelled"],
                )
            )
    return table(("half", "rows", "what", "precision", "recall", "read", "labelled"), rows)


def _counts() -> str:
    knowledge = shipped()
    rows: list[tuple[str, object]] = [
        ("materials", len(knowledge.materials)),
        ("features", len(knowledge.features)),
        ("verdict rules", len(knowledge.verdicts)),
        ("cells they fill (material by action)", _cells()),
        ("hazards", len(knowledge.hazards)),
        ("conflicts", len(knowledge.conflicts)),
        ("places where sources differ", len(knowledge.disagreements)),
        ("look-alike sets", len(knowledge.lookalikes)),
        ("sources", len(knowledge.sources)),
        (
            "reviewed by a practising conservator",
            sum(bool(getattr(e, "reviewed_by", "")) for _, e in knowledge.entries()),
        ),
    ]
    sure = {"v": 0, "m": 0, "c": 0}
    for rule in knowledge.verdicts:
        sure[rule.confidence] += 1
    total = sum(sure.values())
    rows += [
        (f"verdict rules, {name}", f"{sure[key]} ({100 * sure[key] / total:.0f} %)")
        for key, name in (
            ("v", "read in a source"),
            ("m", "from memory"),
            ("c", "common practice, no published source"),
        )
    ]
    return table(("what", "count"), rows)


def _cells() -> int:
    return len({(key, rule.action) for rule in shipped().verdicts for key in rule.when.materials})


def _actions() -> str:
    return ", ".join(words(action) for action in m.ACTIONS) + "."


MADE: dict[str, Callable[[], str]] = {
    "headers": _headers,
    "units": _units,
    "keys": _keys,
    "cases": _cases,
    "labels": _labels,
    "counts": _counts,
    "actions": _actions,
    "acts": docs_web.acts,
    "tables": docs_web.tables,
    "page_times": docs_web.page_times,
}


def write() -> list[str]:
    """Write what has changed; returns the paths.  Pages of families that are gone are removed."""
    changed = []
    pages = all_pages()
    for name, text in pages.items():
        path = DOCS / name
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
            changed.append(name)
    for path in gone(pages):
        path.unlink()
        changed.append(f"{path.relative_to(DOCS)} removed")
    changed += science().write()
    return changed


def gone(pages: dict[str, str]) -> list[Path]:
    """Made files under docs/knowledge and docs/science that no longer belong to anything.

    In docs/science a page without the note of a made one was written by hand: it is never removed.
    """
    return [
        path
        for folder in ("knowledge", "science")
        for path in sorted((DOCS / folder).glob("*.md"))
        if f"{folder}/{path.name}" not in pages
        and (folder == "knowledge" or path.read_text(encoding="utf-8").startswith(MADE_NOTE))
    ]
