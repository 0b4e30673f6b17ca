"""Give authority: what an owner has allowed; first aid only until something else is recorded."""

from __future__ import annotations

from strandline.records.models.objects import Object
from strandline.records.models.people import AUTHORITY, SCOPES, Authority, Party, PartyRole
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now

GIVEN: tuple[str, ...] = tuple(key for key, _ in AUTHORITY)
SCOPE: tuple[str, ...] = tuple(key for key, _ in SCOPES)


def give_authority(
    caller: Caller, incident: Incident, party: Party, given: str, scope: str, said: str
) -> Authority:
    """Record what a party allows, how it was given and in which words; the newest record holds.

    Raises Refused for unknown words, a party of another incident, more than first aid without any authority,
    and authority without what was said.
    """

    def work(changes: Changes) -> None:
        if given not in GIVEN:
            raise Refused(f"authority is {', '.join(GIVEN)}; not '{given}'")
        if scope not in SCOPE:
            raise Refused(f"authority reaches to {', '.join(SCOPE)}; not '{scope}'")
        if not PartyRole.objects.filter(party=party, incident=incident).exists():
            raise Refused("this is no party of the incident")
        if given == "none" and scope != "first_aid_only":
            raise Refused("without authority it is first aid only")
        if given != "none" and not said.strip():
            raise Refused("authority was given: record what was said or written")
        changes.create(
            Authority, party=party, incident=incident, given=given, scope=scope, said=said.strip(), at=now(),
            recorded_by=caller.person,
        )  # fmt: skip

    payload = {"incident": incident, "party": party, "given": given, "scope": scope, "said": said}
    return made_by(perform(caller, Wanted("give_authority", payload, incident), work), Authority)


def newest_authority(incident: Incident) -> dict[int, Authority]:
    """By party, what holds now: the newest record, or first aid only (not saved) where there is none.

    All parties of the incident and all owners of things in it are there.
    """
    parties = set(PartyRole.objects.filter(incident=incident).values_list("party", flat=True))
    owners = Object.objects.filter(incident=incident, owner__isnull=False).values_list("owner", flat=True)
    rows = Authority.objects.filter(incident=incident).select_related("party").order_by("at", "id")
    found = {row.party_id: row for row in rows}
    for party in Party.objects.filter(pk__in=(parties | set(owners)) - found.keys()).order_by("id"):
        found[party.pk] = Authority(party=party, incident=incident, given="none", scope="first_aid_only")
    return found
