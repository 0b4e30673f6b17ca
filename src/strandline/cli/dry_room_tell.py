"""A room whose air the things in it wet, in words for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from strandline.cli.dry_numbers import days, percent, plain, share, span, times
from strandline.cli.dry_tell import wrapped
from strandline.things.drying import Band
from strandline.things.shared_room import RoomDay, SharedAir, SharedRoomForecast

SHOWN_HOURS = (0.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0, 168.0, 336.0, 720.0, 1440.0, 2880.0)
SHOWN_DAYS = (1, 2, 3, 5, 7, 14, 30, 60, 120)
MOST_MISS, LEAST_MISS_KG, LEAST_DEW_KG = 0.02, 0.02, 0.01
"""From which share and weight on what is missed is said to be much, and from which on dew is spoken of."""

MUCH = "Much is missed: this room turns too fast to be followed well, and all of this is rough."
DEW = (
    "The air comes to saturation: dew falls on walls, panes and metal, and what it wets there is not "
    "reckoned. Keep such air out, or warm the room."
)
COLD_C = 15.0
KINDS = {
    "refrigerant": "a refrigerant machine",
    "refrigerant_low_temperature": "a refrigerant machine that thaws by hot gas",
    "desiccant": "a desiccant wheel",
}


def room_lines(room: SharedRoomForecast, start_rh: float, temp_c: float) -> Iterator[str]:
    """The room: what it is, how damp it becomes and until when, its water, what limits."""
    yield f"The room they share: {room.air.volume_m3:g} m3 at {temp_c:g} C, {percent(start_rh)} at the start"
    yield from (wrapped(text, "  ") for text in _circumstances(room.air))
    yield wrapped(_highest(room), "  ")
    yield wrapped(_down(room), "  ")
    yield wrapped(f"What limits: {limits(room, temp_c)}", "  ")
    yield "  Its humidity, % (low, likely, high):"
    yield from _course(room)
    yield "  Its water, kg in a day (low, likely, high):"
    heads = f"{'given off':<17}{'out with the air':<20}{'by the machine':<16}"
    yield f"    {'day':>4}  {heads}".rstrip()
    yield from (_day_line(number, room.days[number - 1]) for number in _days_shown(len(room.days)))
    yield wrapped(balance(room), "  ")
    most = max(map(abs, (room.balance.given_kg, room.balance.air_change_kg, room.balance.machine_kg)))
    if abs(room.balance.miss_kg) > max(LEAST_MISS_KG, MOST_MISS * most):
        yield wrapped(MUCH, "  ")
    if room.balance.dew_kg >= LEAST_DEW_KG:
        yield wrapped(DEW, "  ")
    yield from (wrapped(text, "  ") for text in counted(room))


def _circumstances(air: SharedAir) -> Iterator[str]:
    """What changes its air, and what dries it."""
    stretches = [f"{one.temp_c:g} C and {percent(one.rh)}" for one in air.outside]
    ends = [f" until {one.until_h:g} h" for one in air.outside[:-1]] + [""]
    comes = ", then ".join(f"{text}{end}" for text, end in zip(stretches, ends, strict=True))
    yield f"Air changes: {air.air_changes_per_h:g} an hour, to a factor of two; from outside comes {comes}"
    machine = air.dehumidifier
    if machine is None:
        yield "Dehumidifier: none"
        return
    rests = "" if machine.humidistat_rh is None else f", resting below {percent(machine.humidistat_rh)}"
    yield (
        f"Dehumidifier: {KINDS[machine.kind]} rated {machine.rated_l_day:g} l a day at "
        f"{machine.rated_temp_c:g} C and {percent(machine.rated_rh)}{rests}"
    )


def _highest(room: SharedRoomForecast) -> str:
    above = [
        f"above {percent(one.rh)} for {days(one.hours)}" for one in room.hours_above if one.hours[2] > 0.0
    ]
    at = f"highest {_rh(room.highest_rh)}, at {days(room.highest_at_h)}"
    return "; ".join((f"Dampest: {at}", *above))


def _rh(band: Band) -> str:
    return span(times(band, 100.0), " %")


def _down(room: SharedRoomForecast) -> str:
    """Whether and when the room comes down to the target."""
    where = f"At {percent(room.target_rh)} or below, and from then on"
    some = f"{share(room.target_share)} of the reckonings get there"
    if room.target_hours is None:
        return f"{where}: not within {room.hours[-1] / 24.0:g} d ({some})"
    if room.target_hours[2] <= 0.0:
        return f"{where}: all the time"
    return f"{where}: after {days(room.target_hours)}" + ("" if room.target_share >= 1.0 else f" ({some})")


def _helps(air: SharedAir, temp_c: float) -> str:
    """What would dry such a room."""
    machine = air.dehumidifier
    if temp_c < COLD_C and (machine is None or machine.kind != "desiccant"):
        return "a desiccant dehumidifier (in such cold one that cools the air does little), warmth"
    return "a stronger dehumidifier, warmth"


def limits(room: SharedRoomForecast, temp_c: float) -> str:
    """What keeps the room from its target, in one sentence."""
    empty, takes = _rh(room.empty_rh), span(room.takes_at_target_kg_day, " kg")
    target = percent(room.target_rh)
    if room.limit == "incoming_air":
        return (
            f"the air that comes in: even without these things the room would settle at {empty}, above "
            f"{target}; {_helps(room.air, temp_c)} or drier air helps, fewer things do not."
        )
    most = span(max((one.given_kg for one in room.days), key=lambda band: band[1]), " kg")
    if room.limit == "bodies":
        return f"the things themselves: the room is hardly ever above {target}; its air holds nothing up."
    return (
        f"what the things give off: {most} on the worst day, where air change and machine take {takes} a day "
        f"from air at {target} (below 0: bring in); without the things the room would settle at {empty}."
    )


def balance(room: SharedRoomForecast) -> str:
    """The whole time's water, in means, which add up."""
    one = room.balance
    air = (
        f"{plain(abs(one.air_change_kg), 3)} {'out' if one.air_change_kg >= 0 else 'in'} with the air change"
    )
    rise = f"{plain(abs(one.rise_kg), 3)} {'more' if one.rise_kg >= 0 else 'less'} in the room's air"
    given = (
        f"{plain(abs(one.given_kg), 3)} kg {'given off' if one.given_kg >= 0 else 'taken up by the things'}"
    )
    dew = f", {plain(one.dew_kg, 3)} fallen out as dew" if one.dew_kg >= 0.001 else ""
    return (
        f"In {room.hours[-1] / 24.0:g} d, in the mean: {given}, {air}, "
        f"{plain(one.machine_kg, 3)} caught by the machine{dew}, {rise}; "
        f"{plain(abs(one.miss_kg), 2)} kg missed."
    )


def counted(room: SharedRoomForecast) -> Iterator[str]:
    """How many bodies stand behind it, and how well their size is known."""
    rest = f"; {room.not_counted} more are not reckoned and give off nothing here" if room.not_counted else ""
    yield f"Water of {room.bodies} bodies{rest}. A row of several like pieces counts as one."
    if room.sizes_not_given:
        yield (
            f"Of {room.sizes_not_given} of them neither all sizes nor a weight are known: their amount is "
            "that of a board or rod of their thickness, all together known to a factor of two at best."
        )
    if room.by_formula:
        yield (
            f"{room.by_formula} of them (brick, plaster, stone, pottery) give off what they would in the "
            "likely room, more or less by how far the air is from saturation."
        )


def _course(room: SharedRoomForecast) -> Iterator[str]:
    """The humidity at a few hours, and the last."""
    yield f"    {'hours':>6}  low  likely  high"
    wanted = [hour for hour in SHOWN_HOURS if hour < room.hours[-1]]
    near = [_nearest(room.hours, hour) for hour in wanted]
    for at in dict.fromkeys([*near, len(room.hours) - 1]):
        low, mid, high = (f"{100.0 * one:.0f}" for one in room.rh[at])
        yield f"    {room.hours[at]:>6.0f}  {low:>3}  {mid:>6}  {high:>4}"


def _nearest(hours: tuple[float, ...], wanted: float) -> int:
    return min(range(len(hours)), key=lambda k: abs(hours[k] - wanted))


def _days_shown(count: int) -> list[int]:
    """Numbers of the days that are printed: the first ones, then ever fewer, and the last."""
    return sorted({*(day for day in SHOWN_DAYS if day < count), count})


def _day_line(number: int, day: RoomDay) -> str:
    cells = [_three(band) for band in (day.given_kg, day.air_change_kg, day.machine_kg)]
    return f"    {number:>4}  {cells[0]:<17}{cells[1]:<20}{cells[2]:<16}".rstrip()


def _three(band: Band) -> str:
    return " ".join(f"{one:.1f}" if abs(one) >= 0.05 else "0.0" for one in band)
