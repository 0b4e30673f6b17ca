"""End a step for a whole tray: done, except for those that are named, because."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from uuid import UUID, uuid5

from strandline.records.models.acts import Act
from strandline.records.models.objects import Object, Tray
from strandline.records.models.people import Person
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.end_step import end_step
from strandline.services.plan import newest


@dataclass(frozen=True, slots=True)
class Ended:
    """What was ended, and what was not: tag and the sentence that says why."""

    ended: list[StepEnd] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Ending:
    """One step of one thing to be ended, by whom, under which key."""

    person: Person
    key: UUID
    tag: str
    thing: Object
    step: str
    end: str
    because: str = ""
    note: str = ""


def end_tray_step(
    caller: Caller,
    tray: Tray,
    step: str,
    end: str,
    excepted: Mapping[str, tuple[str, str]],
    because: str = "",
    note: str = "",
) -> Ended:
    """End a step for everything on the tray; ``excepted`` by tag was not done, because, with a note.

    One act says what was wanted for which tags, and each thing has an act of its own; one that cannot be
    ended keeps no other from it.  Sent again it is about the same tags, whatever lies on the tray by then.
    Raises Refused for an empty tray, and for an exception that is not on it: that may be a tag misheard, and
    the thing that was meant would stand as done.
    """
    things = _tray_of(caller, tray)
    except_for = {tag: list(why) for tag, why in sorted(excepted.items())}
    payload = {
        "tray": tray, "step": step, "end": end, "excepted": except_for, "because": because, "note": note,
        "things": things,
    }  # fmt: skip

    def work(changes: Changes) -> None:
        if not things:
            raise Refused(f"nothing lies on tray '{tray.name}'")
        strange = sorted(set(excepted) - {thing.tag for thing in things})
        if strange:
            raise Refused(f"{', '.join(strange)} is not on tray '{tray.name}'; nothing was ended")

    perform(caller, Wanted("end_tray_step", payload, tray.incident), work)
    ways = {tag: ("not_done", why[0], why[1]) for tag, why in excepted.items()}
    return end_each(
        caller,
        [
            Ending(
                caller.person, uuid5(caller.key, thing.tag), thing.tag, thing, step,
                *ways.get(thing.tag, (end, because, note)),
            )
            for thing in things
        ],
    )  # fmt: skip


def _tray_of(caller: Caller, tray: Tray) -> list[Object]:
    """What lies on the tray, or lay on it when this was sent first."""
    sent = Act.objects.filter(key=caller.key, kind="end_tray_step").first()
    if sent is not None:
        return list(Object.objects.filter(uid__in=sent.payload["things"]).order_by("tag"))
    return list(Object.objects.filter(tray=tray).order_by("tag"))


def end_each(caller: Caller, endings: Iterable[Ending], scribe: Person | None = None) -> Ended:
    """End each on its own, in the order given, on the caller's device."""
    result = Ended()
    for one in endings:
        doer = Caller(one.person, one.key, caller.device_at, caller.device, caller.device_seq)
        try:
            result.ended.append(_end(doer, one, scribe))
        except Refused as error:
            result.refused.append((one.tag, str(error)))
    return result


def _end(doer: Caller, one: Ending, scribe: Person | None) -> StepEnd:
    plan = _plan_of(doer, one.thing)
    return end_step(doer, plan, one.step, one.end, one.because, one.note, scribe=scribe)


def _plan_of(doer: Caller, thing: Object) -> PlanSnapshot:
    """The newest plan; sent again, the plan that it was about then."""
    sent = Act.objects.filter(key=doer.key, kind="end_step").first()
    plan = PlanSnapshot.objects.get(uid=sent.payload["plan"]) if sent else newest(thing)
    if plan is None:
        raise Refused(f"{thing.tag} has no plan yet")
    return plan
