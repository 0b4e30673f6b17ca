"""Pages made from the commands, the papers and the schemas: cli.md, papers.md, schemas.md."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from docs_md import cell, fenced, page, raw, table, words
from docs_runs import Demo
from strandline.cli.main import main
from strandline.papers.registry import PAPERS

ROOT = Path(__file__).resolve().parent.parent
SCHEMAS = ROOT / "src" / "strandline" / "exchange" / "schemas"
IMAGES = ROOT / "docs" / "images"

USES: dict[str, tuple[str, str]] = {
    "care_card": ("the helper at the object", "tied to or laid beside each thing; stops are printed first"),
    "tags": ("the intake table", "before anything else: numbers to tie on, each with its code"),
    "class_cards": (
        "everybody, before the list exists",
        "printed before the flood, one card per kind of thing",
    ),
    "tray_card": ("the bench", "goes with a tray; a box per step and tag"),
    "day_sheet": ("one station", "what comes to it in the first half-shift; counted at hand-over"),
    "intake_form": ("the intake table", "to take a thing in with a pencil when no list reaches it"),
    "hazard_walk": ("the lead and one other", "one copy a room, looked at before anybody touches anything"),
    "site_briefing": ("the door", "read aloud at the start of each shift"),
    "sign_in": ("the door", "who is in, and head counts"),
    "owner_advice": ("owners and lenders", "handed or sent out at the first call"),
    "list_against_reality": ("the lead", "what the list says, what is found, what is not"),
    "order_sheet": ("the lead", "the first things in order, each with its reason"),
}
"""Paper -> for whom, and when or how it is used."""

EXIT_CODES = (
    ("0", "all of it was read and is settled"),
    ("1", "a stop, an open conflict, or something in the list that could not be used; each is named"),
    (
        "2",
        "nothing could be done: the list, the site, the overrides or an argument cannot be used; one "
        "sentence says why",
    ),
)


def commands(
    group: click.Command = main, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command and subcommand with its path of names."""
    yield path, group
    if isinstance(group, click.Group):
        for name in group.commands:
            yield from commands(group.commands[name], (*path, name))


def options(command: click.Command) -> list[str]:
    """Long names of a command's options."""
    return [
        name
        for option in command.params
        if isinstance(option, click.Option)
        for name in option.opts
        if name.startswith("--")
    ]


def cli_page(demo: Demo) -> str:
    """docs/cli.md: what ``--help`` says, command by command."""
    blocks = [
        "Each command tells the same with `--help`. Errors are one sentence on standard error; "
        "plans, tables and "
        "JSON go to standard output. [The guide](guide.md) says what to use when.",
        "## Exit codes\n\n" + table(("code", "meaning"), EXIT_CODES),
    ]
    for path, _ in commands():
        said = demo.run(" ".join((*path, "--help")))
        blocks.append(f"## {' '.join(('strandline', *path))}\n\n{fenced(said.out)}")
    return page("Commands", *blocks)


def papers_page() -> str:
    """docs/papers.md: each paper with its use, its size and its picture."""
    made = json.loads((IMAGES / "made.json").read_text(encoding="utf-8"))["papers"]
    if strange := sorted({*PAPERS} - {*made}) or sorted({*PAPERS} - {*USES}):
        raise ValueError(f"paper {strange[0]}: run tools/page_images.py, and say its use in docs_commands.py")
    blocks = [
        "Every paper is a PDF in black on white (PDF/A-2a and PDF/UA-1), with the fonts inside, so "
        "that any cheap "
        "printer prints it the same. Make all of them, or some:",
        fenced(
            "./strandline papers LIST --to FOLDER\n./strandline papers LIST --to FOLDER --only "
            "care_card --only tags",
            "sh",
        ),
        "The pictures show the first side made from the demo's list, an invented flood. Sides are "
        "those of the "
        "demo's 140 objects. No practising conservator has reviewed the papers, and they have not "
        "been used on a real site.",
        table(
            ("paper", "what it is", "for", "size (mm)", "sides in the demo"),
            (
                (
                    raw(f"[`{name}`](#{name})"),
                    PAPERS[name][0],
                    USES[name][0],
                    made[name]["size_mm"],
                    made[name]["sides"],
                )
                for name in PAPERS
            ),
        ),
    ]
    for name, (what, _) in PAPERS.items():
        shots = "\n".join(
            f"![{cell(what)}, side {n}](images/{image})"
            for n, image in enumerate(made[name]["images"], start=1)
        )
        use = f"**For** {USES[name][0]}: {USES[name][1]}. {made[name]['size_mm']} mm."
        blocks.append(f"## {name}\n\n{what}. {use}\n\n{shots}")
    return page("Papers", *blocks)


def schemas_page() -> str:
    """docs/schemas.md: every field of the JSON formats."""
    blocks = [
        "Four JSON formats (JSON Schema draft 2020-12). Within a number, optional keys may be added "
        "and no meaning "
        "changes. Keys marked * are always there. Times are UTC. Relative humidity is in percent in plans "
        "and orders, and in drying forecasts a share from 0 to 1."
    ]
    for path in sorted(SCHEMAS.glob("*.json")):
        schema = json.loads(path.read_text(encoding="utf-8"))
        name = schema["title"]
        blocks.append(
            f"## {name}\n\n{schema.get('description', '')}\n\n"
            "[the schema "
            f"itself](../src/strandline/exchange/schemas/{path.name})\n\n{_fields(schema, path.stem)}"
        )
        for key, part in schema.get("$defs", {}).items():
            body = (
                _fields(part, path.stem)
                if "properties" in part
                else f"{_type(part, path.stem)}. {part.get('description', '')}"
            )
            blocks.append(f'<a id="{path.stem}-{key}"></a>\n\n### {words(key)} in {name}\n\n{body}')
    return page("JSON formats", *blocks)


def _fields(schema: Mapping[str, Any], stem: str) -> str:
    must = set(schema.get("required", ()))
    rows = [
        (raw(f"`{key}`{' *' if key in must else ''}"), raw(_type(part, stem)), part.get("description", ""))
        for key, part in schema.get("properties", {}).items()
    ]
    note = "" if schema.get("additionalProperties", True) else "\nNo other keys.\n"
    return table(("key", "type", "meaning"), rows) + note


def _type(part: Mapping[str, Any], stem: str) -> str:
    if "$ref" in part:
        name = part["$ref"].rpartition("/")[2]
        return f"[{words(name)}](#{stem}-{name})"
    if "const" in part:
        return f"`{part['const']}`"
    if "enum" in part:
        return " or ".join(f"`{'null' if one is None else one}`" for one in part["enum"])
    for key in ("oneOf", "anyOf"):
        if key in part:
            return " or ".join(_type(one, stem) for one in part[key])
    kind = part.get("type", "anything")
    if isinstance(kind, list):
        return " or ".join(kind)
    if kind == "array":
        if "prefixItems" in part:
            return "[" + ", ".join(_type(one, stem) for one in part["prefixItems"]) + "]"
        return f"array of {_type(part.get('items') or {}, stem)}"
    if kind == "object" and isinstance(part.get("additionalProperties"), dict):
        return f"object, each value {_type(part['additionalProperties'], stem)}"
    if kind == "object" and "properties" in part:
        return "object: " + ", ".join(
            f"`{key}`: {_type(one, stem)}" for key, one in part["properties"].items()
        )
    return f"{kind} ({part['format']})" if "format" in part else str(kind)
