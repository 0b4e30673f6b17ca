"""Plan: a new numbered plan from what the record knows of an object."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from strandline import __version__
from strandline.records import translate
from strandline.records.models.objects import Object
from strandline.records.models.plans import KnowledgeVersion, Paper, PlanSnapshot, StepEnd
from strandline.records.snapshot import Snapshot, snapshot
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.engines import Chosen, engine_for
from strandline.services.standing import restand


def plan(caller: Caller, thing: Object) -> PlanSnapshot:
    """Make the next plan.  Steps not yet ended that it no longer has are withdrawn; papers of the plan
    before that tell another verdict, hazard, step or override are void.  Raises Refused for a helper where a
    stop that nobody released would be gone."""
    at = now()
    engine_for(thing, at)  # made before the transaction begins: others would wait for it

    def work(changes: Changes) -> None:
        # The object's row is held by now: facts and overrides cannot change under the plan.
        held = Object.objects.get(pk=thing.pk)
        using = engine_for(held, at)
        facts = translate.facts_at(held, at)
        made = snapshot(facts, using.engine.plan(facts, at))
        before = newest(held)
        if before is not None and caller.person.role == "helper":
            _keeps_stops(held, before, made)
        number = before.number + 1 if before else 1
        after = changes.create(
            PlanSnapshot, object=held, number=number, short_id=made.short_id(str(held.uid), number),
            knowledge=_knowledge(changes, using, at), facts=made.facts, result=made.result,
            sha256=made.sha256, made_at=at,
        )  # fmt: skip
        if before is not None:
            _withdraw(changes, caller, before, after)
            _void(changes, before, after)
        restand(changes, held, after)

    act = perform(caller, Wanted("plan", {"object": thing}, thing.incident, thing), work)
    return made_by(act, PlanSnapshot)


def _keeps_stops(thing: Object, before: PlanSnapshot, made: Snapshot) -> None:
    """Refuse a plan without a stop of the plan before that nobody released.

    Looks cannot bring one about; things that were parted and newer rules can, and are for others to take on.
    """
    was, now_is = (
        {one["key"] for one in result["hazards"] if one["grade"] == "stop"}
        for result in (before.result, made.result)
    )
    lost = sorted(was - now_is - set(made.facts["facts"].get("released", ())))
    if lost:
        raise Refused(
            f"the next plan of {thing.tag} would be without its stop ({', '.join(lost)}), and nobody released"
            " it; that plan is for the lead or a conservator to make"
        )


def newest(thing: Object) -> PlanSnapshot | None:
    """The newest plan of an object."""
    return PlanSnapshot.objects.filter(object=thing).order_by("-number").first()


def steps_of(found: PlanSnapshot) -> dict[str, dict[str, Any]]:
    """The steps of a plan by key, in order."""
    return {step["key"]: step for step in found.result["steps"]}


def _knowledge(changes: Changes, using: Chosen, at: datetime) -> KnowledgeVersion:
    known = using.knowledge
    which = {
        "sha256": known.sha256, "overrides_sha256": using.overrides_sha256, "engine_version": __version__,
    }  # fmt: skip
    found = KnowledgeVersion.objects.filter(**which).first()
    return found or changes.create(KnowledgeVersion, version=known.version, first_used_at=at, **which)


def _withdraw(changes: Changes, caller: Caller, before: PlanSnapshot, after: PlanSnapshot) -> None:
    ended = set(StepEnd.objects.filter(object=before.object).values_list("step", flat=True))
    for key in steps_of(before):
        if key not in ended and key not in steps_of(after):
            changes.create(
                StepEnd, object=before.object, plan=before, step=key, end="withdrawn",
                note=f"withdrawn by plan {after.number}", by=caller.person, at=after.made_at,
            )  # fmt: skip


def _void(changes: Changes, before: PlanSnapshot, after: PlanSnapshot) -> None:
    if _told(before) == _told(after):
        return
    for paper in Paper.objects.filter(plan__object=before.object, void_at__isnull=True):
        changes.update(paper, void_at=after.made_at)


def _told(found: PlanSnapshot) -> tuple[Any, ...]:
    """What a paper tells of a plan that somebody could act on."""
    result = found.result
    verdicts = {key: (one["verdict"], one["how"]) for key, one in result["actions"].items()}
    hazards = [(one["key"], one["grade"]) for one in result["hazards"]]
    steps = [step["text"] for step in result["steps"]]
    return verdicts, hazards, result["route"], result["zone"], steps, result["overrides"]
