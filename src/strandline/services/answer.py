"""Answer: the lead settles an action that a plan refers, for one object or for several alike at once.

An answer overrules, for this object only, every rule that refers the action; who answered, when and why then
stands beside each of them.  The caller makes the next plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import uuid5

from strandline.knowledge import models as m
from strandline.knowledge.files import KnowledgeError
from strandline.knowledge.overrides import ABSENT
from strandline.records import translate
from strandline.records.models.objects import Object
from strandline.records.models.plans import Override
from strandline.services.acting import Caller, NotAllowed, Refused, Wanted, perform
from strandline.services.changes import Changes, made
from strandline.services.clock import now
from strandline.services.engines import Chosen, chosen, in_force, texts_of
from strandline.services.override import LEAST_REASON
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops
from strandline.things.plan import ActionVerdict, Plan

ANSWERS: tuple[str, ...] = ("yes", "careful", "no")


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of an answer for several objects: overrides by tag, and by tag why not."""

    answered: tuple[tuple[str, list[Override]], ...]
    refused: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the lead says of an action; ``how`` is the manner, empty only with yes."""

    action: str
    verdict: str
    how: str
    reason: str


def answer(caller: Caller, thing: Object, action: str, verdict: str, how: str, reason: str) -> list[Override]:
    """Settle a referred action of one object.

    Raises Refused where the newest plan does not refer it, where a stop is open, where words are missing, and
    where another rule would still give another verdict: the sentence names it.
    """
    said = Answer(action, verdict, how.strip(), reason.strip())

    def work(changes: Changes) -> None:
        # The object's row is held by now: facts and overrides cannot change under the answer.
        held = Object.objects.get(pk=thing.pk)
        for row in _overrides(caller, held, said, now()):
            changes.create(Override, **row)

    if _words(said) is None:
        # What is refused here is refused inside too, where it is kept.
        with suppress(Refused):
            _warm(caller, thing, said)
    payload = {
        "object": thing, "action": action, "verdict": verdict, "how": said.how, "reason": said.reason,
    }  # fmt: skip
    act = perform(caller, Wanted("answer", payload, thing.incident, thing), work)
    uids = made(act.after, act.before, Override)
    rows = {str(row.uid): row for row in Override.objects.filter(uid__in=uids)}
    return [rows[uid] for uid in uids]


def answer_many(
    caller: Caller, things: Sequence[Object], action: str, verdict: str, how: str, reason: str
) -> Answered:
    """Give one answer for several objects, each an act of its own; one that is refused keeps no other back.

    Sending again does it once: each object's key follows from the caller's.  Raises NotAllowed at the first
    object where the caller may not answer at all.
    """
    answered: list[tuple[str, list[Override]]] = []
    refused: list[tuple[str, str]] = []
    for thing in things:
        own = replace(caller, key=uuid5(caller.key, str(thing.uid)))
        try:
            answered.append((thing.tag, answer(own, thing, action, verdict, how, reason)))
        except NotAllowed:
            raise
        except Refused as error:
            refused.append((thing.tag, str(error)))
    return Answered(tuple(answered), tuple(refused))


def _words(said: Answer) -> str | None:
    """What is wrong with the words of an answer, if anything."""
    if said.action not in m.ACTIONS:
        return f"'{said.action}' is no action"
    if said.verdict not in ANSWERS:
        return f"an answer is {', '.join(ANSWERS)}; not '{said.verdict}'"
    if said.verdict != "yes" and not said.how:
        return f"{said.verdict}: say how, or what is done instead"
    if len(said.reason) < LEAST_REASON:
        return f"an answer needs a reason of {LEAST_REASON} characters at least"
    return None


def _warm(caller: Caller, thing: Object, said: Answer) -> None:
    """Make the engine before the transaction begins: others would wait for it.  Whether the answer can be
    given is settled inside."""
    held = Object.objects.filter(pk=thing.pk).first()
    if held is not None:
        at = now()
        rows = in_force(held, at)
        facts = translate.facts_at(held, at)
        found = chosen(texts_of(rows)).engine.plan(facts, at).actions.get(said.action)
        if found is None or found.verdict == "refer":
            _engine(rows, [Override(**one) for one in _rows(caller, held, said, found, at)])


def _overrides(caller: Caller, thing: Object, said: Answer, at: datetime) -> list[dict[str, Any]]:
    """The rows that give the answer; raises Refused where they would not."""
    wrong = _words(said)
    if wrong is not None:
        raise Refused(wrong)
    last = newest(thing)
    if last is None:
        raise Refused(f"{thing.tag} has no plan yet; there is nothing to answer")
    stops = open_stops(thing, last)
    if stops:
        raise Refused(
            f"{thing.tag} is under a stop ({', '.join(stops)}); nothing of it is answered before release"
        )
    kept = last.result["actions"].get(said.action)
    if kept is not None and kept["verdict"] != "refer":
        raise Refused(
            f"{said.action} of {thing.tag} is not referred; plan {last.number} says {kept['verdict']}"
        )
    before = in_force(thing, at)
    facts = translate.facts_at(thing, at)
    found = chosen(texts_of(before)).engine.plan(facts, at).actions.get(said.action)
    if found is not None and found.verdict != "refer":
        raise Refused(
            f"since plan {last.number} of {thing.tag} something else became known: {said.action} is "
            f"{found.verdict} now; make a new plan"
        )
    rows = _rows(caller, thing, said, found, at)
    using = _engine(before, [Override(**one) for one in rows])
    _would_hold(thing, said, using.engine.plan(facts, at))
    return rows


def _rows(
    caller: Caller, thing: Object, said: Answer, found: ActionVerdict | None, at: datetime
) -> list[dict[str, Any]]:
    """One override per rule that refers the action; where no rule speaks, one that stands for its absence."""
    targets = [f"{ABSENT}{said.action}"]
    if found is not None:
        targets = sorted(one.rule for one in found.because if one.verdict == "refer")
    value = {"verdict": said.verdict, "how": said.how}
    return [
        {
            "level": "object", "object": thing, "target": target, "value": value, "reason": said.reason,
            "person": caller.person, "at": at,
        }
        for target in targets
    ]  # fmt: skip


def _engine(before: Sequence[Override], more: Sequence[Override]) -> Chosen:
    """The engine with more overrides; Refused for what cannot be overruled."""
    try:
        return chosen(texts_of([*before, *more]))
    except KnowledgeError as error:
        raise Refused("; ".join(error.problems)) from error


def _would_hold(thing: Object, said: Answer, after: Plan) -> None:
    """Refuse an answer that the plan would not give, naming what stands against it."""
    found = after.actions.get(said.action)
    if found is not None and found.verdict == said.verdict:
        return
    now_says = found.verdict if found is not None else "refer"
    stops = [f"the stop of {hazard.key}" for hazard in after.hazards if hazard.grade == "stop"]
    rules = [one.rule for one in found.because if one.verdict == now_says] if found is not None else []
    raise Refused(
        f"{said.action} of {thing.tag} would still be {now_says}: {', '.join(stops or rules)} stands"
    )
