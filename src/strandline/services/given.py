"""What each paper is given: plain data cut out of a batch of plans and its order.

Lists and the record both print through here.  No database is asked: the command line prints without one.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from strandline.care.engine import Engine
from strandline.exchange.care_json import PlanWriter
from strandline.pipeline.objects import Site
from strandline.things.facts import Facts, Part
from strandline.things.tags import is_tag

HALF_SHIFT_H = 4.0
HALF_SHIFTS: tuple[str, ...] = ("first half-shift", "second half-shift")
DAY_ROWS = 12
CLASSES = Path(__file__).with_name("classes.toml")
SPARE_TAGS = 60
LAST_TAG = 999_999_999
STATION_ORDER: tuple[str, ...] = ("where_it_stands", "bench", "rinse", "drain", "dry", "hold", "records")
"""The way a thing goes; sheets lie in this order within a half-shift."""
ORDER_ROWS, ORDER_STEPS = 30, 2
MOST_HANDS = 200


class GivenError(ValueError):
    """What a paper is made from cannot be used; says which and why."""


class Around(Protocol):
    """What plans were made with: the engine, the incident's times, water and air, and its arrangements."""

    @property
    def engine(self) -> Engine:
        """The engine."""

    @property
    def site(self) -> Site:
        """Times, water and air."""

    @property
    def incident(self) -> Mapping[str, Any]:
        """Crew, rooms, hazards and releases, in the form of a site's file."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Plans (objects of strandline.care/1) and order (strandline.order/1) of one list, or out of a record.

    A record also knows, by tag, the keys of steps already ended (``done``), its own ``trays``
    {tray, place, tags}, list against reality (``groups``) and the next free tag; a list knows none of these.
    """

    head: Any
    objects: list[dict[str, Any]]
    order: dict[str, Any]
    work: Around
    done: Mapping[str, list[str]] = field(default_factory=dict)
    trays: list[dict[str, Any]] | None = None
    groups: dict[str, list[dict[str, Any]]] | None = None
    next_tag: int | None = None

    @property
    def by_tag(self) -> dict[str, dict[str, Any]]:
        """Objects by tag."""
        return {one["tag"]: one for one in self.objects}


def hands_of(crew: Any) -> tuple[int, int]:
    """Conservators and helpers of the first day, as the incident's file says; GivenError for no number."""
    day = crew[0] if isinstance(crew, list) and crew else crew if isinstance(crew, dict) else {}
    usual = {"lead_conservator": 1, "assistant_conservator": 1, "helpers": 5}
    found = {role: day.get(role, number) for role, number in usual.items()}
    for role, number in found.items():
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= MOST_HANDS:
            raise GivenError(
                f"site: crew, {role} must be a whole number from 0 to {MOST_HANDS}; got '{number}'"
            )
    return found["lead_conservator"] + found["assistant_conservator"], found["helpers"]


def given_for(name: str, batch: Batch) -> Mapping[str, Any]:
    """The data of one paper."""
    return MAKERS[name](batch)


def _cards(batch: Batch) -> dict[str, Any]:
    ordered = [row["tag"] for row in batch.order["rows"]]
    stops = [row["tag"] for row in batch.order["stops"]]
    place = {tag: n for n, tag in enumerate((*stops, *ordered))}
    ranked = sorted(batch.objects, key=lambda one: (place.get(one["tag"], len(place)), one["tag"]))
    return {"objects": ranked, "done": batch.done}


def _tags(batch: Batch) -> dict[str, Any]:
    if batch.next_tag is not None:
        return {"first": batch.next_tag, "count": SPARE_TAGS, "reserved_for": "intake table"}
    numbers = [int(one["tag"]) for one in batch.objects if is_tag(one["tag"])]
    numbers = [number for number in numbers if number < LAST_TAG - SPARE_TAGS]
    return {"first": max(numbers, default=0) + 1, "count": SPARE_TAGS, "reserved_for": "intake table"}


def _classes(batch: Batch) -> dict[str, Any]:
    rows = tomllib.loads(CLASSES.read_text(encoding="utf-8"))["class"]
    return {
        "classes": [
            {"title": row["title"], "note": row["note"], "object": example_object(row, n, batch.work)}
            for n, row in enumerate(rows, start=1)
        ]
    }


def example_object(row: Mapping[str, Any], n: int, work: Around) -> dict[str, Any]:
    """The plan of a class's example: parts of the class's materials in the incident's water."""
    knowledge = work.engine.book.knowledge
    parts = tuple(
        Part(
            id=f"p{index}",
            name="",
            material=key,
            family=knowledge.materials[key].family
            if key in knowledge.materials
            else key.removesuffix("_unknown"),
            features=tuple(sorted(row.get("features", ()))),
            surface="stated" if row.get("surface_known", True) else "silent",
        )
        for index, key in enumerate(row["materials"], start=1)
    )
    facts = Facts(
        f"C{n:03d}",
        0,
        title=row["title"],
        parts=parts,
        water=work.site.water or ("river", "sewage"),
        wet_state="under_water",
        wet_since=work.site.wet_since,
        out_since=work.site.out_since,
        air_c=work.site.air_c,
    )
    return PlanWriter().object_dict(facts, work.engine.plan(facts, work.site.as_of))


def _trays(batch: Batch) -> dict[str, Any]:
    """Trays, at the point where the short first steps (photograph, tag) lie behind them."""
    by_tag = batch.by_tag
    rows: list[dict[str, Any]] = []
    for tray in batch.trays or ():
        members = [by_tag[tag] for tag in tray["tags"]]
        done = {tag: list(batch.done.get(tag, ())) for tag in tray["tags"]}
        rows.append({"tray": tray["tray"], "place": tray["place"], "objects": members, "done": done})
    for tray in batch.order["trays"] if batch.trays is None else ():
        members = [by_tag[tag] for tag in tray["tags"]]
        done = {
            one["tag"]: [step["key"] for step in one["steps"] if step["kind"] == "cheap"] for one in members
        }
        place = (tray["zone"] or "where it lies").replace("_", " ")
        rows.append({"tray": f"T{tray['n']}", "place": place, "objects": members, "done": done})
    return {"trays": rows}


def _day_sheets(batch: Batch) -> dict[str, Any]:
    """The first day: one sheet per half-shift and station, things in the order they come to it.

    What comes before a thing's first step at a station is taken as done by then: the sheet of the rinse
    says what to do at the rinse.
    """
    by_tag = batch.by_tag
    sheets: list[dict[str, Any]] = []
    for n, name in enumerate(HALF_SHIFTS):
        stations = _at_stations(batch.order["rows"], n * HALF_SHIFT_H, (n + 1) * HALF_SHIFT_H)
        for station, tags in sorted(stations.items(), key=_station_place):
            ordered = sorted(tags, key=lambda tag: (tags[tag][0], tag))
            for first in range(0, len(ordered), DAY_ROWS):
                listed = [
                    {"object": by_tag[tag], "who": "", "done": _ended(batch, tag, tags[tag][1])}
                    for tag in ordered[first : first + DAY_ROWS]
                ]
                sheets.append({"station": station.replace("_", " "), "half_shift": name, "rows": listed})
    return {"sheets": sheets}


def _station_place(one: tuple[str, Any]) -> tuple[int, str]:
    place = STATION_ORDER.index(one[0]) if one[0] in STATION_ORDER else len(STATION_ORDER)
    return place, one[0]


Coming = dict[str, dict[str, tuple[float, str]]]


def _at_stations(rows: list[dict[str, Any]], from_h: float, to_h: float) -> Coming:
    """By station and tag: when a thing's first step there begins between two hours, and which it is."""
    found: Coming = {}
    for row in rows:
        for step in row["steps"]:
            if from_h <= step["start_h"] < to_h:
                held = found.setdefault(step["station"], {})
                held.setdefault(row["tag"], (step["start_h"], step["key"]))
    return found


def _ended(batch: Batch, tag: str, key: str) -> list[str]:
    """Keys of the steps that lie behind a thing when it comes to ``key``."""
    return list(dict.fromkeys((*_before(batch.by_tag[tag], key), *batch.done.get(tag, ()))))


def _before(one: Mapping[str, Any], key: str) -> list[str]:
    """Keys of the steps that come before ``key``."""
    keys = [step["key"] for step in one["steps"]]
    return keys[: keys.index(key)] if key in keys else []


def _rooms(batch: Batch) -> list[str]:
    rooms = batch.work.incident.get("rooms", ())
    return [str(room.get("name", room)) if isinstance(room, dict) else str(room) for room in rooms]


def _briefing(batch: Batch) -> dict[str, Any]:
    knowledge = batch.work.engine.book.knowledge
    site = {
        hazard["key"]: hazard
        for one in batch.objects
        for hazard in one["hazards"]
        if hazard["scope"] == "site"
    }
    for n, said in enumerate(_tables(batch, "hazards", ("say", "grade"))):
        site[str(said.get("key") or f"site {n}")] = said
    stops_first = sorted(site.values(), key=lambda one: one["grade"] != "stop")
    return {
        "cautions": [
            {"about": one.about, "say": one.say, "confidence": one.confidence} for one in knowledge.cautions
        ],
        "releases": [
            *(_release(one) for one in _tables(batch, "releases", ("what",))),
            *({"room": room} for room in _rooms(batch)),
        ],
        "hazards": [{"say": str(one["say"]), "grade": str(one["grade"])} for one in stops_first],
    }


def _tables(batch: Batch, key: str, wanted: tuple[str, ...]) -> list[Mapping[str, Any]]:
    """The site file's tables of one kind; GivenError where one lacks what is wanted of it."""
    rows = batch.work.incident.get(key, ())
    if not isinstance(rows, (list, tuple)):
        raise GivenError(f"site: {key} must be tables, written [[{key}]]")
    for row in rows:
        lacking = [name for name in wanted if not isinstance(row, Mapping) or not row.get(name)]
        if lacking:
            raise GivenError(f"site: each of [[{key}]] needs '{lacking[0]}'")
    return list(rows)


def _release(one: Mapping[str, Any]) -> dict[str, Any]:
    """A release of the site file; one not given yet says what it needs."""
    needs = str(one.get("needs") or "somebody competent, by record")
    return {
        "room": str(one.get("building") or one.get("room") or ""),
        "what": str(one["what"]),
        "needs": "" if one.get("released") is True else needs,
        "role": one.get("role"),
        "at": _iso(one.get("at")),
        "said": one.get("said"),
    }


def _iso(at: Any) -> str:
    return at.isoformat() if isinstance(at, datetime) else str(at or "")


def _reality(batch: Batch) -> dict[str, Any]:
    """Before anybody has looked, everything on the list is not seen yet."""
    if batch.groups is not None:
        return {"groups": batch.groups}
    rows = [
        {
            "tag": one["tag"],
            "owner_number": one["owner_number"],
            "title": one["title"] or one["materials"],
            "owner": one["owner"],
            "place": one["place"],
            "water_line": "",
            "listed": one["facts"]["pieces"] or 1,
            "counted": 0,
            "note": "",
        }
        for one in batch.objects
    ]
    return {"groups": {"found": [], "not_seen": rows, "unlisted": [], "counts_differ": []}}


def _order(batch: Batch) -> dict[str, Any]:
    """The first objects in order, each with the first things that are done to it."""
    by_tag = batch.by_tag
    rows = [{**row, "steps": _first_acts(batch, by_tag[row["tag"]])} for row in batch.order["rows"]]
    return {"rows": rows, "stops": batch.order["stops"], "first": ORDER_ROWS}


def _first_acts(batch: Batch, one: Mapping[str, Any]) -> list[dict[str, str]]:
    """The first two things still done with hands, after photograph and tag."""
    done = batch.done.get(one["tag"], ())
    acts = [s for s in one["steps"] if s["kind"] in {"act", "look", "local_air"} and s["key"] not in done]
    return [{"text": step["text"]} for step in acts[:ORDER_STEPS]]


MAKERS: dict[str, Callable[[Batch], dict[str, Any]]] = {
    "care_card": _cards,
    "tags": _tags,
    "class_cards": _classes,
    "tray_card": _trays,
    "day_sheet": _day_sheets,
    "intake_form": lambda _: {"copies": 2},
    "hazard_walk": lambda batch: {"rooms": _rooms(batch)},
    "site_briefing": _briefing,
    "sign_in": lambda _: {"crew": []},
    "owner_advice": lambda batch: {"water": batch.work.site.water},
    "list_against_reality": _reality,
    "order_sheet": _order,
}
"""Paper -> what it is given.  Every paper of the registry stands here (a test sees to it)."""
