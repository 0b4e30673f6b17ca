"""The options of ``strandline dry``.  What they say is read in dry_given; other commands start without it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import click

from strandline.physics.mould import SOON_MOULDY

F = TypeVar("F", bound=Callable[..., Any])
SHAPES = ("plane", "cylinder", "sphere")
SURFACES = tuple(sorted(SOON_MOULDY))
COATINGS = ("none", "wax", "varnish", "paint", "lacquer", "gesso")
COLDEST_C, WARMEST_C = 0.0, 40.0
TOO_COLD = "below 0 C the water in it freezes, and no equation here holds for ice"
USUAL_TARGET, TARGET_ABOVE_ROOM, DAMPEST_TARGET = 62.0, 5.0, 95.0
"""Humidities (%) it is reckoned to where none was asked for: the usual one, or so far above a damp room."""


class Number(click.FloatRange):
    """A number within bounds; not a number is within none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number, or the sentence why it is none."""
        if isinstance(value, str):
            try:
                float(value)
            except ValueError:
                self.fail(f"'{value}' is no number; write a number without unit, such as 25.", param, ctx)
        found = super().convert(value, param, ctx)
        if not math.isfinite(found):
            self.fail(f"{value} is no number.", param, ctx)
        return found


class RoomTemperature(Number):
    """Warmth of a room in which water is water."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number, or why none can be reckoned with."""
        try:
            cold = float(value) < COLDEST_C
        except ValueError:
            cold = False
        if cold:
            self.fail(f"{TOO_COLD}; got {value}.", param, ctx)
        return super().convert(value, param, ctx)


class CoverOption(click.Option):
    """An option whose help names the sheets there are; they are read only for that."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """The option and its help."""
        # The file of covers is read when help is asked for, not at the start of every command.
        from strandline.knowledge.covers import covers

        self.help = f"What covers it: {', '.join(covers())}. What each is: docs/drying.md."
        return super().get_help_record(ctx)


SIZE, MASS = Number(0, 20_000, min_open=True), Number(0, 1e8, min_open=True)
HOURS = Number(0, 100_000)


def body_options(command: F) -> F:
    """Options that describe one body; none of them goes with a list."""
    return _all(
        command,
        click.option("--kind", metavar="WORDS", help='What dries: "oak", "leather", "low-fired pottery" ...'),
        click.option("--shape", type=click.Choice(SHAPES),
                     help="Default: plane, or cylinder with --diameter-mm."),
        click.option("--thickness-mm", type=SIZE, help="Least dimension of a plane."),
        click.option("--diameter-mm", type=SIZE, help="Of a cylinder or sphere."),
        click.option("--width-mm", type=SIZE, help="Of a plane."),
        click.option("--length-mm", type=SIZE, help="Along the grain of timber."),
        click.option("--faces", type=click.IntRange(1, 2), help="Broad faces open to the air.  [default: 2]"),
        click.option("--wet-mass-g", type=MASS, help="Its weight now."),
        click.option("--dry-mass-g", type=MASS, help="Its weight when it was dry."),
        click.option("--moisture-percent", type=Number(0, 1000), help="Water now, of the dry weight."),
        click.option("--under-water-h", type=HOURS, help="Hours it lay in water."),
        click.option("--out-h", type=HOURS, help="Hours since it came out.  [default: 0]"),
        click.option("--coating", type=click.Choice(COATINGS), help="Coat on it.  [default: none]"),
        click.option("--painted", is_flag=True, help="It is painted or gilded."),
        click.option("--surface", "surfaces", type=click.Choice(SURFACES), multiple=True, metavar="WORD",
                     help=f"What makes it mould sooner: {', '.join(SURFACES)}. May be repeated."),
    )  # fmt: skip


def list_choice(command: F) -> F:
    """What of a list is forecast."""
    return _all(
        command,
        click.option("--measured-only", is_flag=True,
                     help="Of LIST, leave out the parts whose thickness is not given, instead of "
                          "reckoning them over the thickness such things usually have."),
    )  # fmt: skip


def around_options(command: F) -> F:
    """Options for the cover and the room, which hold for every body."""
    return _all(
        command,
        click.option("--cover", metavar="SHEET", cls=CoverOption),
        click.option("--sheet-area-m2", type=Number(1e-4, 1000), help="Area of the sheet."),
        click.option("--air-litres", type=Number(0.01, 1e6), help="Air under the cover."),
        click.option("--gap", "gaps", multiple=True, metavar="GAP",
                     help="Openings of the cover, in mm: hole,DIAMETER,PLACE,COUNT or "
                          "slit,LENGTHxWIDTH,PLACE,COUNT; PLACE is top, side or bottom. "
                          "For example hole,6,side,4 or slit,100x5,top,1. May be repeated."),
        click.option("--then", multiple=True, metavar="HOUR,GAP",
                     help="From which hour from now its openings are these: 72,slit,100x5,top,2; 72,shut; "
                          "240,off takes it off. May be repeated; those of one hour go together."),
        click.option("--room-c", type=RoomTemperature(COLDEST_C, WARMEST_C),
                     help="The room's temperature (C)."),
        click.option("--room-rh", type=Number(1, 100), help="The room's relative humidity (%)."),
        click.option("--room", "rooms", multiple=True, metavar="UNTIL_H,C,RH%",
                     help="Instead of these two, a room that changes: until which hour from now, how warm, "
                          "how damp, for example 72,9,70%. May be repeated; the last holds to the end."),
        click.option("--moving-air", is_flag=True, help="A fan moves the air at it."),
        click.option("--days", type=Number(0.25, 400), default=30.0, show_default=True,
                     help="How far ahead."),
        click.option("--target-rh", type=Number(5, DAMPEST_TARGET),
                     help="Dry is: as dry as air of this humidity (%) leaves it.  "
                          "[default: 62, or 5 above a room damper than 57]"),
        click.option("--members", type=click.IntRange(8, 1024), default=64, show_default=True,
                     help="How often it is reckoned, each time with other numbers from within their doubt."),
        click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
                     help="The same seed gives the same figures."),
    )  # fmt: skip


DRIER_KINDS = ("refrigerant", "refrigerant_low_temperature", "desiccant")
"""Kinds of dehumidifiers; the first is taken where none is named."""


def room_options(command: F) -> F:
    """Options for a room whose air the things in it wet."""
    return _all(
        command,
        click.option("--shared-room-m3", type=Number(1, 100_000),
                     help="The room's volume: then what all things give off wets its air, --room-rh is its "
                          "humidity at the start, and --air-changes and --outside are needed."),
        click.option("--air-changes", type=Number(0, 50),
                     help="How often an hour the room's air is changed: 0.3 with all shut, 1 in a draughty "
                          "room. Taken as known to a factor of two."),
        click.option("--outside", "outside", multiple=True, metavar="[UNTIL_H,]C,RH%",
                     help="The air that comes in: how warm, how damp, for example 11,92%; where it changes, "
                          "until which hour from now, 72,11,92%. May be repeated; the last holds on."),
        click.option("--dehumidifier-l-per-day", type=Number(0.1, 2000),
                     help="What all dehumidifiers in it are rated at; what they take in this room is "
                          "reckoned. Without it there is none."),
        click.option("--dehumidifier-kind", type=click.Choice(DRIER_KINDS),
                     help="refrigerant takes little in the cold; refrigerant_low_temperature thaws its coil "
                          "by hot gas; desiccant is a wheel.  [default: refrigerant]"),
        click.option("--dehumidifier-rated-at", metavar="C,RH%",
                     help="The air it is rated in, from its plate or leaflet.  "
                          "[default: 30,80%; of a desiccant 20,60%]"),
        click.option("--humidistat-rh", type=Number(20, 95),
                     help="The dehumidifier rests in air drier than this (%).  [default: it never rests]"),
    )  # fmt: skip


def _all(command: F, *options: Callable[[F], F]) -> F:
    for option in reversed(options):
        command = option(command)
    return command


@dataclass(frozen=True, slots=True)
class Given:
    """The options as given; None where an option was not."""

    kind: str | None
    shape: str | None
    thickness_mm: float | None
    diameter_mm: float | None
    width_mm: float | None
    length_mm: float | None
    faces: int | None
    wet_mass_g: float | None
    dry_mass_g: float | None
    moisture_percent: float | None
    under_water_h: float | None
    out_h: float | None
    coating: str | None
    painted: bool
    surfaces: tuple[str, ...]
    cover: str | None
    sheet_area_m2: float | None
    air_litres: float | None
    gaps: tuple[str, ...]
    then: tuple[str, ...]
    room_c: float | None
    room_rh: float | None
    rooms: tuple[str, ...]
    moving_air: bool
    days: float
    target_rh: float | None
    members: int
    seed: int
    as_of: str | None
    site_path: Path | None
    columns: tuple[str, ...]
    overrides_path: Path | None
    as_json: bool
    chart: Path | None
    show: str | None
    measured_only: bool
    shared_room_m3: float | None
    air_changes: float | None
    outside: tuple[str, ...]
    dehumidifier_l_per_day: float | None
    dehumidifier_kind: str | None
    dehumidifier_rated_at: str | None
    humidistat_rh: float | None
