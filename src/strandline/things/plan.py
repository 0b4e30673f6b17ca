"""A plan: what may be done with one object, what must be done by when, and why.

Field names are those of ``strandline.care/1``.  Verdicts are ordered yes < careful < refer < no.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Because:
    """One reason: the rule, why, its sources [(key, place)], confidence, and what it rests on."""

    rule: str
    why: str
    source: tuple[tuple[str, str], ...]
    confidence: str
    facts: tuple[str, ...]
    parts: tuple[str, ...]
    verdict: str = ""
    override: str = ""


@dataclass(frozen=True, slots=True)
class Provisional:
    """A ``no`` that one look may open: the question, the answer that opens it, what it opens to."""

    ask: str
    answer: str
    then: str


@dataclass(frozen=True, slots=True)
class ActionVerdict:
    """The verdict on one action; ``also`` holds further manner of equal weight."""

    verdict: str
    how: str | None
    because: tuple[Because, ...]
    also: tuple[str, ...] = ()
    provisional: Provisional | None = None


@dataclass(frozen=True, slots=True)
class Hazard:
    """A named hazard; a stop keeps everybody ``keep_m`` metres away until released.

    ``released``: it was a stop and somebody who may has lifted it; what it says stays, as a guard.
    """

    key: str
    grade: str
    scope: str
    say: str
    because: tuple[Because, ...]
    keep_m: float | None = None
    call: str = ""
    licensed_only: str = ""
    released: bool = False


@dataclass(frozen=True, slots=True)
class Clock:
    """Something that happens ``at_h`` hours after ``origin``; ``left_h`` is counted at ``as_of``."""

    key: str
    origin: str
    at_h: float
    aim_h: float | None
    shape: str
    part: str
    because: tuple[Because, ...]
    lost_after: str = ""
    left_h: float | None = None
    state: str = "not known"


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two wants that cannot both be met; ``state`` is resolved or open."""

    id: str
    about: str
    parts: tuple[str, ...]
    wants: Mapping[str, Any]
    state: str
    winner: str | None
    result: Any
    how: str
    because: tuple[Because, ...]
    rule: str = ""


@dataclass(frozen=True, slots=True)
class View:
    say: str
    source: tuple[tuple[str, str], ...]
    confidence: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Sources that differ about this object."""

    id: str
    about: str
    parts: tuple[str, ...]
    views: tuple[View, ...]
    taken: str
    why: str
    then: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the plan, in order; ``mask`` names the parts masked during local air."""

    n: int
    key: str
    action: str | None
    kind: str
    parts: tuple[str, ...]
    text: str
    role: str
    people: int
    minutes: float
    station: str
    rules: tuple[str, ...]
    verdict: str | None = None
    verdict_of: str | None = None
    mask: tuple[str, ...] = ()
    after: str = ""


@dataclass(frozen=True, slots=True)
class Holding:
    """What anybody may do now, and how long that is good for."""

    do: tuple[str, ...]
    good_until_h: float | None = None
    good_until: datetime | None = None
    lost_after: str = ""
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Assumed:
    """A fact taken for granted; ``changes`` counts what differs between its extreme answers."""

    fact: str
    value: Any
    ask: str
    answers: tuple[str, ...]
    changes: int


@dataclass(frozen=True, slots=True)
class PartCare:
    """What a part by itself asks for: limits, its clock, and milder local verdicts."""

    limits: Mapping[str, Interval]
    start_by_h: float | None
    start_by_origin: str | None
    local: Mapping[str, ActionVerdict] = field(default_factory=dict)
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of one object, without anything that depends on the hour but the clocks."""

    parts: Mapping[str, PartCare]
    hazards: tuple[Hazard, ...]
    actions: Mapping[str, ActionVerdict]
    route: str
    route_because: tuple[Because, ...]
    zone: str | None
    cover: tuple[str, str] | None
    limits: Mapping[str, Interval]
    limits_because: Mapping[str, tuple[Because, ...]]
    clocks: tuple[Clock, ...]
    start_by: Clock | None
    holding: Holding
    steps: tuple[Step, ...]
    conflicts: tuple[Conflict, ...]
    disagreements: tuple[Disagreement, ...]
    assumed: tuple[Assumed, ...]
    hours_left: float | None = None
