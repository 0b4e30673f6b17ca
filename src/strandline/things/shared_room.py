"""A room whose air the things in it wet: what is asked of it and what comes of it.

Field names are those of the block ``shared_room`` of ``strandline.dry/1``. A band is (low, mid, high): what
5, 50 and 95 in 100 members of the ensemble stay below.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from strandline.things.drying import Band, Stretch


@dataclass(frozen=True, slots=True)
class Dehumidifier:
    """A machine as it is rated, by kind; ``humidistat_rh``: it rests in air drier than this, or never."""

    kind: str
    rated_l_day: float
    rated_temp_c: float
    rated_rh: float
    humidistat_rh: float | None = None


@dataclass(frozen=True, slots=True)
class SharedAir:
    """A room by its volume, how often its air is changed, the air that comes in, and its machine."""

    volume_m3: float
    air_changes_per_h: float
    outside: tuple[Stretch, ...]
    dehumidifier: Dehumidifier | None = None


@dataclass(frozen=True, slots=True)
class HoursAbove:
    """For how many hours the room is damper than this."""

    rh: float
    hours: Band


@dataclass(frozen=True, slots=True)
class RoomDay:
    """The water of a day, until an hour: given off by the bodies, carried out by the air (below 0: in),
    caught by the machine."""

    until_h: float
    given_kg: Band
    air_change_kg: Band
    machine_kg: Band


@dataclass(frozen=True, slots=True)
class RoomBalance:
    """Means over the members: given = rise of the room's vapour + air change + machine + dew + miss."""

    given_kg: float
    rise_kg: float
    air_change_kg: float
    machine_kg: float
    dew_kg: float
    miss_kg: float


@dataclass(frozen=True, slots=True)
class SharedRoomForecast:
    """What is to be expected of the room's air.

    ``target_hours``: from when on it stays at or below the target; None where fewer than half come so far.
    ``takes_at_target_kg_day``: what air change and machine take in a day from air at the target;
    ``empty_rh``: where the room would settle without the bodies. Both at the end of the time.
    ``limit``: incoming_air, given_off or bodies. ``bodies`` counts those whose water is in the balance,
    ``by_formula`` those of them whose water is put in by formula, as it leaves in the likely room,
    ``sizes_not_given`` those with a size that was assumed, ``not_counted`` the others.
    """

    air: SharedAir
    hours: tuple[float, ...]
    rh: tuple[Band, ...]
    highest_rh: Band
    highest_at_h: Band
    hours_above: tuple[HoursAbove, ...]
    target_rh: float
    target_hours: Band | None
    target_share: float
    takes_at_target_kg_day: Band
    empty_rh: Band
    limit: str
    days: tuple[RoomDay, ...]
    balance: RoomBalance
    bodies: int
    by_formula: int
    sizes_not_given: int
    not_counted: int
    numbers: Mapping[str, Band]
