"""Every page of the demo's record, by name: what the tests in a browser open and the pictures show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

INCIDENT = "ORNL1"
LEAD, HELPER = "lead", "helper1"
BOTH = (LEAD, HELPER)


@dataclass(frozen=True, slots=True)
class Spot:
    """A page in one state.  ``look`` is the name of its data, '' for a page without; ``who`` may open it.

    ``told``: a helper's page says other things than the lead's, so there is a picture of both.
    """

    name: str
    look: str
    path: str
    who: tuple[str, ...] = BOTH
    status: int = 200
    told: bool = False

    def address(self, trays: Mapping[str, str]) -> str:
        """Where it is; a tray is known by an id that each record makes anew."""
        return self.path.format(**trays)


def _of(name: str, look: str, path: str, *who: str, told: bool = False, status: int = 200) -> Spot:
    return Spot(name, look, f"/{INCIDENT}/{path}", who or BOTH, status, told)


SPOTS: tuple[Spot, ...] = (
    Spot("sign-in", "", "/sign-in/", ("",)),
    Spot("home", "home", "/", told=True),
    Spot("start", "start", "/start/", (LEAD,)),
    Spot("people", "people", "/people/", (LEAD,)),
    Spot("keeping", "keeping", "/keeping/", (LEAD,)),
    Spot("me", "me", "/me/"),
    Spot("no-such-page", "", "/nowhere/", BOTH, 404),
    _of("not-for-you", "referrals", "referrals/", HELPER, status=403),
    _of("now", "now", "", told=True),
    _of("more", "more", "more/", told=True),
    _of("walk", "walk", "walk/"),
    _of("take-in", "take_in", "take-in/"),
    _of("taken", "taken", "things/0003/taken/"),
    _of("list", "list_found", "list/"),
    _of("list-in", "list_in", "list/in/"),
    _of("find", "find", "find/"),
    _of("find-some", "find", "find/?q=oak"),
    _of("find-none", "find", "find/?q=xylophone"),
    _of("order", "order", "order/", told=True),
    _of("order-mine", "order", "order/?mine=yes"),
    _of("referrals", "referrals", "referrals/", LEAD),
    _of("papers", "papers", "papers/"),
    _of("trays", "trays", "trays/"),
    _of("tray", "tray", "trays/{first}/"),
    _of("tray-short", "tray", "trays/{short}/"),
    _of("scribe", "scribe", "scribe/"),
    _of("fragments", "fragments", "fragments/"),
    _of("lots", "lots", "lots/"),
    _of("tags", "merge", "tags/?tag=0078", LEAD),
    _of("thing", "thing", "things/0042/", told=True),
    _of("thing-stopped", "thing", "things/0003/", told=True),
    _of("look-over", "look_over", "things/0042/look/"),
    _of("look-over-changed", "look_over", "things/0103/look/?since=1"),
    _of("why", "why", "things/0042/why/"),
    _of("history", "history", "things/0103/history/"),
    _of("working", "working", "things/0042/working/"),
    _of("overrule", "overrule", "things/0043/overrule/?about=rinse", LEAD),
    _of("overrule-stopped", "overrule", "things/0003/overrule/", LEAD),
    _of("overruled", "overrides", "overrides/"),
    _of("site", "site", "site/"),
    _of("hours", "hours", "hours/"),
    _of("log", "log", "log/", LEAD),
)


def trays_of(twin: Mapping[str, Any]) -> dict[str, str]:
    """Ids of two trays out of the JSON of the trays' page: the first, and one that is being searched for."""
    by_name = {one["name"]: one["uid"] for one in twin["trays"]}
    return {"first": twin["trays"][0]["uid"], "short": by_name[twin["searches"][0]["tray"]]}
