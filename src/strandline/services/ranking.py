"""Which thing loses most by waiting: the order of a record, kept in this process and brought up to date.

Per incident a short form of every object is held in memory.  Each reading asks the log what happened since,
reads the objects those acts changed and no others, and ranks anew what changed; all of it once a minute, as
hours go by.  The log is the same for every server of a record, so several may serve one.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from django.db import connection
from django.db.models import QuerySet
from django.db.models.fields.json import KT

from strandline.pipeline.ordering import LEAST_CLOCK_H, SHARES
from strandline.records.models.acts import Act
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Incident
from strandline.things.work import Loss, Shape, loss_of_clock
from strandline.workplan.explain import AHEAD_H
from strandline.workplan.loss import cost_of_waiting
from strandline.workplan.priority import DIGITS

RANK_EVERY_S = 60.0
LATE_S = 60.0
"""An act is numbered when its transaction writes it and seen when that ends: a lower number may come to be
seen after a higher one.  For so long after a number was seen, lower ones are still looked for."""
MANY = 400
"""From more acts than this on, reading everything anew costs less than reading what they changed."""
SHAPES: dict[str, Shape] = {"step": "step", "rate": "rate", "has_happened": "has_happened"}


class Run(NamedTuple):
    """One clock of a thing: its key, the moment it runs from (None: not known), its hours and its shape."""

    key: str
    origin: datetime | None
    at_h: float
    shape: Shape

    @property
    def due(self) -> datetime | None:
        """The moment it runs out."""
        return None if self.origin is None else self.origin + timedelta(hours=self.at_h)

    def left_h(self, at: datetime) -> float | None:
        """Hours left at a moment; below nothing when it has run out."""
        return None if self.origin is None else self.at_h - (at - self.origin).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class Held:
    """What is held of one object; ``due``: when its first clock runs out, None where none is known."""

    pk: int
    tag: str
    significance: int
    next_step: str
    next_role: str
    stops: int
    refers: int
    place_id: int | None
    owner_id: int | None
    plan_id: int | None
    runs: tuple[Run, ...]
    due: datetime | None

    def hours_left(self, at: datetime) -> float | None:
        """Hours left on the clock that presses most; None where no origin is known."""
        return None if self.due is None else (self.due - at).total_seconds() / 3600

    @property
    def workable(self) -> bool:
        """Whether hands can end its loss: it has a step left and nothing stops it."""
        return self.stops == 0 and self.next_step != ""


def loss_of(run: Run, at: datetime) -> Loss:
    """What one clock still takes of a thing, counted from ``at``."""
    at_h = max(LEAST_CLOCK_H, run.at_h)
    return loss_of_clock(run.key, at_h, run.left_h(at), run.shape, SHARES.get(run.key, 1.0))


def avoidable(thing: Held, at: datetime, known: dict[Run, float] | None = None) -> float:
    """The loss still to come that hands can end, in weight units; 0 where they cannot.

    ``known`` remembers the cost of clocks at this very moment: many things share theirs.
    """
    if not thing.workable:
        return 0.0
    cost = 0.0
    for run in thing.runs:
        one = None if known is None else known.get(run)
        if one is None:
            one = cost_of_waiting(loss_of(run, at).points, 0.0, AHEAD_H)
            if known is not None:
                known[run] = one
        cost += one
    # Beyond so many digits equals would be told apart by how sums are rounded.
    return float(f"{2.0 ** (thing.significance - 1) * cost:.{DIGITS}g}")


@dataclass(frozen=True, slots=True)
class Standing:
    """The order at ``at``.

    ``ordered``: things with a step left, the one that loses most by waiting first; then those under a stop,
    those with no step left, and those without a plan, by tag.  ``cost`` by key, in weight units.
    """

    at: datetime
    ordered: tuple[Held, ...]
    stopped: tuple[Held, ...]
    at_rest: tuple[Held, ...]
    unplanned: tuple[Held, ...]
    cost: dict[int, float]


@dataclass(slots=True)
class Kept:
    """What this process knows of one incident.  ``seen``: acts by number, and the second each was seen;
    everything up to ``settled`` is in ``things``."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    things: dict[int, Held] = field(default_factory=dict)
    standing: Standing | None = None
    seen: dict[int, float] = field(default_factory=dict)
    settled: int | None = None
    known: dict[Run, float] = field(default_factory=dict)
    zones: dict[int, str] = field(default_factory=dict)


class Ranking:
    """The orders of a record's incidents.  ``clock`` counts seconds and never goes back."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._kept: dict[tuple[str, str], Kept] = {}

    def of(self, incident: Incident, at: datetime) -> Standing:
        """How the things of an incident stand, up to date with its log; its hours at most a minute old."""
        kept = self._of(incident)
        with kept.lock:
            changed = self._catch_up(kept, incident)
            old = kept.standing
            if old is None or abs((at - old.at).total_seconds()) >= RANK_EVERY_S:
                kept.known = {}
                kept.standing = _ranked(kept, at, {}, kept.things)
            elif changed:
                kept.standing = _ranked(kept, old.at, old.cost, changed)
            else:
                return old
            return kept.standing

    def zones(self, incident: Incident, things: Iterable[Held]) -> dict[int, str]:
        """By key, the zone the plan of a thing puts it in, '' for none.

        Plans are long: the zone is read when it is first asked for.  A plan never changes.
        """
        known = self._of(incident).zones
        wanted = {one.pk: one.plan_id for one in things if one.plan_id is not None}
        new = [plan_id for plan_id in wanted.values() if plan_id not in known]
        for first in range(0, len(new), MANY):
            plans = PlanSnapshot.objects.filter(pk__in=new[first : first + MANY])
            rows = plans.annotate(zone=KT("result__zone")).values_list("pk", "zone")
            known |= {pk: zone or "" for pk, zone in rows}
        return {pk: known.get(plan_id, "") for pk, plan_id in wanted.items()}

    def _of(self, incident: Incident) -> Kept:
        # With the name of the database: one process may see several, as tests do.
        name = (str(connection.settings_dict["NAME"]), str(incident.uid))
        with self._lock:
            return self._kept.setdefault(name, Kept())

    def _catch_up(self, kept: Kept, incident: Incident) -> set[int]:
        """Read what acts not seen yet changed; gives the keys of those objects."""
        now_s = self._clock()
        acts = Act.objects.filter(incident=incident).order_by("-id").values_list("id", flat=True)
        if kept.settled is None:
            recent = list(acts[:MANY])
            kept.seen = dict.fromkeys(recent, now_s)
            kept.settled = min(recent, default=1) - 1
            kept.things = {one.pk: one for one in _read(Object.objects.filter(incident=incident))}
            return set(kept.things)
        late = [number for number, seen_s in kept.seen.items() if now_s - seen_s > LATE_S]
        kept.settled = max([kept.settled, *late])
        kept.seen = {number: seen_s for number, seen_s in kept.seen.items() if number > kept.settled}
        unseen = [number for number in acts.filter(id__gt=kept.settled) if number not in kept.seen]
        kept.seen |= dict.fromkeys(unseen, now_s)
        return _bring_in(kept, incident, unseen) if unseen else set()


def _bring_in(kept: Kept, incident: Incident, unseen: Sequence[int]) -> set[int]:
    """Read the objects that some acts changed; merged ones are taken out."""
    rows = Object.objects.filter(incident=incident)
    if len(unseen) <= MANY:
        rows = rows.filter(uid__in=_changed_by(unseen))
    keys = set(rows.values_list("pk", flat=True))
    fresh = {one.pk: one for one in _read(rows)}
    gone = set(kept.things) if len(unseen) > MANY else keys
    for pk in gone:
        kept.things.pop(pk, None)
    kept.things |= fresh
    return gone | keys


def _changed_by(unseen: Sequence[int]) -> set[str]:
    """Uids of the objects that acts made or changed."""
    table = Object._meta.db_table
    acts = Act.objects.filter(id__in=unseen).annotate(changed=KT(f"after__{table}"))
    found = [json.loads(text) for text in acts.values_list("changed", flat=True) if text]
    return {uid for one in found for uid in one}


def _read(rows: QuerySet[Object]) -> Iterable[Held]:
    """Short forms of objects as they stand; of those that were merged into another one, none."""
    fields = (
        "pk", "tag", "significance", "next_step", "next_role", "stops", "refers", "place_id", "owner_id",
        "plan_id", "runs",
    )  # fmt: skip
    known = rows.filter(merged_into__isnull=True)
    moments: dict[str, datetime] = {}
    shared: dict[Run, Run] = {}
    for row in known.values(*fields).iterator(chunk_size=2000):
        made = (_run(run, moments) for run in row.pop("runs"))
        # One run for all things that have it: less memory, and known costs are found at once.
        runs = tuple(shared.setdefault(run, run) for run in made)
        yield Held(**row, runs=runs, due=min((run.due for run in runs if run.due is not None), default=None))


def _run(run: Sequence[Any], moments: dict[str, datetime]) -> Run:
    key, origin, at_h, shape = run
    if origin is not None and origin not in moments:
        moments[origin] = datetime.fromisoformat(origin)
    return Run(key, None if origin is None else moments[origin], at_h, SHAPES[shape])


def _ranked(kept: Kept, at: datetime, cost: Mapping[int, float], changed: Iterable[int]) -> Standing:
    """The order at ``at``; costs at that moment are taken over but for what changed."""
    things = kept.things
    found = {pk: one for pk, one in cost.items() if pk in things}
    for pk in changed:
        if pk in things:
            found[pk] = avoidable(things[pk], at, kept.known)
    groups: dict[str, list[Held]] = {"ordered": [], "stopped": [], "at_rest": [], "unplanned": []}
    for thing in things.values():
        groups[_group(thing)].append(thing)
    groups["ordered"].sort(key=lambda one: (-found[one.pk], -one.significance, one.tag))
    for name in ("stopped", "at_rest", "unplanned"):
        groups[name].sort(key=lambda one: one.tag)
    return Standing(at, cost=found, **{name: tuple(held) for name, held in groups.items()})


def _group(thing: Held) -> str:
    if thing.plan_id is None:
        return "unplanned"
    if thing.stops:
        return "stopped"
    return "ordered" if thing.next_step else "at_rest"


ranking = Ranking()
"""The one of this process."""
