"""What several commands share: opening a list, the moment, the incident's facts, the knowledge."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import click

from strandline.care.engine import Engine
from strandline.exchange.lists import ListError, OpenedList, open_list
from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.files import KnowledgeError
from strandline.knowledge.overrides import apply_overrides
from strandline.pipeline import cells
from strandline.pipeline.objects import Site

F = TypeVar("F", bound=Callable[..., Any])


SITE_TABLES: tuple[str, ...] = ("crew", "rooms", "hazards", "releases")
"""Tables of the site file beside [incident] that papers and the order use."""


class UserError(Exception):
    """Something the user can mend, said in one sentence."""


def list_options(command: F) -> F:
    """The options every command that reads a list has."""
    return _with_list(command, required=True)


def maybe_list_options(command: F) -> F:
    """The same for a command that reads a list or does without one."""
    return _with_list(command, required=False)


def _with_list(command: F, *, required: bool) -> F:
    metavar = "LIST" if required else "[LIST]"
    options = [
        click.argument("list_path", metavar=metavar, required=required, type=click.Path(path_type=Path)),
        click.option(
            "--as-of", "as_of", metavar="TIME",
            help="The moment to count from (ISO 8601; default: the site file's as_of, else now).",
        ),
        click.option(
            "--site", "site_path", metavar="FILE", type=click.Path(path_type=Path),
            help="Incident facts (TOML): times, water, air, crew; used where a row is silent.",
        ),
        click.option(
            "--columns", metavar="HEADER=COLUMN", multiple=True,
            help="Read a header as a column; 'keep' keeps it unread. May be given several times.",
        ),
        click.option(
            "--overrides", "overrides_path", metavar="FILE", type=click.Path(path_type=Path),
            help="Practice overrides (TOML).",
        ),
    ]  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


@dataclass(frozen=True, slots=True)
class Work:
    """A list opened, with everything needed to make its plans."""

    opened: OpenedList
    site: Site
    engine: Engine
    incident: Mapping[str, Any]


def open_work(
    list_path: Path,
    as_of: str | None,
    site_path: Path | None,
    columns: tuple[str, ...],
    overrides_path: Path | None,
) -> Work:
    """Open everything a command needs; raises UserError with one clear sentence."""
    whole = read_incident(site_path) if site_path else {}
    incident = {
        **whole.get("incident", whole),
        **{key: whole[key] for key in SITE_TABLES if key in whole},
    }
    site = site_of(incident, moment(as_of or _text(incident.get("as_of"))))
    knowledge = known(overrides_path, site.as_of.date())
    try:
        opened = open_list(list_path, column_map(columns))
    except ListError as error:
        raise UserError(str(error)) from error
    return Work(opened, site, Engine(knowledge), incident)


def _text(value: Any) -> str | None:
    return None if value is None else value.isoformat() if isinstance(value, datetime) else str(value)


def moment(text: str | None) -> datetime:
    """``--as-of`` (or the incident's ``as_of``) as an aware UTC moment; the clock when not given."""
    if text is None:
        return datetime.now(UTC).replace(microsecond=0)
    try:
        found = datetime.fromisoformat(text)
    except ValueError as error:
        raise UserError(f"--as-of must be a time such as 2026-03-15T15:40+00:00; got '{text}'") from error
    return (found if found.tzinfo else found.replace(tzinfo=UTC)).astimezone(UTC)


def column_map(pairs: tuple[str, ...]) -> dict[str, str] | None:
    """``--columns`` pairs as a mapping."""
    found: dict[str, str] = {}
    for pair in pairs:
        header, equals, column = pair.rpartition("=")
        if not equals or not header or not column:
            raise UserError(f"--columns wants HEADER=COLUMN, for example \"Made of=materials\"; got '{pair}'")
        found[header.strip()] = column.strip()
    return found or None


def known(overrides_path: Path | None, on: date) -> Knowledge:
    """The knowledge, with the practice's overrides if a file is given."""
    knowledge = shipped()
    if overrides_path is None:
        return knowledge
    try:
        return apply_overrides(knowledge, read_text(overrides_path), overrides_path.name, on)
    except KnowledgeError as error:
        raise UserError("the overrides cannot be used:\n  " + "\n  ".join(error.problems)) from error


def read_text(path: Path) -> str:
    """A small text file, or a UserError."""
    try:
        return path.read_text(encoding="utf-8")
    except IsADirectoryError as error:
        raise UserError(f"{path} is a folder; a file is needed") from error
    except FileNotFoundError as error:
        raise UserError(f"{path} does not exist") from error
    except (OSError, UnicodeDecodeError) as error:
        raise UserError(f"{path} cannot be read: {error}") from error


def read_incident(path: Path) -> dict[str, Any]:
    """The incident's facts as a dict."""
    try:
        return tomllib.loads(read_text(path))
    except tomllib.TOMLDecodeError as error:
        raise UserError(f"{path.name} is not valid TOML: {error}") from error


def site_of(incident: Mapping[str, Any], as_of: datetime) -> Site:
    """The incident's times, water and air as used for silent rows."""
    zone = str(incident.get("zone", "UTC"))
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise UserError(
            f"site: zone '{zone}' is no time zone of the IANA list, such as Europe/London"
        ) from error
    water = incident.get("water", ())
    text = water if isinstance(water, str) else ";".join(str(one) for one in water)
    try:
        return Site(
            as_of=as_of,
            zone=zone,
            wet_since=_when(incident.get("wet_since"), zone),
            out_since=_when(incident.get("out_since"), zone),
            water=tuple(cells.water(text)) if text else (),
            air_c=_degrees(incident.get("air_c")),
        )
    except cells.CellError as error:
        raise UserError(f"site: {error}") from error


def _when(value: Any, zone: str) -> datetime | None:
    if value is None or value == "":
        return None
    if isinstance(value, datetime):
        return (value if value.tzinfo else value.replace(tzinfo=ZoneInfo(zone))).astimezone(UTC)
    return cells.when(str(value), zone)


def _degrees(value: Any) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not -40 <= value <= 60:
        raise UserError(f"site: air_c must be degrees Celsius between -40 and 60; got '{value}'")
    return float(value)


def folder_to_write(path: Path) -> Path:
    """The folder, made if need be; UserError before any work is done where it cannot be written."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise UserError(f"{path} is a file and cannot be written to; name a folder") from error
    except OSError as error:
        raise UserError(f"{path} cannot be written: {error.strerror or error}") from error
    if not os.access(path, os.W_OK | os.X_OK):
        raise UserError(f"{path} cannot be written: permission denied")
    return path


def write_file(path: Path, content: bytes) -> None:
    """Write a file beside its final name and rename it, so that a half-written one is never seen."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_name(path.name + ".part")
        part.write_bytes(content)
        part.replace(path)
    except OSError as error:
        raise UserError(f"{path} cannot be written: {error.strerror or error}") from error
