"""What ``strandline dry`` does: one body or a list, to words, JSON and a chart."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from strandline import __version__
from strandline.cli.dry_cover import cover_from
from strandline.cli.dry_given import body_from, check_use, question_from, target_said
from strandline.cli.dry_options import Given
from strandline.cli.dry_room_given import shared_air_from
from strandline.cli.dry_room_tell import room_lines
from strandline.cli.dry_table import assumed_thickness, left_lines, measure_first, table_lines
from strandline.cli.dry_tell import explained, full, wrapped
from strandline.cli.shared import UserError, known, moment, open_work, write_file
from strandline.cli.tell import problem_line, summary_lines
from strandline.exchange.dry_chart import drying_svg, room_svg
from strandline.exchange.dry_json import (
    EARLY,
    NOT_IN_THE_ROOM,
    NOT_MEASURED,
    SHARED_AIR,
    STANDING,
    DryDocument,
    NotFinite,
    ThicknessDoubt,
    check_finite,
    dry_made_by,
)
from strandline.knowledge.base import REVIEW_SENTENCE
from strandline.physics.compiled import is_compiled
from strandline.pipeline.drying import Asked, LeftOut, bodies_of
from strandline.pipeline.lists import Tally, plans
from strandline.pipeline.tags import tidy
from strandline.things.drying import DryingForecast, DryingQuestion, WetBody
from strandline.things.listing import Problem
from strandline.things.shared_room import SharedAir

if TYPE_CHECKING:
    from strandline.drying.together import InOneRoom

TOLD_EVERY = 10
"""Bodies after which a long list says how far it is."""

CANNOT = (ValueError, ArithmeticError)
"""What the engine raises for a body it cannot reckon: out of the range of an equation, or not settling."""

COMPILING = "Compiling the drying engine, once for this machine: about half a minute."


@dataclass(slots=True)
class Bodies:
    """What a list holds to be forecast, and what is left out of it."""

    asked: list[Asked] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    in_room: list[WetBody] = field(default_factory=list)
    """All that give off water in the room, also those that are not shown."""


def run_dry(list_path: Path | None, given: Given) -> int:
    """Forecast what was asked about; the exit code."""
    check_use(given, with_list=list_path is not None)
    if given.chart is not None and given.chart.suffix.lower() != ".svg":
        raise UserError(f"--chart draws an SVG, something.svg; got '{given.chart.name}'")
    if given.chart is not None and not given.chart.absolute().parent.is_dir():
        raise UserError(f"--chart: there is no folder {given.chart.absolute().parent}")
    question = question_from(given)
    air = shared_air_from(given, question)
    if list_path is not None:
        return _list(list_path, given, question, air)
    _one_body(given, question, air)
    return 0


def _one_body(given: Given, question: DryingQuestion, air: SharedAir | None) -> None:
    """The body that the options describe."""
    asked = body_from(given)
    as_of = moment(given.as_of)
    knowledge = known(given.overrides_path, as_of.date())
    left: list[LeftOut] = []
    room = _in_one_room([asked.body], question, air)
    found = list(_forecasts([asked], question, left, room))
    if left:
        raise UserError(left[0].say)
    if given.as_json:
        made = dry_made_by(knowledge, __version__)
        document = DryDocument(sys.stdout, made, as_of, question, _says(given, question))
        document.add(found[0])
        document.close(None, 0, (), room=None if room is None else room.room)
    else:
        _say_room(room, question)
        click.echo(full(found[0], question))
        _say_what_holds(found, given, question)
    _draw(given.chart, found, question, as_of)


def _list(list_path: Path, given: Given, question: DryingQuestion, air: SharedAir | None) -> int:
    """The objects of a list; the exit code."""
    work = open_work(list_path, given.as_of, given.site_path, given.columns, given.overrides_path)
    tally = Tally(problems=work.opened.problems)
    held = Bodies()
    cover = cover_from(given)
    shown_rows: set[int] = set()
    for facts, plan in plans(work.opened.rows, work.engine, work.site, tally):
        shown = given.show is None or _meant(given.show, facts.tag, facts.owner_number)
        if shown:
            shown_rows.add(facts.row)
        if not shown and air is None:
            continue
        for one in bodies_of(facts, plan, work.site.as_of, cover, measured_only=given.measured_only):
            if isinstance(one, Asked):
                held.in_room.append(one.body)
            if shown:
                _sort(one, held, tally)
    if given.show is not None:
        _only(given.show, held)
    of_room = air is not None and given.show is None
    if given.chart is not None and len(held.asked) != 1 and not of_room:
        raise UserError(_which_chart(held))
    room = _in_one_room(held.in_room, question, air)
    found: list[DryingForecast] = []
    if given.as_json:
        made = dry_made_by(work.engine.book.knowledge, __version__)
        says = _says(given, question, [one.body for one in held.asked])
        document = DryDocument(sys.stdout, made, work.site.as_of, question, says)
        for dried in _told(_forecasts(held.asked, question, held.left_out, room), len(held.asked)):
            document.add(dried)
            found.append(dried)
        first = measure_first(found, question)
        document.close(
            work.opened.head, tally.rows, held.left_out, tally.problems, tally.rejected,
            ThicknessDoubt(assumed_thickness(found), tuple(f"{one.tag}/{one.part}" for one in first)),
            None if room is None else room.room,
        )  # fmt: skip
    else:
        found = _printed(held, given, question, room)
    if room is not None and of_room:
        _draw_room(given.chart, room, work.site.as_of)
    else:
        _draw(given.chart, found, question, work.site.as_of)
    for line in (*_counted(held), *_summary(tally, given.show, shown_rows)):
        click.echo(line, err=True)
    return 1 if tally.needs_a_person else 0


def _sort(one: Asked | LeftOut | Problem, held: Bodies, tally: Tally) -> None:
    if isinstance(one, Problem):
        tally.problems.append(one)
    elif isinstance(one, LeftOut):
        held.left_out.append(one)
    else:
        held.asked.append(one)


def _meant(show: str, tag: str, owner_number: str) -> bool:
    """Whether an object is the one to show: by tag, owner's number, or tag and part."""
    object_tag = show.rpartition("/")[0] or show
    return tag in {show, tidy(show), object_tag, tidy(object_tag)} or owner_number == show


def _only(show: str, held: Bodies) -> None:
    """Keep the part that was named, if one was; UserError where there is nothing to show."""
    _, slash, part = show.rpartition("/")
    parts = {one.body.part for one in held.asked} | {one.part for one in held.left_out if one.part}
    if slash and part in parts:
        held.asked = [one for one in held.asked if one.body.part == part]
        held.left_out = [one for one in held.left_out if one.part == part]
    elif slash and parts:
        raise UserError(
            f"--show: it has no part '{part}' that dries; its parts are {', '.join(sorted(parts))}"
        )
    if not held.asked and not held.left_out:
        raise UserError(f"no object has the tag or owner number '{show}'")


def _which_chart(held: Bodies) -> str:
    """Why no chart can be drawn, and what would do."""
    if not held.asked:
        return (
            f"--chart: nothing of it is forecast: {held.left_out[0].say}"
            if held.left_out
            else ("--chart: nothing of the list is forecast")
        )
    some = ", ".join(f"{one.body.tag}/{one.body.part}" for one in held.asked[:5])
    return f"--chart draws one body, and these are {len(held.asked)}; name one with --show, such as {some}"


Forecaster = Callable[[Sequence[WetBody]], Iterator[DryingForecast]]


def _say_member(of: int, done: int) -> None:
    """How far the room is, now and then."""
    if done % TOLD_EVERY == 0 and done < of:
        click.echo(f"The room: {done} of {of} times", err=True)


def _in_one_room(
    bodies: Sequence[WetBody], question: DryingQuestion, air: SharedAir | None
) -> InOneRoom | None:
    """The room that bodies share, None where its air is taken as given; UserError where it cannot be
    reckoned."""
    if air is None:
        return None
    _say_compiling()
    # As below: other commands, and other questions, do without it.
    from strandline.drying.together import in_one_room

    click.echo(f"The room: {question.members} times with {len(bodies)} bodies", err=True)
    try:
        return in_one_room(bodies, question, air, partial(_say_member, question.members))
    except CANNOT as error:
        raise UserError(
            f"the room they share cannot be reckoned: {error}; without --shared-room-m3 each is forecast in "
            "air taken as given"
        ) from error


def _forecasts(
    asked: list[Asked], question: DryingQuestion, left_out: list[LeftOut], room: InOneRoom | None = None
) -> Iterator[DryingForecast]:
    """Forecasts in order; what cannot be reckoned goes to ``left_out``."""
    if not asked:
        return
    if room is not None:
        yield from _reckoned(asked, room.forecast, left_out)
        return
    _say_compiling()
    # The engine brings numpy and numba, which take long to load and which no other command needs.
    from strandline.drying.forecast import forecast

    yield from _reckoned(asked, lambda bodies: forecast(bodies, question), left_out)


def _say_compiling() -> None:
    if not is_compiled():
        click.echo(COMPILING, err=True)


def _reckoned(
    asked: list[Asked], forecaster: Forecaster, left_out: list[LeftOut]
) -> Iterator[DryingForecast]:
    """The same, of bodies of which there is one at least."""
    done = 0
    try:
        for one in forecaster([each.body for each in asked]):
            done += 1
            yield from _fit(one, asked[done - 1], left_out)
    except CANNOT as error:
        if len(asked) == 1:
            left_out.append(_outside(asked[0], f"{error}"))
            return
        # One body stops the batch it is in: the rest of them are asked for one at a time.
        for each in asked[done:]:
            yield from _reckoned([each], forecaster, left_out)


def _fit(one: DryingForecast, asked: Asked, left_out: list[LeftOut]) -> Iterator[DryingForecast]:
    """The forecast with the assumptions of the asking before its own, if all its numbers are numbers."""
    whole = replace(one, assumed=(*asked.assumed, *one.assumed))
    try:
        check_finite(whole)
    except NotFinite as error:
        left_out.append(_outside(asked, f"{error}"))
        return
    yield whole


def _outside(asked: Asked, why: str) -> LeftOut:
    body = asked.body
    return LeftOut(body.tag, body.title, body.part, "outside", f"It cannot be reckoned: {why}.")


def _told(found: Iterable[DryingForecast], count: int) -> Iterator[DryingForecast]:
    """The same, saying on standard error how far it is."""
    for number, one in enumerate(found, start=1):
        if number % TOLD_EVERY == 0 and number < count:
            click.echo(f"{number} of {count} bodies", err=True)
        yield one


def _printed(
    held: Bodies, given: Given, question: DryingQuestion, room: InOneRoom | None
) -> list[DryingForecast]:
    """Print the bodies as a table or in full, then what is left out.

    All are reckoned before the first is printed, so that how far it is stands above the table, not in it.
    """
    in_full = given.show is not None
    found = list(_told(_forecasts(held.asked, question, held.left_out, room), len(held.asked)))
    _say_room(room, question)
    told = (full(one, question) for one in found) if in_full else table_lines(found, question)
    for line in (*told, *left_lines(held.left_out, every=in_full)):
        click.echo(line)
    _say_what_holds(found, given, question)
    if found and not in_full:
        some = next((one for one in found if one.target is not None), found[0]).body
        click.echo(f"One of them in full: --show {some.tag}, or one part: --show {some.tag}/{some.part}")
    return found


def _summary(tally: Tally, show: str | None, rows: set[int]) -> Iterator[str]:
    """What happened to the list; beside one object that is shown, only what was found in its own row."""
    if show is None:
        yield from summary_lines(tally)
        return
    faults = [*tally.problems, *tally.rejected]
    own = [one for one in faults if one.row in rows]
    yield from map(problem_line, own)
    if others := len(faults) - len(own):
        things = "problem or note" if others == 1 else "problems and notes"
        yield f"{others} {things} in other rows of the list; without --show they are named."


def _says(given: Given, question: DryingQuestion, bodies: Sequence[WetBody] = ()) -> tuple[str, ...]:
    target = "" if given.shared_room_m3 is not None else target_said(given, question)
    shared = (SHARED_AIR,) if len(bodies) > 1 else ()
    if given.shared_room_m3 is not None:
        shared = (NOT_IN_THE_ROOM,)
    unmeasured = (NOT_MEASURED,) if any(one.thickness_band_mm is not None for one in bodies) else ()
    return (STANDING, EARLY, *shared, *unmeasured, *([target] if target else []), REVIEW_SENTENCE)


def _say_what_holds(found: list[DryingForecast], given: Given, question: DryingQuestion) -> None:
    """What low and high are, and what holds of every forecast."""
    for line in (*explained(found, question), *_says(given, question, [one.body for one in found])):
        click.echo(wrapped(line, ""))


def _say_room(room: InOneRoom | None, question: DryingQuestion) -> None:
    """The room they share, if one was asked about."""
    if room is None:
        return
    for line in room_lines(room.room, question.room[0].rh, question.room[0].temp_c):
        click.echo(line)


def _counted(held: Bodies) -> Iterator[str]:
    whole = sum(not one.part for one in held.left_out)
    parts = len(held.left_out) - whole
    asked = f"Asked about: {len(held.asked)} bodies{_of_them_assumed(held)}."
    yield f"{asked} Not forecast: whole objects {whole}, parts of others {parts}."


def _of_them_assumed(held: Bodies) -> str:
    count = sum(one.body.thickness_band_mm is not None for one in held.asked)
    return f", {count} of them over a usual thickness for want of a measured one" if count else ""


def _draw_room(path: Path | None, room: InOneRoom, as_of: datetime) -> None:
    """Write the chart of the room's humidity."""
    if path is None:
        return
    write_file(path, room_svg(room.room, room.question, as_of).encode())
    click.echo(f"{path}  the room's humidity as a chart", err=True)


def _draw(path: Path | None, found: list[DryingForecast], question: DryingQuestion, as_of: datetime) -> None:
    """Write the chart of the only body."""
    if path is None:
        return
    if not found or found[0].series is None:
        raise UserError("--chart: there is no course to draw: no forecast could be made")
    write_file(path, drying_svg(found[0], question, as_of).encode())
    click.echo(f"{path}  the forecast as a chart", err=True)
