"""``strandline show``: one object as the record has it, with the very data of its page."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandline.cli.record import practice_option, told
from strandline.cli.shared import UserError, write_file
from strandline.papers import when
from strandline.pipeline.tags import tidy

if TYPE_CHECKING:
    from strandline.records.models.objects import Object
    from strandline.records.models.sites import Incident
    from strandline.services.looks.asked import Asked

NOT_FOLLOWED = "It is not in the record that this card was printed, so it will not be called back."


@dataclass(frozen=True, slots=True)
class Seen:
    """What the look of an object's page says, of which incident, by whom and when it was asked."""

    ask: Asked
    code: str
    data: dict[str, Any]


@click.command("show")
@click.argument("tag")
@practice_option
@click.option("--incident", "code", metavar="CODE", help="The incident, where several have this tag.")
@click.option("--json", "as_json", is_flag=True, help="Print what its page is made of, as JSON.")
@click.option(
    "--paper",
    "paper",
    metavar="FILE.pdf",
    type=click.Path(path_type=Path),
    help="Also write its care card.",
)
def show(tag: str, practice: Path | None, code: str | None, as_json: bool, paper: Path | None) -> None:
    """Show the object with this TAG as the record has it, as its lead sees it. Nothing is changed.

    A card written with --paper is no printed paper of the record; print those from the pages.
    """
    if paper is not None and paper.suffix.lower() != ".pdf":
        raise UserError(f"a care card is a PDF, something.pdf; got '{paper.name}'")
    with told():
        reach(practice)
        seen = look_at(tag, code)
        click.echo(json.dumps(seen.data, ensure_ascii=False, indent=1) if as_json else text_of(seen.data))
        if paper is not None:
            write_file(paper, card_of(seen))
            click.echo(f"{paper}  its care card. {NOT_FOLLOWED}", err=True)


def reach(practice: Path | None) -> None:
    """Start on the record of a practice, its tables left as they are; a demo's clock runs in its story."""
    # Django takes half a second to start, and the planning commands do without it: here as below.
    from strandline.records.practice import PracticeError, begin, practice_folder
    from strandline.records.settings import DATABASE_FILE
    from strandline.services import clock

    folder = practice_folder(practice)
    if begin(folder) is None and not (folder / DATABASE_FILE).is_file():
        raise PracticeError(f"the practice in {folder} has no record yet")
    moment = clock.story_clock(folder)
    if moment is not None:
        clock.run_from(moment)


def look_at(tag: str, code: str | None) -> Seen:
    """The look of an object's page, asked now by the practice's lead; UserError."""
    # As in reach; tables can be named only once the record is open.
    from strandline.records.models.people import Person
    from strandline.services.clock import now
    from strandline.services.looks.asked import Asked, NotThere
    from strandline.services.looks.things import thing

    lead = Person.objects.filter(role="lead", active=True).order_by("pk").first()
    if lead is None:
        raise UserError("nobody leads this record yet; begin it with strandline serve")
    ask = Asked(lead, now())
    tied = tidy(tag)
    try:
        where = code.upper() if code else _incident_with(tied)
        return Seen(ask, where, thing(ask, where, tied))
    except NotThere as error:
        raise UserError(str(error)) from error


def _incident_with(tag: str) -> str:
    """The only incident, or the only one with this tag; UserError."""
    # As in look_at.
    from strandline.records.models.objects import Tag
    from strandline.records.models.sites import Incident

    codes = list(Incident.objects.order_by("code").values_list("code", flat=True))
    if not codes:
        raise UserError("this record has no incident yet")
    if len(codes) == 1:
        return str(codes[0])
    tied = Tag.objects.filter(text=tag).order_by("incident__code")
    having = list(tied.values_list("incident__code", flat=True))
    if len(having) == 1:
        return str(having[0])
    if having:
        raise UserError(f"{' and '.join(having)} each have a {tag}; say which with --incident")
    raise UserError(f"no object of {', '.join(codes)} has the tag {tag}")


def card_of(seen: Seen) -> bytes:
    """The care card of the object; UserError where it has no plan, or none can be made."""
    # As in look_at.
    from strandline.papers.registry import PAPERS
    from strandline.services.given import given_for
    from strandline.services.looks.asked import incident_of
    from strandline.services.looks.work_batch import draw

    if not seen.data["plan_no"]:
        raise UserError(f"{seen.data['tag']} has no plan yet, and so no card")
    incident = incident_of(seen.code)
    drawn = draw(incident, [with_plan(incident, seen.data["tag"])], seen.ask.at)
    given = given_for("care_card", drawn.batch)
    number = f"{seen.data['plan_no']} · {seen.data['short_id']}"
    objects = [{**one, "plan_no": number} for one in given["objects"]]
    try:
        pdf: bytes = PAPERS["care_card"][1](drawn.batch.head, {**given, "objects": objects}).pdf
    except ValueError as error:
        raise UserError(f"the card cannot be made: {error}") from error
    return pdf


def with_plan(incident: Incident, tag: str) -> Object:
    """The object of a tag with its plan and what is tied to it."""
    # As in look_at.
    from strandline.services.looks.asked import thing_of
    from strandline.services.looks.things import with_rows

    return with_rows(thing_of(incident, tag))


def text_of(look: Mapping[str, Any]) -> str:
    """The look of an object in words."""
    lines = [f"{look['tag']}  {look['title'] or 'without a title'}"]
    if look["merged_from"]:
        lines.append(f"  {look['merged_from']} was merged into {look['tag']}.")
    lines += _about(look)
    if not look["plan_no"]:
        return "\n".join([*lines, "  It has no plan yet."])
    for part in (_plan, _hazards, _steps, _hold, _where, _verdicts, _overruled):
        lines += part(look)
    return "\n".join(lines)


def _about(look: Mapping[str, Any]) -> Iterator[str]:
    tied = {
        "made of": look["made_of"],
        "owner": look["owner"],
        "owner's number": look["owner_number"],
        "place": look["place"],
        "tray": look["tray"],
    }
    if look["lot"]:
        counted = look["lot"]["counted"]
        tied["lot"] = f"{look['lot']['name']} ({counted})" if counted else look["lot"]["name"]
    told_of = [f"{key}: {value}" for key, value in tied.items() if value]
    if told_of:
        yield "  " + "; ".join(told_of)


def _plan(look: Mapping[str, Any]) -> Iterator[str]:
    made = _minute(look, look["made_at"])
    yield f"  Plan {look['plan_no']}, {look['short_id']}, made {made}, knowledge {look['knowledge']}"
    if look["void_papers"]:
        yield f"  Printed papers of it that are void: {look['void_papers']}"


def _hazards(look: Mapping[str, Any]) -> Iterator[str]:
    for stop in look["stops"]:
        far = f" Keep {stop['keep_m']:g} m away." if stop["keep_m"] else ""
        whom = f" Call: {stop['call']}." if stop["call"] else ""
        yield f"  STOP: {stop['word']}. {stop['say']}{far}{whom}"
    if look["stops"]:
        whom = look["waits_for"] or "whom the lead names"
        yield f"  Nothing else is done to it until release is recorded by: {whom}."
    for one in look["guards"]:
        yield f"  guard: {one['say']}{' (stop released)' if one['released'] else ''}"
    for one in (*look["notes"], *look["site"]):
        yield f"  note: {one['say']}"
    for one in look["released"]:
        yield f"  released: {one['word']}, by {one['role']}, {_minute(look, one['at'])}. {one['said']}"


def _steps(look: Mapping[str, Any]) -> Iterator[str]:
    if look["next"] is None:
        yield "  No step is left in this plan."
        return
    due = "now" if look["next"]["now"] else _minute(look, look["next"]["due"])
    yield f"  Next{f', {due}' if due == 'now' else f', by {due}' if due else ''}: {_step(look['next'])}"
    for step in look["later"]:
        yield f"    then: {_step(step)}"


def _step(step: Mapping[str, Any]) -> str:
    people = f" {step['people']} people." if step["people"] > 1 else ""
    return f"{step['text']}{people}{' Conservator.' if step['role'] == 'conservator' else ''}"


def _hold(look: Mapping[str, Any]) -> Iterator[str]:
    """What anybody may do, and the hours; under a stop neither hour nor loss."""
    hold, until = look["holding"], _minute(look, look["good_until"])
    said = " ".join(hold["do"])
    if look["stopped"]:
        yield f"  Until then: {said}"
        return
    yield f"  If it must wait{f', good until {until}' if until else ''}: {said}"
    yield f"    {left_word(look['hours_left'])}"
    if hold["lost_after"]:
        yield f"    after that: {hold['lost_after']}"
    if hold["tell_the_lead"]:
        yield "    If that is not being done, tell the lead at once."


def left_word(hours: float | None) -> str:
    """Hours left (h) as its page says them."""
    if hours is None:
        return "hours not known"
    if hours <= 0:
        return "may have happened"
    return f"{int(hours)} h left" if hours >= 1 else f"{int(hours * 60)} min left"


def _where(look: Mapping[str, Any]) -> Iterator[str]:
    cover = f", {look['cover_word']}" if look["cover_word"] else ""
    yield f"  {look['route_word']} Zone: {look['zone_word']}{cover}."
    for one in look["limits"]:
        yield f"    {one['word']}"


def _verdicts(look: Mapping[str, Any]) -> Iterator[str]:
    """Nothing under a stop; otherwise as the page groups them."""
    if look["groups"]:
        yield "  What may be done to it"
    for group in look["groups"]:
        for row in group["rows"]:
            only = f" ({row['part']} only)" if row["part"] else ""
            first = f" Look first: {row['look_first']}" if row["look_first"] else ""
            how = " ".join([row["how"], *row["also"]]).strip()
            mark = " (overruled, see below)" if row["overruled"] else ""
            waits = " (waits for the lead's answer)" if row["waits"] else ""
            said = f"    {row['word']}{only} - {_word(row['verdict'])}{mark}{waits}"
            yield f"{said}: {how}{first}" if how or first else said


def _word(verdict: str) -> str:
    # As in reach; the words lie with the looks, which need the record.
    from strandline.services.looks.things_words import verdict as word

    return str(word(verdict))


def _overruled(look: Mapping[str, Any]) -> Iterator[str]:
    for one in look["overrides"]:
        yield f"  Overruled: {one['rule']} ({one['level']}): {one['who']}. {one['reason']}"


def _minute(look: Mapping[str, Any], at: str | None) -> str:
    moment = when.read(at)
    return when.hour(moment, look["incident"]["zone"]) if moment else ""
