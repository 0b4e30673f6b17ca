"""Is the guide true?  Each check takes the texts of the pages and gives findings ``path:line: what``.

``texts`` maps a path from the root of the repository to its text; so a check can be shown to fail on a text
that was broken on purpose (:func:`self_test`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

import docs_pages
import docs_pictures
import docs_web
from docs_commands import EXIT_CODES, SCHEMAS, commands, options
from docs_env import ROOT
from docs_md import slug
from docs_runs import AS_OF, Demo, demo_folder, run
from strandline.knowledge.base import shipped
from strandline.papers.registry import PAPERS

Texts = Mapping[str, str]
Finding = str
GUIDE = "docs/guide.md"
PAGES = "docs/pages.md"
PART = "\n## Working together on pages\n"
"""Where the guide speaks of pages; what it quotes there stands on them."""

SHOWN = "docs/shown.md"
SHOWN_PARTS = (
    "Reading lists",
    "Knowledge",
    "Care plans",
    "Order of work",
    "Papers",
    "Command line",
    "The record",
    "Pages",
    "Start and checks",
)
"""Headings that docs/shown.md must have, one for each part of the program that is there."""

LINK = re.compile(r"(!?)\[(?:[^\]\[]|\[[^\]]*\])*\]\(([^)\s]+)(?:\s+\"[^\"]*\")?\)")
FENCE = re.compile(r"^(```+)\s*(\S*)")
ANCHOR = re.compile(r'<a id="([^"]+)"></a>')


@dataclass
class Tally:
    """How many things were looked at, and what was wrong."""

    looked_at: int = 0
    findings: list[Finding] = field(default_factory=list)

    def look(self, wrong: Finding | None) -> None:
        """Count one thing; ``wrong`` says what is wrong with it."""
        self.looked_at += 1
        if wrong:
            self.findings.append(wrong)


def read_texts() -> dict[str, str]:
    """The pages: those in the root and all under docs/."""
    paths = [
        ROOT / "README.md",
        ROOT / "CONTRIBUTING.md",
        ROOT / "CHANGELOG.md",
        *sorted((ROOT / "docs").rglob("*.md")),
    ]
    return {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in paths}


def check_made(texts: Texts, tally: Tally, _: Demo) -> None:
    """Made pages and blocks are those of today's program."""
    try:
        wanted = docs_pages.all_pages()
    except ValueError as error:
        tally.look(f"docs/knowledge.md:1: the pages cannot be made: {error}")
        return
    for name, text in wanted.items():
        path = f"docs/{name}"
        have = texts.get(path)
        if have is None:
            tally.look(f"{path}:1: is not there; run python tools/docs_build.py")
        else:
            line = _first_difference(have, text)
            old = f"{path}:{line}: is not what the program says now; run python tools/docs_build.py"
            tally.look(old if line else None)
    for left in docs_pages.gone(wanted):
        tally.look(
            f"{left.relative_to(ROOT).as_posix()}:1: belongs to nothing; run python tools/docs_build.py"
        )


def _first_difference(have: str, want: str) -> int:
    if have == want:
        return 0
    pairs = zip(have.splitlines(), want.splitlines(), strict=False)
    alike = next((n for n, (a, b) in enumerate(pairs, start=1) if a != b), 0)
    return alike or min(have.count("\n"), want.count("\n")) + 1


def check_named(texts: Texts, tally: Tally, _demo: Demo) -> None:
    """Commands, papers, formats and exit codes stand in the guide, options there or in cli.md."""
    guide, both = texts[GUIDE], texts[GUIDE] + texts["docs/cli.md"]
    for path, command in commands():
        if path:
            name = " ".join(path)
            tally.look(None if name in guide else f"{GUIDE}:1: the command '{name}' is not mentioned")
        for option in options(command):
            tally.look(
                None
                if option in both
                else f"{GUIDE}:1: the option {option} of '{' '.join(path)}' is not mentioned"
            )
    for paper in PAPERS:
        tally.look(None if f"`{paper}`" in guide else f"{GUIDE}:1: the paper `{paper}` is not mentioned")
    for schema in sorted(SCHEMAS.glob("*.json")):
        kind, number, _suffix = schema.name.split(".")
        name = f"strandline.{kind}/{number}"
        tally.look(None if name in guide else f"{GUIDE}:1: the format {name} is not mentioned")
    for code, _meaning in EXIT_CODES:
        row = re.search(rf"^\| {code} \|", guide, re.MULTILINE)
        tally.look(None if row else f"{GUIDE}:1: the exit code {code} has no row in a table")


def check_pages(texts: Texts, tally: Tally, _: Demo) -> None:
    """Every page stands in the guide or in pages.md with its address, and there every deed of it."""
    held, found = texts[GUIDE] + texts[PAGES], docs_web.web()
    for look in found.looks:
        place = docs_web.address(look.route)
        tally.look(None if f"`{place}`" in held else f"{PAGES}:1: the page '{look.name}' is not mentioned")
    for deed in found.deeds:
        part = texts[PAGES].partition(f"\n### {deed.page}\n")[2].partition("\n### ")[0]
        wrong = f"{PAGES}:1: '{deed.do}' of the page '{deed.page}' is not mentioned"
        tally.look(None if f"| `{deed.do}` |" in part else wrong)


def check_labels(texts: Texts, tally: Tally, _: Demo) -> None:
    """What the guide quotes from pages stands on them."""
    held = "".join(
        path.read_text(encoding="utf-8")
        for folder in ("web", "services")
        for path in sorted((ROOT / "src" / "strandline" / folder).rglob("*.*"))
        if path.suffix in {".html", ".py"}
    )
    part = texts[GUIDE].partition(PART)[2].partition("\n## ")[0]
    quoted = re.findall("“([^”]+)”", part)
    for label in quoted:
        there = f'"{label}"' in held or f"'{label}'" in held
        tally.look(None if there else f"{GUIDE}:1: no page says “{label}”")
    tally.look(None if quoted else f"{GUIDE}:1: quotes nothing of the pages")


def check_knowledge(texts: Texts, tally: Tally, _: Demo) -> None:
    """Every entry of the knowledge stands on one of its pages."""
    held = "".join(text for path, text in texts.items() if path.startswith("docs/knowledge"))
    for kind, entry in shipped().entries():
        name = str(getattr(entry, "id", None) or getattr(entry, "key", ""))
        there = f"`{name}`" in held or f'id="{name.lower()}"' in held or f"{name}.md" in held
        tally.look(None if there else f"docs/knowledge.md:1: the {kind} '{name}' stands on no page")


def check_links(texts: Texts, tally: Tally, _: Demo) -> None:
    """Every link inside the repository leads to something, anchors too."""
    anchors = {path: _anchors(text) for path, text in texts.items()}
    for path, text in texts.items():
        for number, line in _prose(text):
            for found in LINK.finditer(line):
                target = found[2]
                if not re.match(r"[a-z]+:", target):
                    wrong = _dead(path, target, anchors)
                    tally.look(wrong and f"{path}:{number}: {wrong}")


def _dead(path: str, target: str, anchors: Mapping[str, set[str]]) -> str:
    place, _, anchor = target.partition("#")
    full = _joined(path, place) if place else path
    if full is None or not (ROOT / full).exists():
        return f"the link '{target}' leads nowhere"
    if anchor and full in anchors and anchor not in anchors[full]:
        return f"the link '{target}' names a place that is not on that page"
    return ""


def _joined(path: str, place: str) -> str | None:
    parts: list[str] = list(PurePosixPath(path).parent.parts)
    for part in PurePosixPath(place).parts:
        if part == "..":
            if not parts:
                return None
            parts.pop()
        elif part != ".":
            parts.append(part)
    return "/".join(parts) or "."


def _anchors(text: str) -> set[str]:
    heads = {slug(line.lstrip("#")) for _, line in _prose(text) if re.match(r"#{1,6} ", line)}
    return heads | set(ANCHOR.findall(text))


def _prose(text: str) -> Iterator[tuple[int, str]]:
    """Lines outside fenced blocks, with their number."""
    inside = False
    for number, line in enumerate(text.splitlines(), start=1):
        if FENCE.match(line):
            inside = not inside
        elif not inside:
            yield number, line


def fences(text: str) -> Iterator[tuple[int, str, list[str]]]:
    """Fenced blocks: the number of their first line, their kind, their lines."""
    held: list[str] | None = None
    kind, began = "", 0
    for number, line in enumerate(text.splitlines(), start=1):
        if found := FENCE.match(line):
            if held is None:
                held, kind, began = [], found[2], number + 1
            else:
                yield began, kind, held
                held = None
        elif held is not None:
            held.append(line)


def check_commands(texts: Texts, tally: Tally, demo: Demo) -> None:
    """Every ``./strandline`` line of a fenced block that is not output runs on the demo's list."""
    for path, text in texts.items():
        for began, kind, lines in fences(text):
            for number, line in enumerate(lines, start=began):
                if kind != "text" and line.startswith("./strandline "):
                    wrong = _runs(line.removeprefix("./strandline "), demo)
                    tally.look(wrong and f"{path}:{number}: {wrong}")


def _runs(line: str, demo: Demo) -> str:
    ran = demo.run(line)
    if ran.trouble:
        return f"the command ended in an error: {ran.trouble}"
    if ran.code not in (0, 1):
        return f"the command ended with {ran.code}: {' '.join(ran.err.split())[:200]}"
    return ""


def check_examples(texts: Texts, tally: Tally, demo: Demo) -> None:
    """Examples of overrides, site files and lists are taken by the program without a problem."""
    for path, text in texts.items():
        if not path.startswith("docs/") or path.startswith("docs/knowledge/"):
            continue
        for began, kind, lines in fences(text):
            made = "\n".join(lines) + "\n"
            if kind in {"toml", "json", "csv"} and (arguments := _example(kind, made, demo.folder)):
                ran = run(arguments, demo.folder)
                faults = [line.strip() for line in ran.err.splitlines() if "problem:" in line]
                bad = ran.trouble or ran.code not in (0, 1) or faults
                told = " ".join(faults or ran.err.split())[:200]
                tally.look(f"{path}:{began}: the example is not taken: {told} {ran.trouble}" if bad else None)


def _example(kind: str, text: str, folder: Path) -> list[str]:
    """Write an example into the folder; the command that must take it, or [] for one of another sort."""
    as_of = ["--as-of", AS_OF]
    if kind == "toml" and "[[override]]" in text:
        (folder / "overrides.toml").write_text(text, encoding="utf-8")
        return ["care", "first12.csv", "--overrides", "overrides.toml", *as_of]
    if kind == "toml" and "[incident]" in text:
        (folder / "our-site.toml").write_text(text, encoding="utf-8")
        return ["care", "first12.csv", "--site", "our-site.toml", *as_of]
    if kind == "csv" or (kind == "json" and "strandline.list/1" in text):
        (folder / f"example.{kind}").write_text(text, encoding="utf-8")
        return ["care", f"example.{kind}", *as_of]
    return []


def check_shown(texts: Texts, tally: Tally, _: Demo) -> None:
    """The page of what is shown has a section for each part, and says what nobody has reviewed."""
    heads = [line.lstrip("# ") for _, line in _prose(texts[SHOWN]) if line.startswith("#")]
    for part in SHOWN_PARTS:
        tally.look(None if part in heads else f"{SHOWN}:1: there is no section '{part}'")
    said = "practising conservator" in texts[SHOWN]
    tally.look(None if said else f"{SHOWN}:1: does not say that no practising conservator has reviewed it")


def check_pictures(_texts: Texts, tally: Tally, _demo: Demo) -> None:
    """The pictures of papers are those of today's papers."""
    found = docs_pictures.faults()
    tally.looked_at += max(len(PAPERS), len(found))
    tally.findings += found


def check_science(_texts: Texts, tally: Tally, _demo: Demo) -> None:
    """Charts and counts of the science are today's, and everything stands on a page."""
    maker = docs_pages.science()
    found = maker.faults()
    tally.looked_at += max(len(maker.all_charts()) + 1, len(found))
    tally.findings += found


CHECKS: dict[str, Callable[[Texts, Tally, Demo], None]] = {
    "made": check_made,
    "named": check_named,
    "pages": check_pages,
    "labels": check_labels,
    "knowledge": check_knowledge,
    "links": check_links,
    "examples": check_examples,
    "commands": check_commands,
    "shown": check_shown,
    "pictures": check_pictures,
    "science": check_science,
}
"""Name -> check.  Examples go before commands: they write the overrides that the commands use."""


def check_all(texts: Texts) -> dict[str, Tally]:
    """All checks, by name."""
    done: dict[str, Tally] = {}
    with demo_folder() as demo:
        for name, check in CHECKS.items():
            done[name] = Tally()
            check(texts, done[name], demo)
    return done


def broken(texts: Texts) -> dict[str, tuple[str, dict[str, str]]]:
    """Texts broken on purpose: what was done -> (the check that must find it, the texts)."""

    def put(path: str, old: str, new: str) -> dict[str, str]:
        if old not in texts[path]:
            raise ValueError(f"{path} does not hold '{old}', so it cannot be broken there")
        return {**texts, path: texts[path].replace(old, new)}

    return {
        "a word of a made page changed": ("made", put("docs/cli.md", "Exit codes", "Exits")),
        "a made page lost": (
            "made",
            {path: text for path, text in texts.items() if path != "docs/schemas.md"},
        ),
        "a made block changed": ("made", put(GUIDE, "<!-- end -->", "more\n<!-- end -->")),
        "a paper not mentioned": ("named", put(GUIDE, "`tray_card`", "`tray`")),
        "an exit code not mentioned": ("named", put(GUIDE, "| 2 |", "| two |")),
        "a page not mentioned": ("pages", put(PAGES, "`/CODE/find/`", "`/CODE/seek/`")),
        "a deed not mentioned": ("pages", put(PAGES, "| `put_on_tray` |", "| `put` |")),
        "a label no page has": ("labels", put(GUIDE, "“Look it over”", "“Look it through”")),
        "a rule not on any page": ("knowledge", put("docs/knowledge/supplies.md", "`tag`", "`label`")),
        "a link to nothing": ("links", put("README.md", "(docs/guide.md)", "(docs/guides.md)")),
        "a link to no place on a page": (
            "links",
            {**texts, GUIDE: texts[GUIDE] + "\n[x](lists.md#no-such-place)\n"},
        ),
        "a picture that is not there": (
            "links",
            {**texts, GUIDE: texts[GUIDE] + "\n![x](images/paper-none.png)\n"},
        ),
        "a command that does not run": (
            "commands",
            {**texts, GUIDE: texts[GUIDE] + "\n```sh\n./strandline care LIST --fast\n```\n"},
        ),
        "an override that is not valid": ("examples", put(GUIDE, 'target = "', 'target = "no.such.')),
        "a part not shown": ("shown", put(SHOWN, "## Papers", "## Paper")),
    }


def self_test(texts: Texts) -> Tally:
    """Break each thing once and see that its check finds it, and did not find it before."""
    tally = Tally()
    with demo_folder() as demo:
        for what, (name, damaged) in broken(texts).items():
            before, after = Tally(), Tally()
            given = {GUIDE: texts[GUIDE]} if name == "commands" else dict(texts)
            CHECKS[name](given, before, demo)
            CHECKS[name]({path: damaged[path] for path in given if path in damaged}, after, demo)
            found = set(after.findings) - set(before.findings)
            tally.look(None if found else f"tools/docs_check:1: '{name}' does not find this: {what}")
    return tally
