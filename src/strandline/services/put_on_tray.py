"""Put on a tray and take off: what lies on one tray has the same next step under the same rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandline.records.models.acts import Act
from strandline.records.models.objects import Object, Tray
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops
from strandline.services.standing import open_steps
from strandline.services.together import held, together


@dataclass(frozen=True, slots=True)
class Next:
    """The next step of a thing and the rules it follows from."""

    tag: str
    step: str
    rules: frozenset[str]


def put_on_tray(caller: Caller, tray: Tray, things: Sequence[Object]) -> Act:
    """Put things on a tray, taken off any other one.

    What lies there already, or else the first one given, says which next step the tray has.  Raises
    Refused for a thing of another incident, merged, without a plan, with an open stop, with no step left, and
    for one whose next step or its rules differ.
    """
    payload = {"tray": tray, "things": list(things)}

    def work(changes: Changes) -> None:
        wanted = held(tray.incident, things)
        lying = Object.objects.filter(tray=tray, stops=0).exclude(next_step="").order_by("pk").first()
        first = next_of(lying or wanted[0])
        for thing in wanted:
            _same(first, next_of(thing), tray)
            changes.update(thing, tray=tray, revision=thing.revision + 1)

    return together(
        tray.incident, lambda: perform(caller, Wanted("put_on_tray", payload, tray.incident), work)
    )


def take_off_tray(caller: Caller, things: Sequence[Object]) -> Act:
    """Take things off whatever trays they lie on.  Raises Refused for one that lies on none."""
    incident = things[0].incident if things else None
    wanted = Wanted("take_off_tray", {"things": list(things)}, incident)

    def work(changes: Changes) -> None:
        if incident is None:
            raise Refused("name one thing at least")
        for thing in held(incident, things):
            if thing.tray_id is None:
                raise Refused(f"{thing.tag} lies on no tray")
            changes.update(thing, tray=None, revision=thing.revision + 1)

    if incident is None:
        return perform(caller, wanted, work)
    return together(incident, lambda: perform(caller, wanted, work))


def next_of(thing: Object) -> Next:
    """What comes next for a thing; Refused where nothing may be handed out."""
    plan = newest(thing)
    if plan is None:
        raise Refused(f"{thing.tag} has no plan yet")
    stops = open_stops(thing, plan)
    if stops:
        raise Refused(
            f"{thing.tag} is stopped ({', '.join(stops)}); it goes on no tray before it is released"
        )
    left = open_steps(plan)
    if not left:
        raise Refused(f"{thing.tag} has no step left to do")
    return Next(thing.tag, left[0]["key"], frozenset(left[0]["rules"]))


def _same(first: Next, other: Next, tray: Tray) -> None:
    if other.step != first.step:
        raise Refused(
            f"{other.tag} does not go on tray '{tray.name}': its next step is '{other.step}',"
            f" that of {first.tag} is '{first.step}'"
        )
    if other.rules != first.rules:
        odd = ", ".join(sorted(other.rules ^ first.rules))
        raise Refused(
            f"{other.tag} does not go on tray '{tray.name}': its next step '{other.step}' and the same step"
            f" '{first.step}' of {first.tag} follow from different rules ({odd})"
        )
