"""What the options of ``strandline dry`` say, as a body, a cover and a question; or why they are refused."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from strandline.cli.dry_cover import LEAST_HOURS, cover_from, number_in
from strandline.cli.dry_options import (
    COLDEST_C,
    DAMPEST_TARGET,
    TARGET_ABOVE_ROOM,
    TOO_COLD,
    USUAL_TARGET,
    WARMEST_C,
    Given,
)
from strandline.cli.dry_words import Told, told_by
from strandline.cli.shared import UserError
from strandline.pipeline.drying import Asked, kind_surfaces, weight_unused
from strandline.pipeline.drying_kinds import Kind, NoKind, kind_of_words
from strandline.things.drying import Assumption, DryingQuestion, Stretch, WetBody

ONE, ONLY = "one", "p1"
"""Tag and part of a body that was asked about by itself."""

ROOM_WANTS = "--room wants UNTIL_H,C,RH%, for example 72,9,70%"

BODY_OPTIONS = (
    "kind", "shape", "thickness_mm", "diameter_mm", "width_mm", "length_mm", "faces", "wet_mass_g",
    "dry_mass_g", "moisture_percent", "under_water_h", "out_h", "coating", "painted",
)  # fmt: skip


def check_use(given: Given, *, with_list: bool) -> None:
    """Refuse options that say nothing here: those of one body beside a list, those of a list without one."""
    named = [
        f"--{name.replace('_', '-')}" for name in BODY_OPTIONS if getattr(given, name) not in (None, False)
    ]
    named += ["--surface"] if given.surfaces else []
    if with_list and named:
        raise UserError(f"{named[0]} describes one body; the list says what its own are, so leave it away")
    if with_list:
        return
    if given.kind is None:
        raise UserError('give a LIST, or say what dries: --kind "oak" --thickness-mm 25')
    for name, value in (
        ("--site", given.site_path),
        ("--columns", given.columns),
        ("--overrides", given.overrides_path),
        ("--show", given.show),
        ("--measured-only", given.measured_only),
    ):
        if value:
            raise UserError(f"{name} goes with a LIST, and none was given")


def body_from(given: Given) -> Asked:
    """The one body the options describe; UserError in one sentence."""
    kind = _kind(given.kind or "")
    shape, thickness = _shape(given, kind)
    _check_sizes(given, shape, thickness)
    _check_water(given)
    told = told_by(kind.words)
    surfaces = {*given.surfaces, *kind_surfaces(kind.family, kind.key), *told.surfaces}
    # A coat that was asked for by its option stands, whatever the words say; "none" also says: no paint.
    painted = given.painted or (told.painted and given.coating != "none")
    coating = given.coating or told.coating or ("paint" if given.painted else "none")
    body = WetBody(
        tag=ONE,
        title="",
        part=ONLY,
        kind=kind.key,
        kind_words=kind.words,
        known_by=kind.known_by,
        shape=shape,
        thickness_mm=thickness,
        width_mm=given.width_mm,
        length_mm=given.length_mm,
        faces=given.faces or 2,
        wet_mass_g=given.wet_mass_g,
        dry_mass_g=given.dry_mass_g,
        moisture=None if given.moisture_percent is None else given.moisture_percent / 100.0,
        under_water_h=given.under_water_h,
        out_h=given.out_h or 0.0,
        coating=coating,
        painted=painted or coating in {"paint", "gesso", "lacquer"},
        surfaces=tuple(sorted(surfaces | ({"painted"} if painted else set()))),
        cover=cover_from(given),
    )
    return Asked(body, (*_from_words(told, body, given), *weight_unused(body)))


def _from_words(told: Told, body: WetBody, given: Given) -> list[Assumption]:
    """What the words of the kind were taken to say beyond the kind."""
    why = f"'{body.kind_words}' says so; the options say it otherwise where that is wrong"
    found = []
    if told.coating and given.coating is None:
        found.append(Assumption("coating", told.coating, why, (), "c"))
    new = sorted(set(body.surfaces) & ({*told.surfaces} | ({"painted"} if told.painted else set())))
    if said := [one.replace("_", " ") for one in new if one not in given.surfaces]:
        found.append(Assumption("surface", ", ".join(said), why, (), "c"))
    return found


def _kind(words: str) -> Kind:
    if not words.strip():
        raise UserError('--kind is empty; say what dries, for example --kind "oak"')
    try:
        return kind_of_words(words)
    except NoKind as none:
        raise UserError(f"--kind: {none}") from none


def _shape(given: Given, kind: Kind) -> tuple[str, float | None]:
    """Shape and least dimension."""
    thickness, diameter = given.thickness_mm, given.diameter_mm
    if thickness is not None and diameter is not None:
        raise UserError(
            "--thickness-mm is of a plane and --diameter-mm of a cylinder or sphere; give one of them"
        )
    shape = given.shape or ("cylinder" if diameter is not None else "plane")
    if shape == "plane" and diameter is not None:
        raise UserError("--diameter-mm is of a cylinder or sphere; a plane has --thickness-mm")
    if shape != "plane" and thickness is not None:
        raise UserError(f"--thickness-mm is of a plane; a {shape} has --diameter-mm")
    if thickness is None and diameter is None and not kind.film:
        wanted = "--thickness-mm" if shape == "plane" else "--diameter-mm"
        raise UserError(f"say how thick it is with {wanted}: the time goes with the square of it")
    return shape, thickness if shape == "plane" else diameter


def _check_sizes(given: Given, shape: str, least: float | None) -> None:
    """The thickness is the least dimension, and sizes fit the shape."""
    if shape != "plane" and (given.width_mm is not None or given.faces is not None):
        which = "--width-mm" if given.width_mm is not None else "--faces"
        raise UserError(f"{which} is of a plane; a {shape} has none")
    if shape == "sphere" and given.length_mm is not None:
        raise UserError("--length-mm: a sphere has no length")
    for name, size in (("--width-mm", given.width_mm), ("--length-mm", given.length_mm)):
        if shape == "plane" and size is not None and least is not None and size < least:
            raise UserError(
                f"{name} is {size:g}, less than --thickness-mm {least:g}, which is the least dimension"
            )


def _check_water(given: Given) -> None:
    """Weights and moisture that contradict each other."""
    wet, dry = given.wet_mass_g, given.dry_mass_g
    if wet is not None and dry is not None and wet < dry:
        raise UserError(
            f"--wet-mass-g is {wet:g}, less than --dry-mass-g {dry:g}; nothing weighs less wet than dry"
        )
    if given.moisture_percent is not None and wet is not None:
        raise UserError("--moisture-percent and --wet-mass-g both say how wet it is; give one of them")


def question_from(given: Given) -> DryingQuestion:
    """Room, days, target, members, seed; UserError where the room is not said or said twice."""
    room = _room(given)
    return DryingQuestion(
        room=room,
        days=given.days,
        target_rh=_target(given, room) / 100.0,
        moving_air=given.moving_air,
        members=given.members,
        seed=given.seed,
    )


def _target(given: Given, room: Sequence[Stretch]) -> float:
    """The humidity (%) to reckon to; a room that is shared does not stay as damp as it starts."""
    if given.target_rh is not None:
        return given.target_rh
    return USUAL_TARGET if given.shared_room_m3 is not None else target_in(room)


def target_in(room: Sequence[Stretch]) -> float:
    """The humidity (%) to reckon to where none was asked for: one that the room can bring about."""
    last = round(100.0 * room[-1].rh, 6)
    if last + TARGET_ABOVE_ROOM <= USUAL_TARGET:
        return USUAL_TARGET
    return min(last + TARGET_ABOVE_ROOM, DAMPEST_TARGET)


def target_said(given: Given, question: DryingQuestion) -> str:
    """One sentence where another target than the usual was taken for want of one; else nothing."""
    used, last = 100.0 * question.target_rh, 100.0 * question.room[-1].rh
    if given.target_rh is not None or round(used, 6) == USUAL_TARGET:
        return ""
    can = "cannot dry it" if last >= USUAL_TARGET else "dries it late or never"
    return f"The room at {last:.3g} % {can} to {USUAL_TARGET:.3g} %: reckoned to {used:.3g} %."


def _room(given: Given) -> tuple[Stretch, ...]:
    """The air of the room, stretch after stretch, to the end."""
    if given.rooms:
        if given.room_c is not None or given.room_rh is not None:
            raise UserError("--room says what --room-c and --room-rh say; give the one or the other")
        stretches = [stretch_from(text) for text in given.rooms]
        for before, after in pairwise(stretches):
            if after.until_h <= before.until_h:
                raise UserError(
                    f"--room: each stretch ends after the one before; {after.until_h:g} h "
                    f"comes after {before.until_h:g} h"
                )
        for begin, end in pairwise([0.0, *(one.until_h for one in stretches)]):
            if end - begin < LEAST_HOURS:
                raise UserError(f"--room: the stretch until {end:g} h lasts less than {LEAST_HOURS:g} h")
        last = stretches[-1]
        end = max(last.until_h, 24.0 * given.days)
        return (*stretches[:-1], Stretch(end, last.temp_c, last.rh))
    if given.room_c is None or given.room_rh is None:
        missing = "--room-c" if given.room_c is None else "--room-rh"
        raise UserError(
            f"{missing} is missing: say how warm and how damp the room is (--room-c 12 --room-rh 65)"
        )
    return (Stretch(24.0 * given.days, given.room_c, given.room_rh / 100.0),)


def stretch_from(text: str) -> Stretch:
    """``72,9,70%``; UserError."""
    pieces = [piece.strip() for piece in text.split(",")]
    numbers = [number_in(piece.removesuffix("%") if n == 2 else piece) for n, piece in enumerate(pieces)]
    if len(numbers) != 3 or None in numbers:
        raise UserError(f"{ROOM_WANTS}; got '{text}'")
    until, temp, percent = (one or 0.0 for one in numbers)
    if not 0 < until <= 100_000:
        raise UserError(f"--room: the hour until which it holds is above 0; got '{text}'")
    if temp < COLDEST_C:
        raise UserError(f"--room: {TOO_COLD}; got '{text}'")
    if not COLDEST_C <= temp <= WARMEST_C:
        raise UserError(f"--room: the room is from {COLDEST_C:g} to {WARMEST_C:g} C; got '{text}'")
    if not 1 <= percent <= 100:
        raise UserError(f"--room: relative humidity is from 1 to 100 %; got '{text}'")
    return Stretch(until, temp, percent / 100.0)
