"""Set the crew of a day: how many hands there are, beside what was told of other days."""

from __future__ import annotations

from collections.abc import Mapping

from strandline.records.models.acts import Act
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.make_lot import whole

CREW: tuple[str, ...] = ("lead_conservator", "assistant_conservator", "helpers")
MOST_HANDS = 200
LAST_DAY = 400


def set_crew(caller: Caller, incident: Incident, day: int, hands: Mapping[str, int]) -> Act:
    """Note for one day, the first being 1, how many people of each kind there are; other days stay.

    What was told of this day before is replaced whole.  The row of the incident is held meanwhile: of two who
    set different days at once neither is lost.  Raises Refused for a day or a number out of bounds, for no
    hands at all and for a kind that is not in CREW.
    """

    def work(changes: Changes) -> None:
        _possible(day, hands)
        held = Incident.objects.select_for_update().get(pk=incident.pk)
        others = [one for one in held.arrangements.get("crew", []) if one.get("day") != day]
        days = sorted([*others, {"day": day, **hands}], key=lambda one: one.get("day", 0))
        changes.update(held, arrangements={**held.arrangements, "crew": days})

    payload = {"incident": incident, "day": day, "hands": dict(hands)}
    act = perform(caller, Wanted("set_crew", payload, incident), work)
    incident.refresh_from_db()
    return act


def _possible(day: int, hands: Mapping[str, int]) -> None:
    if not whole(day, 1) or day > LAST_DAY:
        raise Refused(f"a day is a whole number from 1 to {LAST_DAY}; got {day}")
    if not hands:
        raise Refused("say how many hands there are")
    for kind, count in hands.items():
        if kind not in CREW:
            raise Refused(f"'{kind}' is no kind of hands; {', '.join(CREW)} are")
        if not whole(count, 0) or count > MOST_HANDS:
            raise Refused(f"hands are counted, from 0 to {MOST_HANDS}; got {count}")
