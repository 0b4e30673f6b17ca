"""What waits for the lead's answer, put together so that one answer does for things that are alike."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models.fields.json import KT
from django.utils.translation import gettext as _

from strandline.knowledge.base import shipped
from strandline.papers import when
from strandline.papers.wording import action as action_word
from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.records.models.sites import Incident
from strandline.services.answer import ANSWERS
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import Asked, incident_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.work_rows import by_due, hours_left
from strandline.services.ranking import Held, ranking
from strandline.services.referrals import referrals
from strandline.services.standing import DONE

MOST = 300
"""So many things, those with the fewest hours left, are put together on one page."""
NO_RULE = "no rule"


@dataclass(frozen=True, slots=True)
class Waits:
    """One action of one thing that waits: the rules that refer it and why, and the part that governs here."""

    thing: Held
    title: str
    action: str
    rules: tuple[str, ...]
    material: str
    family: str
    because: tuple[tuple[str, str], ...]

    @property
    def alike(self) -> tuple[str, str, tuple[str, ...]]:
        """What things have in common that one answer does for."""
        return self.action, self.family, self.rules


def refer(ask: Asked, code: str) -> dict[str, Any]:
    """Groups of things that wait for the same answer, the one with the fewest hours left first."""
    incident = incident_of(code)
    waiting = things_waiting(incident, ask.at)
    groups: dict[tuple[Any, ...], list[Waits]] = {}
    for one in waits_of(waiting[:MOST]):
        groups.setdefault(one.alike, []).append(one)
    return {
        "incident": incident_head(incident),
        "role": ask.person.role,
        "things": len(waiting),
        "shown": min(len(waiting), MOST),
        "groups": [_group(n, held, ask.at) for n, held in enumerate(groups.values(), start=1)],
        "just": _just(ask, incident),
        "answers": [{"key": key, "word": words.verdict(key)} for key in ANSWERS],
    }


def _just(ask: Asked, incident: Incident) -> dict[str, Any] | None:
    """What came of the answers whoever asks gave since the moment in the address; None without one."""
    since = when.read(ask.query.get("since"))
    if since is None:
        return None
    acts = Act.objects.filter(incident=incident, kind="answer", person=ask.person, server_at__gte=since)
    refused = Refusal.objects.filter(
        object__incident=incident, kind="answer", person=ask.person, at__gte=since
    )
    return {
        "answered": [
            {
                "tag": tag,
                "action": action_word(payload["action"]),
                "verdict": words.verdict(payload["verdict"]),
            }
            for tag, payload in acts.order_by("id").values_list("object__tag", "payload")[:MOST]
        ],
        "refused": [
            {"tag": tag, "why": why}
            for tag, why in refused.order_by("id").values_list("object__tag", "reason")[:MOST]
        ],
    }


def things_waiting(incident: Incident, at: datetime) -> list[Held]:
    """Things that wait for the lead, by hours left, then tag; those nobody knows the hours of last."""
    standing = ranking.of(incident, at)
    found = [one for one in (*standing.ordered, *standing.at_rest) if one.refers > 0]
    return sorted(found, key=by_due)


def waits_of(things: Sequence[Held]) -> Iterable[Waits]:
    """Every action of every thing that waits, in the order of the things.  Three queries."""
    plans = _plans([one.plan_id for one in things if one.plan_id is not None])
    ended = _ended([one.pk for one in things])
    titles = dict(Object.objects.filter(pk__in=[one.pk for one in things]).values_list("pk", "title"))
    for one in things:
        result = plans.get(one.plan_id or 0)
        if result is None:
            continue
        left = {step["key"] for step in result["steps"]} - ended.get(one.pk, {}).get(one.plan_id or 0, set())
        left -= ended.get(one.pk, {}).get(0, set())
        for action in referrals(result, left):
            yield _waits(one, titles.get(one.pk, ""), action, result)


def _plans(pks: Sequence[int]) -> dict[int, dict[str, Any]]:
    """What of each plan tells of referrals."""
    names = ("actions", "steps", "parts", "route", "start_by_part")
    fields = {f"of_{name}": KT(f"result__{name}") for name in names}
    found = {}
    rows = PlanSnapshot.objects.filter(pk__in=pks).annotate(**fields)
    for pk, actions, steps, parts, route, pressing in rows.values_list("pk", *fields):
        texts = {"actions": actions, "steps": steps, "parts": parts}
        read = {name: json.loads(text) for name, text in texts.items()}
        found[pk] = {"route": route, "pressing": pressing, **read}
    return found


def _ended(pks: Sequence[int]) -> dict[int, dict[int, set[str]]]:
    """By thing, the steps that ended, under the plan they ended in; those done under 0, as they stay done."""
    found: dict[int, dict[int, set[str]]] = {}
    rows = StepEnd.objects.filter(object__in=pks).values_list("object", "plan", "step", "end")
    for thing, plan, step, end in rows:
        found.setdefault(thing, {}).setdefault(0 if end in DONE else plan, set()).add(step)
    return found


def _waits(thing: Held, title: str, action: str, result: Mapping[str, Any]) -> Waits:
    reasons = [one for one in result["actions"][action]["because"] if one.get("verdict") == "refer"]
    part = _governing(result, [set(one["parts"]) for one in reasons])
    return Waits(
        thing,
        title,
        action,
        tuple(sorted({one["rule"] for one in reasons})) or (NO_RULE,),
        part["material"],
        part["family"],
        tuple(dict.fromkeys((one["rule"], one["why"]) for one in reasons)),
    )


def _governing(result: Mapping[str, Any], meant: Sequence[set[str]]) -> Mapping[str, Any]:
    """The part the rules speak of; of several the one whose clock presses most, else the first."""
    named = set().union(*meant)
    parts = [part for part in result["parts"] if part["id"] in named] or list(result["parts"])
    pressing = [part for part in parts if part["id"] == result["pressing"]]
    nothing: Mapping[str, Any] = {"material": "", "family": ""}
    return next(iter(pressing or parts), nothing)


def _group(n: int, held: Sequence[Waits], at: datetime) -> dict[str, Any]:
    first = held[0]
    materials = {one.material for one in held}
    made_of = words.material(first.material) if len(materials) == 1 else _family(first.family)
    said = {"action": action_word(first.action), "n": len(held), "made_of": made_of}
    return {
        "n": n,
        "action": first.action,
        "called": _("%(action)s · %(n)s of %(made_of)s") % said,
        "why": [{"rule": rule, "why": why} for rule, why in first.because],
        "hours_left": hours_left(first.thing, at),
        "things": [
            {"tag": one.thing.tag, "title": one.title, "hours_left": hours_left(one.thing, at)}
            for one in held
        ],
    }


def _family(key: str) -> str:
    known = shipped().families
    return known[key].say if key in known else words.spaced(key)
