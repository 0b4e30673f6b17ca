"""Rows of things in order: what is next, whose it is, how long it has, and one sentence why it is there."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db.models.fields.json import KT
from django.utils.translation import gettext as _

from strandline.papers import when
from strandline.records.models.acts import WorkClaim
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Incident
from strandline.services.looks.asked import Asked
from strandline.services.looks.things_words import spaced
from strandline.services.ranking import Held, Standing, loss_of
from strandline.things.work import Loss
from strandline.workplan.explain import AHEAD_H, LITTLE, LITTLE_WITHIN_H, WORDS
from strandline.workplan.loss import cost_of_waiting, lost_by

HAND: Mapping[str, str] = {"lead": "conservator", "conservator": "conservator", "helper": "helper"}
"""Whose steps somebody in a role does."""
NEVER = datetime.max.replace(tzinfo=UTC)


def is_senior(ask: Asked) -> bool:
    """Whether hours may be shown to whoever asks; helpers read half-days."""
    return ask.person.role in {"lead", "conservator"}


def whose(role: str) -> str:
    """Who does a step."""
    return {"helper": _("helper"), "conservator": _("conservator")}.get(role, spaced(role))


def mine(standing: Standing, ask: Asked) -> list[Held]:
    """Things whose next step is one for whoever asks, the one that loses most by waiting first."""
    hand = HAND.get(ask.person.role)
    return [one for one in standing.ordered if one.next_role == hand]


def rows(
    ask: Asked, incident: Incident, standing: Standing, wanted: Sequence[Held], first: int = 1
) -> list[dict[str, Any]]:
    """Data of some things in a fixed number of queries; ``first`` is the place of the first one here."""
    pks = [one.pk for one in wanted]
    known = Object.objects.filter(pk__in=pks).select_related("place", "tray")
    found = {row.pk: row for row in known.defer("words", "kept", "runs", "sought")}
    texts = step_texts(incident, wanted)
    hands = in_hand(pks, ask.at)
    return [
        {
            "place_in_order": first + n,
            **_said(ask, incident, standing, one, found[one.pk]),
            "step": texts.get(one.pk, ""),
            "in_hand": hands.get(one.pk, ""),
        }
        for n, one in enumerate(wanted)
        if one.pk in found
    ]


def _said(ask: Asked, incident: Incident, standing: Standing, one: Held, row: Object) -> dict[str, Any]:
    senior = is_senior(ask)
    told = {
        "tag": one.tag,
        "title": row.title or row.materials,
        "whose": whose(one.next_role) if one.next_step else "",
        "stopped": one.stops > 0,
        "asks_the_lead": one.refers > 0,
        "planned": one.plan_id is not None,
        "where": row.place.name if row.place else "",
        "tray": row.tray.name if row.tray else "",
        "by": "" if one.stops or not one.next_step else half_day(one, ask.at, incident.zone),
        "why": why(one, ask.at, senior=senior),
    }
    return {**told, "hours_left": hours_left(one, ask.at)} if senior else told


def hours_left(one: Held, at: datetime) -> float | None:
    """Hours left on the clock that presses most, to the hundredth."""
    left = one.hours_left(at)
    return None if left is None else round(left, 2)


def by_due(one: Held) -> tuple[datetime, str]:
    """For sorting: what is due first stands first, what nobody knows the hours of last."""
    return one.due or NEVER, one.tag


def half_day(one: Held, at: datetime, zone: str) -> str:
    """Now, or the half-day by which its next step is begun; '' where nobody knows since when it runs."""
    left = one.hours_left(at)
    return "" if left is None else when.by_half_day(at + timedelta(hours=left), at, zone)


TEXTS: dict[tuple[str, int, str], str] = {}
"""Words of next steps by incident, plan and step.  A plan never changes; when full, it is begun anew."""
MOST_TEXTS = 20_000


def step_texts(incident: Incident, things: Iterable[Held]) -> dict[int, str]:
    """By key, the words of each thing's next step.  One query, and none where all are known."""
    name = str(incident.uid)
    wanted = {one.pk: (name, one.plan_id, one.next_step) for one in things if one.plan_id and one.next_step}
    texts = {key: TEXTS[key] for key in wanted.values() if key in TEXTS}
    new = {key for key in wanted.values() if key not in texts}
    if new:
        read = _read_texts(name, {plan_id for _name, plan_id, _step in new})
        texts |= {key: read.get(key, spaced(key[2])) for key in new}
        if len(TEXTS) > MOST_TEXTS:
            TEXTS.clear()
        TEXTS.update({key: texts[key] for key in new})
    return {pk: texts[key] for pk, key in wanted.items()}


def _read_texts(name: str, plan_ids: Iterable[int]) -> dict[tuple[str, int, str], str]:
    plans = PlanSnapshot.objects.filter(pk__in=plan_ids).annotate(steps=KT("result__steps"))
    return {
        (name, pk, step["key"]): step["text"]
        for pk, steps in plans.values_list("pk", "steps")
        for step in json.loads(steps)
    }


def in_hand(pks: Sequence[int], at: datetime) -> dict[int, str]:
    """By key, the device at which somebody has a thing in hand."""
    claims = WorkClaim.objects.filter(object__in=pks, given_back_at__isnull=True, until__gt=at)
    return dict(claims.values_list("object", "device__name"))


def why(one: Held, at: datetime, *, senior: bool) -> str:
    """One sentence why a thing stands where it stands: hours for the lead, half-days for helpers."""
    if one.plan_id is None:
        return _("No plan yet.")
    if one.stops:
        return _("Nobody's work until somebody competent has released it.")
    if not one.next_step:
        return _("No step left in its plan.")
    said = {"why": pressing(one, at, senior=senior), "n": one.significance}
    return _("%(why)s; rated %(n)s of 5") % said


def pressing(one: Held, at: datetime, *, senior: bool) -> str:
    """What takes most of it by waiting, and how long that has."""
    losses = [loss_of(run, at) for run in one.runs]
    if lost_by(losses, LITTLE_WITHIN_H) < LITTLE:
        past = any(loss.left_h is not None and loss.left_h <= 0 for loss in losses)
        return _("No hour presses it now") if past else _("Waiting costs it little")
    loss = max(losses, key=lambda loss: cost_of_waiting(loss.points, 0.0, AHEAD_H))
    what = _(WORDS.get(loss.key, spaced(loss.key))).capitalize()
    return f"{what}: {_when(loss, senior=senior)}"


def _when(loss: Loss, *, senior: bool) -> str:
    left = loss.left_h
    if left is None:
        return _("may begin at any time, as nobody knows since when")
    if left <= 0:
        return _("going on") if loss.shape == "rate" else _("may begin at any time")
    if senior:
        return _("%(h)s h left") % {"h": f"{left:.1f}" if left < 10 else f"{left:.0f}"}
    for most_h, words in (
        (6, _("within this half-day")),
        (12, _("by the next half-day")),
        (36, _("within a day")),
    ):
        if left <= most_h:
            return words
    return _("in %(n)s days") % {"n": round(left / 24)}
