"""``strandline knowledge``: what the tool knows, one entry in full, or whether a file is well-formed."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import click

from strandline.cli.shared import UserError, moment, read_text
from strandline.knowledge import files
from strandline.knowledge.base import KINDS, REVIEW_SENTENCE, load, shipped, shipped_texts
from strandline.knowledge.files import KnowledgeError
from strandline.knowledge.overrides import apply_overrides


@click.group()
def knowledge() -> None:
    """List, show or check the knowledge behind the plans."""


@knowledge.command("list")
@click.argument("kind", required=False)
@click.option("--json", "as_json", is_flag=True, help="Write JSON.")
def list_entries(kind: str | None, as_json: bool) -> None:
    """List the kinds of entries, or the entries of one KIND."""
    held = shipped()
    if kind is not None and kind not in KINDS:
        raise UserError(f"there is no kind '{kind}'; kinds are {', '.join(KINDS)}")
    rows = [(one, entry) for one, entry in held.entries() if kind in {None, one}]
    names = [
        (one, getattr(entry, "id", None) or getattr(entry, "key", ""), _headline(entry))
        for one, entry in rows
    ]
    if as_json:
        click.echo(json.dumps([{"kind": k, "id": i, "say": s} for k, i, s in names], ensure_ascii=False))
        return
    if kind is None:
        for one, count in Counter(one for one, _ in rows).items():
            click.echo(f"{one:<14} {count:>5}")
        click.echo(f"knowledge {held.version}, sha256 {held.sha256[:16]}. {REVIEW_SENTENCE}")
        return
    for _, name, say in names:
        click.echo(f"{name:<44} {say}")


def _headline(entry: Any) -> str:
    for field in ("say", "title", "how", "text", "do", "why"):
        value = getattr(entry, field, None)
        if value:
            return str(value)
    return ""


@knowledge.command()
@click.argument("name")
@click.option("--json", "as_json", is_flag=True, help="Write JSON.")
def show(name: str, as_json: bool) -> None:
    """Show one entry, NAME being a rule id (act.rinse.iron_bare), a material, feature or source key."""
    found = [
        (kind, entry)
        for kind, entry in shipped().entries()
        if name
        in {getattr(entry, "id", None), getattr(entry, "key", None), f"{kind}.{getattr(entry, 'key', '')}"}
    ]
    if not found:
        raise UserError(f"nothing is called '{name}'; 'strandline knowledge list KIND' lists what there is")
    for kind, entry in found:
        data = entry.model_dump(mode="json", exclude_defaults=True)
        if as_json:
            click.echo(json.dumps({"kind": kind, **data}, ensure_ascii=False, indent=1))
            continue
        click.echo(f"{kind}: {name}")
        for field, value in data.items():
            click.echo(f"  {field}: {_shown(value)}")
        if "reviewed_by" in type(entry).model_fields and not data.get("reviewed_by"):
            click.echo(f"  {REVIEW_SENTENCE}")


def _shown(value: Any) -> str:
    return str(value) if isinstance(value, (str, int, float)) else json.dumps(value, ensure_ascii=False)


@knowledge.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.pass_context
def check(ctx: click.Context, file: Path) -> None:
    """Check a FILE of knowledge entries or overrides against everything that ships."""
    text = read_text(file)
    try:
        if "[[override]]" in text:
            apply_overrides(shipped(), text, file.name, moment(None).date())
            click.echo(f"{file.name}: every override can be applied.")
            return
        entries, problems = files.read_text(text, file.name)
        if problems:
            raise KnowledgeError(problems)
        if not entries:
            raise KnowledgeError([f"{file.name}: holds no entries"])
        load({**shipped_texts(), f"zz/{file.name}": text})
    except KnowledgeError as error:
        for problem in error.problems:
            click.echo(problem, err=True)
        ctx.exit(1)
    click.echo(f"{file.name}: {sum(map(len, entries.values()))} entries, well-formed, nothing left loose.")
