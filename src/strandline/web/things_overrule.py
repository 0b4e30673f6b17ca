"""What the forms about overruling do: overrule, release a stop, withdraw; the plans follow."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.translation import gettext as _

from strandline.knowledge.models import VERDICT_RANK
from strandline.records.models.objects import Object
from strandline.records.models.plans import Override
from strandline.services.acting import Refused, all_or_none
from strandline.services.looks.asked import LEAD, incident_of
from strandline.services.looks.things_behind import MOST_PLANS, behind, of_older_rules
from strandline.services.override import LEAST_REASON, Level, override
from strandline.services.plan import plan
from strandline.services.release_hazard import LEAST_WORDS, release_hazard
from strandline.services.withdraw_override import withdraw_override
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.things_asked import address, asked_thing

LEVELS: tuple[str, ...] = ("object", "lot", "incident", "practice")
MOST_RULES = 30


def do_override(sent: Sent) -> str:
    """Overrule all that was ticked or nothing, at the level chosen; this object's plan follows."""
    thing = asked_thing(sent)
    level = _level(sent, thing)
    reason = reason_in(sent)
    expires = _expires(sent, thing)
    wanted = list(_wanted(sent))

    def overrule() -> None:
        for target, value in wanted:
            override(sent.keyed(target), target, value, reason, level, expires)

    all_or_none(overrule)
    return _changed(sent, thing, {"about": sent.text("about", 100)})


def _changed(sent: Sent, thing: Object, query: Mapping[str, str]) -> str:
    """The plan follows, and the page tells what it changed."""
    made = plan(sent.keyed("plan"), thing)
    return address("overrule", thing, urlencode({**query, "since": str(max(made.number - 1, 1))}))


def reason_in(sent: Sent) -> str:
    """A reason that is long enough; BadForm says how long it was."""
    reason = sent.needed("reason", _("a reason"), 1000)
    if len(reason) < LEAST_REASON:
        said = {"least": LEAST_REASON, "got": len(reason)}
        raise BadForm({"reason": _("%(least)s characters at least; this has %(got)s") % said})
    return reason


def _level(sent: Sent, thing: Object) -> Level:
    word = sent.one_of("level", LEVELS)
    if word == "lot" and thing.lot is None:
        raise BadForm({"level": _("%(tag)s is in no lot") % {"tag": thing.tag}})
    return {"object": thing, "lot": thing.lot, "incident": thing.incident, "practice": None}[word]


def _expires(sent: Sent, thing: Object) -> datetime | None:
    text = sent.text("expires", 40)
    if not text:
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError as error:
        raise BadForm({"expires": _("a day and a time, as 2026-03-20T18:00")}) from error
    found = found if found.tzinfo else found.replace(tzinfo=ZoneInfo(thing.incident.zone))
    if found <= sent.at:
        raise BadForm({"expires": _("this is over already; leave it empty for no end")})
    return found.astimezone(UTC)


def _wanted(sent: Sent) -> Iterable[tuple[str, dict[str, Any]]]:
    """Each rule ticked, with the fields it gets."""
    targets = list(dict.fromkeys(str(one) for one in sent.form.getlist("target")))
    if not targets or len(targets) > MOST_RULES:
        raise BadForm({"target": _("tick at least one rule")})
    value = VALUES[sent.one_of("kind", tuple(VALUES))](sent)
    return [(target, value(target) if callable(value) else value) for target in targets]


def _verdict(sent: Sent) -> dict[str, Any]:
    verdict = sent.one_of("verdict", tuple(VERDICT_RANK))
    how = sent.text("how", 400)
    if verdict != "yes" and not how:
        raise BadForm({"how": _("say how, or what is done instead")})
    return {"verdict": verdict, "how": how}


def _limit(sent: Sent) -> Callable[[str], dict[str, Any]]:
    """An interval; of a material under the limit's own name."""
    low, high = sent.number("low", -50, 1000), sent.number("high", -50, 1000)
    if low is None or high is None or low > high:
        raise BadForm({"low": _("two numbers, the lower first")})
    limit = sent.needed("about", _("the limit"), 100).removeprefix("limit:")

    def value(target: str) -> dict[str, Any]:
        if not target.startswith("material."):
            return {"interval": [low, high]}
        return {limit: high if limit == "rh_step_percent_per_day" else [low, high]}

    return value


def _clock(sent: Sent) -> Callable[[str], dict[str, Any]]:
    """Hours after the origin; the earlier end of the range never lies after them."""
    hours = sent.number("hours", 0.1, 10_000)
    if hours is None:
        raise BadForm({"hours": _("a number of hours")})

    def value(target: str) -> dict[str, Any]:
        name = "start_by_h" if target.startswith("material.") else "at_h"
        aim = sent.number(f"aim-{target}", 0, 10_000)
        return {name: hours, **({"aim_h": hours} if aim is not None and aim > hours else {})}

    return value


VALUES: Mapping[str, Callable[[Sent], Any]] = {"action": _verdict, "limit": _limit, "clock": _clock}


def do_release(sent: Sent) -> str:
    """Record who from outside lifted a stop; the plan follows."""
    thing = asked_thing(sent)
    hazard = sent.needed("hazard", _("the stop"), 100)
    role = sent.needed("role", _("who released it, in which capacity"), 100)
    said = sent.needed("said", _("what they said"), 1000)
    if len(said) < LEAST_WORDS:
        wanted = {"least": LEAST_WORDS, "got": len(said)}
        raise BadForm({"said": _("%(least)s characters at least; this has %(got)s") % wanted})
    release_hazard(sent.caller, thing, hazard, role, said)
    return _changed(sent, thing, {})


def _override_in(sent: Sent) -> Override:
    found = (
        Override.objects.select_related("object", "lot")
        .filter(uid=sent.one("override", _("a choice")))
        .first()
    )
    incident = incident_of(str(sent.args["code"]))
    of = {None if found is None else getattr(found, name) for name in ("object", "lot")} - {None}
    if found is None or any(one.incident_id != incident.pk for one in of if one is not None):
        raise BadForm({"override": _("this override is not in the list of this incident")})
    if found.incident_id not in {None, incident.pk}:
        raise BadForm({"override": _("this override is not in the list of this incident")})
    return found


def do_withdraw(sent: Sent) -> str:
    """Withdraw an override; the plans it bore on follow, as many as can be made at once."""
    found = _override_in(sent)
    after = withdraw_override(sent.caller, found, reason_in(sent))
    _plans(sent, after)
    return _overrides(sent)


def do_follow(sent: Sent) -> str:
    """Make the plans that are older than a change that bears on them, as many as can be made at once."""
    found = _override_in(sent)
    if not _plans(sent, found):
        raise Refused(_("No plan is older than this."))
    return _overrides(sent)


def do_accept(sent: Sent) -> str:
    """Make plans of older rules anew by those shipped now, as many as can be made at once."""
    things = list(of_older_rules(incident_of(str(sent.args["code"])))[:MOST_PLANS])
    if not things:
        raise Refused(_("Every plan was made by the rules there are."))
    for thing in things:
        plan(sent.keyed(f"plan {thing.uid}"), thing)
    return _overrides(sent)


def _plans(sent: Sent, row: Override) -> int:
    incident = incident_of(str(sent.args["code"]))
    things = list(behind(row, incident)[:MOST_PLANS])
    for thing in things:
        plan(sent.keyed(f"plan {thing.uid}"), thing)
    return len(things)


def _overrides(sent: Sent) -> str:
    return reverse("overrides", kwargs={"code": str(sent.args["code"])})


DEEDS: tuple[Deed, ...] = (
    Deed("overrule", "override", do_override, LEAD, said="Overruled, and a new plan was made."),
    Deed("overrule", "release", do_release, LEAD, said="The release is recorded, and a new plan was made."),
    Deed("overrides", "withdraw", do_withdraw, LEAD, said="Withdrawn; what is shipped holds again."),
    Deed("overrides", "follow", do_follow, LEAD, said="New plans were made."),
    Deed("overrides", "accept", do_accept, LEAD, said="New plans were made."),
)
