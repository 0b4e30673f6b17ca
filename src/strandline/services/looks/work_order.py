"""The order: every thing of an incident, the one that loses most by waiting first, fifty a page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from strandline.records.models.people import Party
from strandline.records.models.sites import Incident, Place
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import Asked, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.work_pages import PER_PAGE, pages_of
from strandline.services.looks.work_rows import HAND, is_senior, rows, whose
from strandline.services.ranking import Held, Standing, ranking

GROUPS: tuple[str, ...] = ("ordered", "stopped", "at_rest", "unplanned")
ROLES: tuple[str, ...] = ("helper", "conservator")
ZONES: tuple[str, ...] = (
    "slow_dry", "mid_dry", "fast_dry", "still", "wet_hold", "cold_hold", "hazard_hold", "mould_apart",
    "awaiting_release",
)  # fmt: skip
"""Where plans put things."""


def order(ask: Asked, code: str) -> dict[str, Any]:
    """The order as the filters behind the question mark leave it."""
    incident = incident_of(code)
    standing = ranking.of(incident, ask.at)
    chosen = _chosen(ask)
    group: tuple[Held, ...] = getattr(standing, chosen["group"] or "ordered")
    tests = _tests(chosen, ask.person.role)
    wanted = [one for one in group if all(test(one) for test in tests)]
    if chosen["zone"]:
        zones = ranking.zones(incident, wanted)
        wanted = [one for one in wanted if zones.get(one.pk) == chosen["zone"]]
    page = pages_of(ask, len(wanted))
    shown = wanted[page["from"] : page["from"] + PER_PAGE]
    return {
        "incident": incident_head(incident),
        "role": ask.person.role,
        "chosen": chosen,
        "choices": _choices(incident, standing, ask),
        "groups": [
            {"key": key, "word": _group_word(key), "things": len(getattr(standing, key))} for key in GROUPS
        ],
        "pages": page,
        "rows": rows(ask, incident, standing, shown, page["from"] + 1),
        "ranked_at": iso(standing.at) if is_senior(ask) else None,
    }


def _chosen(ask: Asked) -> dict[str, str]:
    """The filters that mean something; what nobody knows is left out."""
    query = ask.query
    group, role, zone = (query.get(name, "") for name in ("group", "role", "zone"))
    found = {
        "group": group if group in GROUPS else "",
        "role": role if role in ROLES else "",
        "zone": zone if zone in ZONES else "",
        "place": query.get("place", "")[:9],
        "owner": query.get("owner", "")[:9],
        "mine": "yes" if query.get("mine") == "yes" and ask.person.role in HAND else "",
    }
    numbers = {
        key: found[key] if found[key].isascii() and found[key].isdigit() else "" for key in ("place", "owner")
    }
    return {**found, **numbers}


def _tests(chosen: Mapping[str, str], role: str) -> list[Callable[[Held], bool]]:
    tests: list[Callable[[Held], bool]] = []
    if chosen["role"]:
        tests.append(lambda one: one.next_role == chosen["role"])
    if chosen["mine"]:
        tests.append(lambda one: one.next_role == HAND[role])
    if chosen["place"]:
        place = int(chosen["place"])
        tests.append(lambda one: one.place_id == place)
    if chosen["owner"]:
        owner = int(chosen["owner"])
        tests.append(lambda one: one.owner_id == owner)
    return tests


def _choices(incident: Incident, standing: Standing, ask: Asked) -> dict[str, list[dict[str, Any]]]:
    """What can be chosen: only what some thing has."""
    things = [*standing.ordered, *standing.stopped, *standing.at_rest, *standing.unplanned]
    owners = {one.owner_id for one in things if one.owner_id is not None}
    places = Place.objects.filter(incident=incident, pk__in=_few(one.place_id for one in things)).order_by(
        "name"
    )
    parties = Party.objects.filter(pk__in=_few(owners)).order_by("name")
    return {
        "role": [{"key": key, "word": whose(key)} for key in ROLES],
        "zone": [{"key": key, "word": words.zone(key)} for key in ZONES],
        "place": [{"key": str(pk), "word": name} for pk, name in places.values_list("pk", "name")],
        "owner": [{"key": str(pk), "word": name} for pk, name in parties.values_list("pk", "name") if name],
    }


def _few(keys: Iterable[int | None]) -> list[int]:
    """Each key once; no more than a query takes."""
    return sorted({key for key in keys if key is not None})[:500]


def _group_word(key: str) -> str:
    return {
        "ordered": _("to be done"),
        "stopped": _("stopped"),
        "at_rest": _("no step left"),
        "unplanned": _("no plan yet"),
    }[key]
