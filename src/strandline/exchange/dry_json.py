"""``strandline.dry/1``: drying forecasts as JSON, written body by body so that a long list never piles up.

The keys are the field names of the dataclasses in ``things.drying``; a band is [low, mid, high].
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any, TextIO

from strandline.exchange.care_json import dumps, made_by, problem_dict, stamp
from strandline.knowledge.base import Knowledge
from strandline.things.drying import DryingForecast, DryingQuestion
from strandline.things.listing import ListHead, Problem
from strandline.things.shared_room import SharedRoomForecast

SCHEMA = "strandline.dry/1"
SHARED_AIR = (
    "The room's air is taken as given: that all of these things damp it is not reckoned, so that many in a "
    "small room dry slower."
)
NOT_IN_THE_ROOM = (
    "The room's air is reckoned as well mixed and of one temperature. Not counted are things that are not "
    "forecast, water on metal and glass, wet floors, walls and curtains, people, water in tubs, and what dry "
    "things and walls take up from the air; it counts everything that is forecast as standing in this room."
)
STANDING = (
    "None of these figures has been tried on a real object. They are bands; a weighing tells how wet a thing "
    "is, and two of them, days apart, how fast it dries, which no figure here knows better."
)
EARLY = (
    "Published drying times of boards are missed on the fast side: in kilns by factors of up to 2.5, in open "
    "air with its nights and winters by 1.7 to 6.6 (docs/science/measured.md): read 'likely' as early."
)
NOT_MEASURED = (
    "Where nobody gave a thickness, the body is reckoned over all that such things usually have, by what the "
    "thing is called and made of: a wide band, most of it common practice without a published source. A rule "
    "laid to the thing narrows it more than anything else here. Cloth, paper, rope and nets are reckoned as "
    "one layer or strand laid out: folded, coiled or in a heap they dry far later."
)
DIGITS = 6
"""Significant digits of a number: the forecast is not good to more."""


@dataclass(frozen=True, slots=True)
class ThicknessDoubt:
    """Bodies reckoned over a thickness nobody gave, and those to measure first, as tag/part."""

    bodies: int
    measure_first: tuple[str, ...]


class NotFinite(ValueError):
    """A number of a forecast is no number; says where it stands."""


def dry_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that ships with the package."""
    text = files("strandline.exchange").joinpath("schemas", "dry.1.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def forecast_dict(forecast: DryingForecast) -> dict[str, Any]:
    """One forecast.  Raises NotFinite, so that NaN never leaves."""
    found: dict[str, Any] = _plain(forecast, "")
    if forecast.body.thickness_band_mm is not None:
        # Who reads only the older key shall not take the middle of a band for a measured thickness.
        found["body"]["thickness_mm"] = None
    return found


def check_finite(forecast: DryingForecast) -> None:
    """Raises NotFinite, which says where, for a forecast with a number that is none."""
    if not _finite(forecast):
        forecast_dict(forecast)


def _finite(value: Any) -> bool:
    """Whether every number in it is one; quicker than to write it."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, (tuple, list)):
        return all(map(_finite, value))
    if isinstance(value, Mapping):
        return all(map(_finite, value.values()))
    return not is_dataclass(value) or all(_finite(getattr(value, one.name)) for one in fields(value))


def question_dict(question: DryingQuestion) -> dict[str, Any]:
    """What was asked.  Raises NotFinite."""
    found: dict[str, Any] = _plain(question, "question")
    return found


def _plain(value: Any, at: str) -> Any:
    """Dataclasses as objects, tuples as arrays, floats with no more digits than they are worth."""
    if is_dataclass(value):
        return {
            field.name: _plain(getattr(value, field.name), f"{at}.{field.name}".lstrip("."))
            for field in fields(value)
        }
    if isinstance(value, Mapping):
        return {str(key): _plain(held, f"{at}.{key}") for key, held in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(held, at) for held in value]
    return _number(value, at) if isinstance(value, float) else value


def _number(value: float, at: str) -> float | int:
    """A finite number, rounded; a whole one as an integer."""
    if not math.isfinite(value):
        raise NotFinite(f"{at} came out as {value}, which is no number")
    short = float(f"{value:.{DIGITS}g}")
    return int(short) if short.is_integer() else short


@cache
def numbers_sha256() -> str:
    """Hash of the numbers of timbers, bodies and covers that forecasts rest on, without their sources."""
    held = hashlib.sha256()
    folder = files("strandline.knowledge").joinpath("numbers")
    for one in sorted(
        (one for one in folder.iterdir() if one.name.endswith(".toml")), key=lambda one: one.name
    ):
        held.update(one.name.encode() + b"\0" + one.read_bytes() + b"\0")
    return held.hexdigest()


def dry_made_by(knowledge: Knowledge, program_version: str) -> dict[str, Any]:
    """Who made this: versions and hashes."""
    return {**made_by(knowledge, program_version), "numbers_sha256": numbers_sha256()}


class DryDocument:
    """Writes a whole ``strandline.dry/1`` document to a stream, bodies as they come."""

    def __init__(
        self,
        out: TextIO,
        made: Mapping[str, Any],
        as_of: datetime,
        question: DryingQuestion,
        says: Iterable[str] = (STANDING,),
    ) -> None:
        self.out = out
        self.count = 0
        head = {
            "schema": SCHEMA,
            "made_by": dict(made),
            "as_of": stamp(as_of),
            "question": question_dict(question),
            "says": list(says),
        }
        out.write(dumps(head)[:-1] + ',\n"bodies":[')

    def add(self, forecast: DryingForecast) -> None:
        """Add one body.  Raises NotFinite before anything of it is written."""
        line = dumps(forecast_dict(forecast))
        self.out.write(",\n" if self.count else "\n")
        self.out.write(line)
        self.count += 1

    def close(
        self,
        head: ListHead | None,
        rows: int,
        left_out: Iterable[Any],
        problems: Iterable[Problem] = (),
        rejected: Iterable[Problem] = (),
        thickness: ThicknessDoubt | None = None,
        room: SharedRoomForecast | None = None,
    ) -> None:
        """Finish: what was left out (dataclasses), what could not be used, and the list's head if any.

        ``thickness`` says of a list what is open for want of a thickness, ``room`` what comes of one that all
        share.
        """
        refused = [problem_dict(one) for one in rejected]
        tail = {
            "left_out": [_plain(one, "left_out") for one in left_out],
            "rejected": refused,
            "problems": [problem_dict(one) for one in problems],
            "list": None if head is None else _list(head, rows, len(refused)),
            **({} if thickness is None else {"assumed_thickness": _plain(thickness, "assumed_thickness")}),
            **({} if room is None else {"shared_room": _plain(room, "shared_room")}),
        }
        self.out.write("\n]," + dumps(tail)[1:-1] + "}\n")


def _list(head: ListHead, rows: int, rejected: int) -> dict[str, Any]:
    """The list that was read, with its counts."""
    return {
        "name": head.name,
        "sha256": head.sha256,
        "rows": rows,
        "objects": rows - rejected,
        "rejected": rejected,
        "columns": dict(head.columns),
        "kept_columns": list(head.kept_columns),
    }
