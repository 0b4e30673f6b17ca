"""What the options of ``strandline dry`` say of a room whose air the things in it wet; or why they are
refused."""

from __future__ import annotations

from itertools import pairwise

from strandline.cli.dry_cover import number_in
from strandline.cli.dry_options import DRIER_KINDS, WARMEST_C, Given
from strandline.cli.shared import UserError
from strandline.knowledge.driers import driers
from strandline.physics.dehumidifier import drier_band
from strandline.physics.ranges import OutOfRange
from strandline.things.drying import DryingQuestion, Stretch
from strandline.things.shared_room import Dehumidifier, SharedAir

OUTSIDE_WANTS = "--outside wants C,RH% or UNTIL_H,C,RH%, for example 11,92% or 72,11,92%"
RATED_WANTS = "--dehumidifier-rated-at wants C,RH%, for example 30,80%"
COLDEST_OUTSIDE_C, COLDEST_MACHINE_C = -20.0, 1.0


def shared_air_from(given: Given, question: DryingQuestion) -> SharedAir | None:
    """The room the options describe, None where none is shared; UserError in one sentence."""
    if given.shared_room_m3 is None:
        _refuse_alone(given)
        return None
    if given.rooms:
        raise UserError(
            "--room is a room that changes by itself; with --shared-room-m3 say --room-c, and with --room-rh "
            "how damp it is at the start"
        )
    if given.then:
        raise UserError(
            "--then changes a cover later, which is not reckoned with --shared-room-m3; leave out one of them"
        )
    if given.air_changes is None:
        raise UserError(
            "--air-changes is missing: say how often an hour the room's air is changed (--air-changes 0.3)"
        )
    if not given.outside:
        raise UserError(
            "--outside is missing: say how warm and how damp the air is that comes in (--outside 11,92%)"
        )
    return SharedAir(
        given.shared_room_m3, given.air_changes, _outside(given, question.days), _machine(given, question)
    )


def _refuse_alone(given: Given) -> None:
    """Refuse what is said of a shared room where there is none."""
    for name, value in (
        ("--air-changes", given.air_changes),
        ("--outside", given.outside or None),
        ("--dehumidifier-l-per-day", given.dehumidifier_l_per_day),
        ("--dehumidifier-kind", given.dehumidifier_kind),
        ("--dehumidifier-rated-at", given.dehumidifier_rated_at),
        ("--humidistat-rh", given.humidistat_rh),
    ):
        if value is not None:
            raise UserError(
                f"{name} is of a room whose air the things wet; say how large with --shared-room-m3"
            )


def _outside(given: Given, days: float) -> tuple[Stretch, ...]:
    """The air that comes in, stretch after stretch; the last holds to the end."""
    found = [_stretch(text) for text in given.outside]
    for text, (until, _, _) in zip(given.outside[:-1], found, strict=False):
        if until is None:
            raise UserError(f"--outside: only the last may leave out until which hour it holds; got '{text}'")
    for (before, _, _), (after, _, _) in pairwise(found):
        if before is not None and after is not None and after <= before:
            raise UserError(
                f"--outside: each stretch ends after the one before; {after:g} h comes after {before:g} h"
            )
    last = 24.0 * days
    ends = [until if until is not None else last for until, _, _ in found]
    ends[-1] = max(last, *ends)
    return tuple(Stretch(end, temp, rh) for end, (_, temp, rh) in zip(ends, found, strict=True))


def _stretch(text: str) -> tuple[float | None, float, float]:
    """``11,92%`` or ``72,11,92%`` as hour, warmth and share; UserError."""
    numbers = _numbers(text)
    if numbers is None or len(numbers) not in {2, 3}:
        raise UserError(f"{OUTSIDE_WANTS}; got '{text}'")
    temp, percent = numbers[-2:]
    until = numbers[0] if len(numbers) == 3 else None
    if until is not None and not 0 < until <= 100_000:
        raise UserError(f"--outside: the hour until which it holds is above 0; got '{text}'")
    if not COLDEST_OUTSIDE_C <= temp <= WARMEST_C:
        raise UserError(
            f"--outside: air is reckoned from {COLDEST_OUTSIDE_C:g} to {WARMEST_C:g} C; got '{text}'"
        )
    if not 1 <= percent <= 100:
        raise UserError(f"--outside: relative humidity is from 1 to 100 %; got '{text}'")
    return until, temp, percent / 100.0


def _numbers(text: str) -> list[float] | None:
    """Numbers between commas, the last perhaps with a per cent sign; None where one is none."""
    found = [number_in(piece) for piece in text.strip().removesuffix("%").split(",")]
    numbers = [one for one in found if one is not None]
    return numbers if len(numbers) == len(found) else None


def _machine(given: Given, question: DryingQuestion) -> Dehumidifier | None:
    """The dehumidifier, None without one; UserError."""
    if given.dehumidifier_l_per_day is None:
        for name, value in (
            ("--dehumidifier-kind", given.dehumidifier_kind),
            ("--dehumidifier-rated-at", given.dehumidifier_rated_at),
            ("--humidistat-rh", given.humidistat_rh),
        ):
            if value is not None:
                raise UserError(
                    f"{name} is of a dehumidifier; say what it is rated at with --dehumidifier-l-per-day"
                )
        return None
    temp = question.room[0].temp_c
    if temp < COLDEST_MACHINE_C:
        raise UserError(
            f"--dehumidifier-l-per-day: what a machine takes below {COLDEST_MACHINE_C:g} C is not known; "
            f"the room is at {temp:g} C"
        )
    kind = driers().kinds[given.dehumidifier_kind or DRIER_KINDS[0]]
    rated_c, rated_rh = kind.rated_temp_c, kind.rated_rh
    if (text := given.dehumidifier_rated_at) is not None:
        numbers = _numbers(text)
        if numbers is None or len(numbers) != 2:
            raise UserError(f"{RATED_WANTS}; got '{text}'")
        rated_c, rated_rh = numbers[0], numbers[1] / 100.0
        try:
            drier_band(kind, given.dehumidifier_l_per_day, temp, 0.6, rated_c, rated_rh)
        except OutOfRange as error:
            raise UserError(
                f"--dehumidifier-rated-at: no such machine is rated in this air; got '{text}' ({error})"
            ) from error
    rest = None if given.humidistat_rh is None else given.humidistat_rh / 100.0
    return Dehumidifier(kind.key, given.dehumidifier_l_per_day, rated_c, rated_rh, rest)
