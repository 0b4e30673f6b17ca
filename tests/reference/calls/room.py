"""Calls for ``room.csv``: a room from its numbers, runs of equal hours, windows against published flows."""

from __future__ import annotations

from strandline.physics import room
from tests.reference.calls.openings import place_in_band


def steady_rh(
    volume_m3: float,
    changes_per_h: float,
    temp_c: float,
    outside_temp_c: float,
    outside_rh: float,
    evaporation_kg_h: float,
    removal_kg_h: float,
) -> float:
    """Humidity a room settles at."""
    one = room.Room(volume_m3, changes_per_h)
    return room.steady_rh(one, temp_c, outside_temp_c, outside_rh, evaporation_kg_h, removal_kg_h)


def rh_after(rh: float, source_kg_h: float, buffer_kg_per_rh: float, hours: float) -> float:
    """81 m3, half a change an hour, 20 degC inside, 10 degC and 80 % outside."""
    return room.rh_after(room.Room(81.0, 0.5, buffer_kg_per_rh), rh, 20.0, 10.0, 0.8, source_kg_h, hours)


def pull_down_h(rh_from: float, rh_to: float, source_kg_h: float) -> float:
    """The same room."""
    return room.pull_down_h(room.Room(81.0, 0.5), 20.0, rh_from, rh_to, 10.0, 0.8, source_kg_h)


def pull_down_kg(volume_m3: float, temp_c: float, rh_from: float, rh_to: float) -> float:
    """Without buffer."""
    return room.pull_down_kg(room.Room(volume_m3, 0.5), temp_c, rh_from, rh_to)


def _dried() -> list[room.HourEnd]:
    """A day with a drier that takes 1 kg/h for each whole unit of RH above 0.4."""
    hours = [room.Hour(20.0, 10.0, 0.8, 0.3)] * 24
    return room.hourly(room.Room(81.0, 0.5), 0.9, hours, lambda temp_c, rh: max(0.0, rh - 0.4))


def dried_rh() -> float:
    """Humidity at its end."""
    return _dried()[-1].rh


def dried_kg() -> float:
    """Water taken out in it."""
    return sum(end.removed_kg for end in _dried())


def fogged_kg() -> float:
    """Water that condenses in a day with 0.8 kg/h and no drier."""
    ends = room.hourly(room.Room(81.0, 0.5), 0.9, [room.Hour(20.0, 10.0, 0.8, 0.8)] * 24)
    return sum(end.condensed_kg for end in ends)


def day_and_night_rh() -> float:
    """Twelve hours at 20 degC, twelve at 16 degC, a buffer of 2 kg."""
    hours = [room.Hour(20.0, 10.0, 0.8, 0.05)] * 12 + [room.Hour(16.0, 10.0, 0.8, 0.05)] * 12
    return room.hourly(room.Room(81.0, 0.5, 2.0), 0.7, hours)[-1].rh


def rh_in_room(room_temp_c: float, room_rh: float, outside_temp_c: float, outside_rh: float) -> float:
    """Humidity of outside air once it has the temperature of the room."""
    return room.outside_air_dries(room_temp_c, room_rh, outside_temp_c, outside_rh).rh_in_room


def window_place(
    changes_per_h: float, volume_m3: float, area_m2: float, height_m: float, outside_c: float
) -> float:
    """Where a published rate lies in the band of a window, room at 20 degC and 50 %, outside 70 %."""
    band = room.window_changes_per_h(volume_m3, area_m2, height_m, 20.0, 0.5, outside_c, 0.7)
    return place_in_band(changes_per_h, band.low, band.high)
