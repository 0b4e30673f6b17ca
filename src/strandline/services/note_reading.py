"""Note a reading: what a scale, a humidity card, a thermometer or a moisture meter shows, or a look."""

from __future__ import annotations

import math
from collections.abc import Mapping

from strandline.records.models.facts import READING_KINDS, Reading
from strandline.records.models.objects import Object
from strandline.records.models.sites import Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.open_incident import AIR_C, tellable, within

KINDS: tuple[str, ...] = tuple(key for key, _ in READING_KINDS)
BOUNDS: Mapping[str, tuple[float, float, str]] = {
    "mass_g": (0.0, 100_000_000.0, "a mass in g"),
    "rh": (0.0, 1.0, "a relative humidity, as a fraction,"),
    "air_c": (*AIR_C, "air in degrees C"),
    "moisture": (0.0, 20.0, "moisture in kg of water to 1 kg of dry matter"),
}
"""Lowest and highest value by kind, and what it is: masses as in a list, air as of a site."""


def note_reading(
    caller: Caller,
    kind: str,
    value: float | None,
    thing: Object | None = None,
    place: Place | None = None,
    tare_g: float | None = None,
    says: str = "",
) -> Reading:
    """Note a reading of a thing, of a place, or of a thing in a place.

    ``value`` is in g for mass_g (with everything on the scale, ``tare_g`` of it cover and board), a fraction
    for rh, degrees C for air_c, kg/kg for moisture, and None for a look, which has words.  Raises Refused for
    a reading of nothing, no number, one out of bounds, and a tare above the mass.
    """
    payload = {"kind": kind, "value": tellable(value), "object": thing, "place": place,
               "tare_g": tellable(tare_g), "says": says}  # fmt: skip

    def work(changes: Changes) -> None:
        if thing is None and place is None:
            raise Refused("a reading is of a thing or of a place")
        if thing is not None and place is not None and thing.incident_id != place.incident_id:
            raise Refused(f"{place.name} is a place of another incident")
        number = _value(kind, value, says)
        changes.create(
            Reading, object=thing, place=place, kind=kind, value=number,
            tare_g=_tare(kind, number, tare_g), says=says.strip(), by=caller.person, at=now(),
        )  # fmt: skip

    where = thing or place
    incident = where.incident if where is not None else None
    return made_by(perform(caller, Wanted("note_reading", payload, incident, thing), work), Reading)


def _value(kind: str, value: float | None, says: str) -> float | None:
    if kind not in KINDS:
        raise Refused(f"a reading is {', '.join(KINDS)}; not '{kind}'")
    if kind == "look":
        if value is not None or not says.strip():
            raise Refused("a look has no number; say what was seen")
        return None
    number = within(value, *BOUNDS[kind])
    if number is None:
        raise Refused(f"{BOUNDS[kind][2].rstrip(',')} needs its number")
    return number


def _tare(kind: str, mass_g: float | None, tare_g: float | None) -> float | None:
    if tare_g is None:
        return None
    if kind != "mass_g" or mass_g is None:
        raise Refused("only a mass has a tare")
    if not math.isfinite(tare_g) or not 0 <= tare_g <= mass_g:
        raise Refused(f"a tare is nought or more and not above the mass; got {tare_g:g} g of {mass_g:g} g")
    return tare_g
