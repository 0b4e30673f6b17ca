"""Add a party: an owner, lender, insurer or authority has to do with an incident."""

from __future__ import annotations

from collections.abc import Iterable

from strandline.records.models.people import PARTY_ROLES, Party, PartyRole
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.open_incident import named

ROLES: tuple[str, ...] = tuple(key for key, _ in PARTY_ROLES)


def add_party(caller: Caller, incident: Incident, name: str, role: str, contact: str = "") -> Party:
    """Add a party in a role; one that is a party of this incident in another role is the same one.

    Name and contact stay out of the log.  Raises Refused for no name, an unknown role, and a party that is
    there in this role already.
    """

    def work(changes: Changes) -> None:
        Incident.objects.select_for_update().get(pk=incident.pk)
        if role not in ROLES:
            raise Refused(f"a party is {', '.join(ROLES)}; not '{role}'")
        party = party_named(incident, named(name, "a party"))
        if party is None:
            party = changes.create(Party, name=name.strip(), contact=contact.strip())
        elif PartyRole.objects.filter(party=party, incident=incident, object=None, role=role).exists():
            raise Refused(f"a party of this name is {role} in {incident.code} already")
        elif contact.strip():
            changes.update(party, contact=contact.strip())
        changes.create(PartyRole, party=party, incident=incident, role=role)

    act = perform(caller, Wanted("add_party", {"incident": incident, "role": role}, incident), work)
    return made_by(act, PartyRole).party


def party_named(incident: Incident, name: str) -> Party | None:
    """The party of an incident that has this name, however it is written in small and capital letters."""
    return parties_by_name(incident).get(folded_name(name))


def parties_by_name(incident: Incident, roles: Iterable[str] = ROLES) -> dict[str, Party]:
    """Parties of an incident in these roles by their folded names; databases would fold differently."""
    rows = PartyRole.objects.filter(incident=incident, role__in=tuple(roles), party__erased_at=None)
    rows = rows.select_related("party")
    return {folded_name(row.party.name): row.party for row in rows.order_by("-id") if row.party.name}


def folded_name(name: str) -> str:
    """A name for comparing: small letters, single spaces."""
    return " ".join(name.casefold().split())
