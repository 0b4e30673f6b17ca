"""Observe a part: its material, its surface, what is on it and how thick it is, seen by somebody who looked.

The part's own row then says so, and an Observation of that part keeps who said it, when, and how it is known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join, Object, Part
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.engines import engine_for
from strandline.services.stops import stops_stay
from strandline.things.facts import KnownBy

FIELDS: tuple[str, ...] = ("material", "features", "surface", "thickness_mm")
LOOKED: tuple[str, ...] = ("seen", "measured", "stated", "assumed", "unknown")
THICKEST_MM = 5000.0
LONGEST_NAME = 200
BARE = "bare"


def observe_part(
    caller: Caller, thing: Object, part_key: str, field: str, value: Any, known_by: KnownBy
) -> Observation:
    """Keep what was seen of a part.  The caller makes the next plan.

    ``field`` is material (a key, or ``<family>_unknown``), features (the whole list of keys), surface (the
    key of what the surface is, ``bare`` for nothing on it) or thickness_mm (mm, None for not known).
    Raises Refused for a part the object does not have, for a value that is none, and for one that would
    lift a stop nobody released.
    """

    def work(changes: Changes) -> None:
        if field not in FIELDS:
            raise Refused(f"'{field}' is not looked at on a part; {', '.join(FIELDS)} are")
        _way(known_by)
        row = Part.objects.select_for_update().filter(object=thing, key=part_key).first()
        if row is None:
            raise Refused(f"{thing.tag} has no part '{part_key}'")
        last = (
            Observation.objects.filter(part=row, key=field, superseded_by__isnull=True).order_by("id").last()
        )
        fields = {"material": _material, "features": _features, "surface": _surface,
                  "thickness_mm": _thickness}[field](row, value, known_by)  # fmt: skip
        with stops_stay(thing):
            changes.update(row, **fields)
            changes.create(
                Observation, object=thing, part=row, key=field, value=value, known_by=known_by,
                by=caller.person, at=now(), supersedes=last,
            )  # fmt: skip

    engine_for(thing, now())  # made before the transaction begins: others would wait for it
    payload = {"object": thing, "part": part_key, "field": field, "value": value, "known_by": known_by}
    act = perform(caller, Wanted("observe_part", payload, thing.incident, thing), work)
    return made_by(act, Observation)


def add_part(
    caller: Caller,
    thing: Object,
    name: str,
    material: str,
    known_by: KnownBy,
    features: Sequence[str] = (),
    thickness_mm: float | None = None,
    joined_to: str = "",
    join: str = "unknown",
) -> Part:
    """Add a part nobody had noted, and how it holds to another one.  The caller makes the next plan.

    Raises Refused for no name, for a material, feature, thickness, join or other part that is none, and
    where a stop nobody released would be lifted.
    """

    def work(changes: Changes) -> None:
        _way(known_by)
        if not name.strip() or len(name.strip()) > LONGEST_NAME:
            raise Refused(f"a part has a name of {LONGEST_NAME} characters at most")
        rows = list(Part.objects.filter(object=thing).order_by("order"))
        key, order = _next([row.key for row in rows], "p"), max((row.order for row in rows), default=-1) + 1
        blank = Part(object=thing, key=key, order=order, name=name.strip(), surface="silent")
        fields = {
            **_material(blank, material, known_by),
            **_features(blank, list(features), known_by),
            **_thickness(blank, thickness_mm, known_by if thickness_mm is not None else "unknown"),
        }
        with stops_stay(thing):
            made = changes.create(
                Part, object=thing, key=key, order=order, name=name.strip(),
                **{"surface": "silent", **fields},
            )  # fmt: skip
            if joined_to:
                _join(changes, thing, rows, made, joined_to, join, known_by)

    engine_for(thing, now())  # as above
    payload = {
        "object": thing, "name": name, "material": material, "known_by": known_by, "features": list(features),
        "thickness_mm": thickness_mm, "joined_to": joined_to, "join": join,
    }  # fmt: skip
    return made_by(perform(caller, Wanted("add_part", payload, thing.incident, thing), work), Part)


def _join(
    changes: Changes, thing: Object, rows: list[Part], made: Part, to: str, kind: str, known_by: str
) -> None:
    other = next((row for row in rows if row.key == to), None)
    if other is None:
        raise Refused(f"{thing.tag} has no part '{to}'")
    if kind not in m.JOIN_KINDS:
        raise Refused(f"'{kind}' is no way of joining; {', '.join(m.JOIN_KINDS)} are")
    held = list(Join.objects.filter(object=thing).order_by("order"))
    changes.create(
        Join, object=thing, key=_next([row.key for row in held], "j"), kind=kind, first=other, second=made,
        order=max((row.order for row in held), default=-1) + 1, known_by=known_by,
    )  # fmt: skip


def _next(keys: list[str], letter: str) -> str:
    """The key after the highest of this letter."""
    numbers = [int(key[1:]) for key in keys if key[:1] == letter and key[1:].isdigit()]
    return f"{letter}{max(numbers, default=0) + 1}"


def _way(known_by: str) -> None:
    if known_by not in LOOKED:
        raise Refused(f"a look is {', '.join(LOOKED)}; not '{known_by}'")


def _material(row: Part, value: Any, known_by: str) -> dict[str, Any]:
    """Fields of a part that is of this material; what it was taken for before is gone."""
    known = shipped()
    if isinstance(value, str) and value in known.materials:
        family = known.materials[value].family
    elif isinstance(value, str) and value.removesuffix("_unknown") in known.families:
        family = value.removesuffix("_unknown")
    else:
        raise Refused(f"{value!r} is no material")
    # Not knowing is said with the family's own key, so that the plan takes the strictest of it.
    key = value if value in known.materials or family == "unknown" else f"{family}_unknown"
    return {
        "material": key,
        "family": family,
        "known_by": known_by,
        "could_be": [],
        "lookalike": "",
        "species": "",
    }


def _features(row: Part, value: Any, known_by: str) -> dict[str, Any]:
    """Fields of a part with these features on it and no others."""
    known = shipped().features
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise Refused(f"features are a list of words; got {value!r}")
    for one in value:
        if one not in known or known[one].scope != "part":
            raise Refused(f"'{one}' is not seen on a part")
    on_it = {one for one in value if known[one].surface}
    if BARE in on_it and len(on_it) > 1:
        others = ", ".join(sorted(known[one].say for one in on_it - {BARE}))
        raise Refused(f"a bare surface has nothing on it; this one has {others}")
    return {"features": sorted(set(value)), **({"surface": "stated"} if on_it else {})}


def _surface(row: Part, value: Any, known_by: str) -> dict[str, Any]:
    """Fields of a part whose surface was looked at: what else it was taken for is gone when it is bare."""
    known = shipped().features
    if not isinstance(value, str) or value not in known or not known[value].surface:
        raise Refused(f"{value!r} is no surface")
    gone = {one for one in row.features if known[one].surface} if value == BARE else {BARE}
    return {"features": sorted({*row.features, value} - (gone - {value})), "surface": "stated"}


def _thickness(row: Part, value: Any, known_by: str) -> dict[str, Any]:
    if value is None:
        return {"thickness_mm": None, "thickness_by": "unknown"}
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused(f"a thickness is a number of mm; got {value!r}")
    if not 0 < value <= THICKEST_MM:
        raise Refused(f"a thickness is more than 0 and {THICKEST_MM:g} mm at most; got {value:g}")
    return {"thickness_mm": value, "thickness_by": known_by}
