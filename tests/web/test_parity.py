"""The same numbers and words on every face: page, JSON, command line, care card."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from click.testing import CliRunner
from django.db import transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from strandline.cli import show
from strandline.cli.main import main
from strandline.papers import when, wording
from strandline.papers.care_card import card
from strandline.services import clock
from strandline.services.given import given_for
from strandline.services.looks import things_words
from strandline.services.looks.work_batch import draw
from strandline.services.make_lot import make_lot
from strandline.services.merge import merge
from strandline.services.override import override
from strandline.services.plan import plan
from strandline.services.release_hazard import release_hazard
from tests.papers import looking
from tests.records.cast import incident, lead
from tests.services.doing import barometer, by, received
from tests.web.cast import form, signed_in
from tests.web.taking_in_cast import flooded
from tests.web.work_cast import done_with, planned, salty_pot

pytestmark = pytest.mark.django_db
STOPPED, RELEASED, OVERRULED, MERGED, KEPT, LOT, ASKED, DONE = (
    "0013", "0014", "0042", "0101", "0043", "0022", "0050", "0060",
)  # fmt: skip
ALL = (STOPPED, RELEASED, OVERRULED, KEPT, LOT, ASKED, DONE, "0070")
REASON = "the stair is wet and the rail is gone"
OF_CARD = {"also": "yes", "careful": "careful", "never": "no", "forbidden": "no", "ask_first": "refer"}
LABELS = {
    "also": "Yes:", "careful": "Careful, ask how:", "never": "Also no:", "forbidden": "No:",
    "ask_first": "Conservator decides:",
}  # fmt: skip
CARD_WORDS = {"yes": "Yes", "careful": "Careful", "refer": "Conservator", "no": "No"}
PAGE_WORDS = {"yes": "yes", "careful": "carefully", "refer": "ask first", "no": "no"}
Verdicts = dict[tuple[str, str], str]


@dataclass(frozen=True, slots=True)
class Faces:
    """One object as every face has it, for the lead; ``card`` is what its PDF says, ``data`` of what."""

    page: str
    look: dict[str, Any]
    line: str
    line_json: dict[str, Any]
    card: str
    data: dict[str, Any]
    printed: bool


@dataclass(frozen=True, slots=True)
class Shown:
    """All objects, and the first page of the incident with its JSON."""

    things: dict[str, Faces]
    now: str
    now_json: dict[str, Any]


def make() -> None:
    """One stopped, one released, one overruled, one that another one was merged into, a lot, and more."""
    flooded()
    wet = clock.now() - timedelta(hours=1)
    early = {"wet_since": wet, "out_since": wet}
    for tag in (STOPPED, RELEASED):
        plan(by(), barometer(tag))
    thing = received(OVERRULED, **early)
    override(by(lead()), "act.lift.all", {"how": "Two people."}, REASON, thing)
    plan(by(), received(KEPT, **early))
    plan(by(), thing)
    merge(by(lead()), received_as(KEPT), received(MERGED), "the lid of the same chest")
    plan(by(), received_as(KEPT))
    release_hazard(by(lead()), received_as(RELEASED), "mercury", "licensed remover", "Taken out and packed.")
    plan(by(), received_as(RELEASED))
    make_lot(by(), planned(LOT, "glass", "glass", **early), 12, "ink jars")
    salty_pot(ASKED)
    done_with(planned(DONE, "ceramic_glazed", "ceramic"))
    planned("0070", "book", "paper", **early)


def received_as(tag: str) -> Any:
    """The object of a tag."""
    return incident().things.get(tag=tag)


@pytest.fixture(scope="module")
def shown(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Shown:
    """Every face, taken once, at one moment; nothing of it stays in the database."""
    with django_db_blocker.unblock(), pytest.MonkeyPatch.context() as patch, transaction.atomic():
        make()
        moment = clock.now()
        for where in ("strandline.web.pages.now", "strandline.api.urls.now", "strandline.services.clock.now"):
            patch.setattr(where, lambda: moment)
        patch.setattr(show, "reach", lambda practice: None)  # the record of the tests is open already
        client = Client()
        signed_in(client, "lead")
        found = Shown(
            {tag: faces(client, tag) for tag in ALL},
            client.get("/ORNL1/").content.decode(),
            client.get("/ORNL1.json").json(),
        )
        transaction.set_rollback(True)
    return found


def faces(client: Client, tag: str) -> Faces:
    """The four faces of one object."""
    at = f"/ORNL1/things/{tag}"
    page = client.get(f"{at}/")
    assert page.status_code == 200
    where = incident()
    things = [show.with_plan(where, tag)]
    drawn = draw(where, things, clock.now())
    pdf = show.card_of(show.look_at(tag, None))
    sent = client.post("/ORNL1/papers/", form("print", paper="care_card", tags=tag, **{"for": "tags"}))
    return Faces(
        html.unescape(page.content.decode()),
        client.get(f"{at}.json").json(),
        line(tag),
        json.loads(line(tag, "--json")),
        looking.text(pdf),
        card(drawn.batch.head, *_of(given_for("care_card", drawn.batch))),
        sent.content == pdf,
    )


def _of(given: Any) -> tuple[Any, Any]:
    (one,) = given["objects"]
    return one, given["done"].get(one["tag"], ())


def line(*arguments: str) -> str:
    """What the command prints."""
    if "show" not in main.commands:
        main.add_command(show.show)
    done = CliRunner().invoke(main, ["show", *arguments])
    assert done.exit_code == 0, done.output
    return str(done.stdout)


def plain(text: str) -> str:
    """Words of a page."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def each(shown: Shown, *but: str) -> Iterator[tuple[str, Faces]]:
    """Every object but some."""
    return ((tag, one) for tag, one in shown.things.items() if tag not in but)


def test_the_command_prints_the_very_json_of_the_page(shown: Shown) -> None:
    """To the last field, and the card it writes is byte for byte the one that is printed from the page."""
    for tag, one in each(shown):
        assert one.line_json == one.look, tag
        assert one.printed, tag


def test_plan_number_and_short_id(shown: Shown) -> None:
    """On all four; an object that was planned again has its newest."""
    assert shown.things[KEPT].look["plan_no"] == shown.things[RELEASED].look["plan_no"] == 2
    for tag, one in each(shown):
        number, short = one.look["plan_no"], one.look["short_id"]
        assert f"Plan {number}, {short}, made " in plain(one.page), tag
        assert f"Plan {number}, {short}, made " in one.line, tag
        assert f"Plan {number} · {short} · " in one.card, tag
        assert one.card.startswith(f"{tag} ")


def test_hours_left_and_good_until(shown: Shown) -> None:
    """Said in the same words; under a stop no face names an hour."""
    told = 0
    for tag, one in each(shown, STOPPED):
        left = show.left_word(one.look["hours_left"])
        assert f"    {left}\n" in one.line, tag
        if one.look["clocks"]:
            assert one.look["clocks"][0]["left_h"] == one.look["hours_left"]
            assert f"<td>{left}</td>" in one.page, tag
        until = when.read(one.look["good_until"])
        said = when.hour(until, one.look["incident"]["zone"]) if until else ""
        told += bool(said)
        assert ("good until" in one.page, "good until" in one.line) == (bool(said), bool(said)), tag
        if said:
            assert f"good until {said}:" in plain(one.page), tag
            assert f"good until {said}:" in one.line, tag
        assert (f"Good until {said}." in one.card) == bool(said), tag
    assert told >= 2
    stop = shown.things[STOPPED]
    assert (stop.look["good_until"], stop.look["holding"]["lost_after"]) == (None, "")
    assert not any("ood until" in face for face in (stop.page, stop.line, stop.card))
    assert " h left" not in stop.line


def test_route_and_zone(shown: Shown) -> None:
    """Page, JSON and command; a card tells steps, and names no zone of its own."""
    assert len({one.look["zone"] for _tag, one in each(shown)}) > 2
    for tag, one in each(shown):
        route, zone = one.look["route_word"], one.look["zone_word"]
        assert route == things_words.route(one.look["route"])
        assert zone == things_words.zone(one.look["zone"])
        assert f"{route} {zone[0].upper()}{zone[1:]}" in plain(one.page), tag
        assert f"  {route} Zone: {zone}" in one.line, tag
        others = {"slow_dry", "mid_dry", "fast_dry", "still"} - {one.look["zone"]}
        assert not any(things_words.zone(other) in one.card for other in others), tag


def of_json(look: dict[str, Any]) -> Verdicts:
    """Verdicts by action and part."""
    return {(row["word"], row["part"]): row["verdict"] for group in look["groups"] for row in group["rows"]}


def of_page(page: str) -> Verdicts:
    """The same, read off the page."""
    groups = re.findall(
        r'<h3>[^<]*<span class="verdict (\w+)">([^<]*)</span></h3>\s*<dl class="thing-may">(.*?)</dl>',
        page,
        re.DOTALL,
    )
    found: Verdicts = {}
    for verdict, word, rows in groups:
        assert word == PAGE_WORDS[verdict]
        for action in re.findall(r"<dt>(.*?)</dt>", rows, re.DOTALL):
            told = re.fullmatch(
                r"(.*?)(?: \((.*) only\))?", plain(action).replace("( ", "(").replace(" )", ")")
            )
            assert told is not None
            found[told[1], told[2] or ""] = verdict
    return found


def of_line(line: str) -> Verdicts:
    """The same, read off the command's lines."""
    keys = {word: key for key, word in PAGE_WORDS.items()}
    rows = re.findall(
        r"^    ([A-Z][a-z ]*?)(?: \((.*) only\))? - (yes|carefully|ask first|no)\b", line, re.MULTILINE
    )
    return {(action, part): keys[word] for action, part, word in rows}


def test_every_verdict(shown: Shown) -> None:
    """Page, JSON and command say the same of every action and part; under a stop nothing at all."""
    for tag, one in each(shown):
        wanted = of_json(one.look)
        assert of_page(one.page) == wanted, tag
        assert of_line(one.line) == wanted, tag
        assert bool(wanted) == (tag != STOPPED)
        whole = {action: verdict for (action, part), verdict in wanted.items() if not part}
        assert whole == {wording.action(k): v for k, v in one.look["verdicts"].items()} or tag == STOPPED


def test_every_verdict_that_is_printed(shown: Shown) -> None:
    """What the card's table and lists say stands in its text, and is what the page says."""
    for tag, one in each(shown):
        wanted = of_json(one.look)
        for row in one.data["rows"]:
            part = row["part"].removesuffix(" only")
            asked = " ".join(filter(None, (f"{row['action']}:", row["part"], row["verdict"])))
            assert asked in one.card, tag
            assert row["key"] == wanted.get((row["action"], part), "refer"), (tag, row)
            assert row["verdict"] == CARD_WORDS[row["key"]]
        for name, verdict in OF_CARD.items():
            listed = one.data[name]
            assert not listed or f"{LABELS[name]} {listed}" in one.card, (tag, name)
            for action in re.sub(r" \(but see [^)]*\)", "", listed).split(", ") if listed else ():
                assert wanted.get((action, ""), "refer") == verdict, (tag, action)
    assert not shown.things[STOPPED].data["rows"]


def test_stops(shown: Shown) -> None:
    """As many on each face, each with its sentence, how far off, and whom to call."""
    for tag, one in each(shown):
        stops = one.look["stops"]
        assert len(stops) == (1 if tag == STOPPED else 0)
        assert one.page.count('<section class="stop"') == len(stops), tag
        assert one.line.count("  STOP: ") == len(stops), tag
        assert one.card.count("STOP ") == len(stops) == len(one.data["stops"]), tag
        for stop in stops:
            for face in (one.page, one.line, one.card):
                assert stop["say"] in face, tag
                assert f"Call: {stop['call']}" in face, tag
    one = shown.things[STOPPED]
    for face in (plain(one.page), one.line, one.card):
        assert f"release is recorded by: {one.look['waits_for']}." in face


def test_a_released_stop(shown: Shown) -> None:
    """None any more, and who lifted it in which words; the card guards where it stopped."""
    one = shown.things[RELEASED]
    assert [row["role"] for row in one.look["released"]] == ["licensed remover"]
    for face in (one.page, one.line):
        assert "licensed remover" in face
        assert "Taken out and packed." in face
        assert "stop released" in face
    guard = next(row["say"] for row in one.look["guards"] if row["released"])
    assert all(guard in face for face in (one.page, one.line, one.card))


def test_an_override_with_its_mark_and_reason(shown: Shown) -> None:
    """Rule, level, who and in which role, why: in all four, of this object and of no other."""
    one = shown.things[OVERRULED]
    (mark,) = one.look["overrides"]
    assert (mark["rule"], mark["level"], mark["reason"]) == ("act.lift.all", "object", REASON)
    assert mark["who"] == f"{lead_name(one)}, lead conservator"
    for face in (plain(one.page), one.line):
        assert f"act.lift.all (object): {mark['who']}. {REASON}" in face.replace("</b>", "")
    assert f"act.lift.all: object. {REASON} ({mark['who']})" in one.card
    for tag, other in each(shown, OVERRULED):
        assert not any(
            REASON in face for face in (other.page, json.dumps(other.look), other.line, other.card)
        ), tag


def lead_name(one: Faces) -> str:
    """What the lead is called."""
    return str(one.look["overrides"][0]["who"].rpartition(", ")[0])


def test_a_lot_and_what_was_merged(shown: Shown) -> None:
    """The lot's count on page, JSON and command; the tag that was merged leads to the other one."""
    lot = shown.things[LOT]
    assert lot.look["lot"] == {"name": "ink jars", "counted": 12}
    assert "ink jars (12)" in lot.page
    assert "lot: ink jars (12)" in lot.line
    assert MERGED not in shown.things
    assert shown.things[KEPT].look["tag"] == KEPT


def test_the_counts_of_the_incident_are_the_sums_over_its_objects(shown: Shown) -> None:
    """Page and JSON, and each object's own JSON added up."""
    rows = re.findall(r"<dt>([^<]*)</dt><dd>(\d+)</dd>", shown.now)
    told = {word: int(number) for word, number in rows}
    counts = shown.now_json["counts"]
    assert told == {
        "objects": counts["objects"], "stopped": counts["stopped"],
        "wait for the lead": counts["for_the_lead"],
        "no step left": counts["no_step_left"], "on the list": counts["listed"],
        "listed, not seen": counts["listed_not_seen"], "void papers about": counts["void_papers"],
        "searches open": counts["searches"],
    }  # fmt: skip
    looks = [one.look for one in shown.things.values()]
    assert counts["objects"] == len(looks) == len(ALL)
    assert counts["stopped"] == sum(look["stopped"] for look in looks) == 1
    assert counts["for_the_lead"] == sum(bool(look["asked_of_the_lead"]) for look in looks) > 0
    assert counts["no_step_left"] == sum(look["next"] is None for look in looks) == 1
    assert counts["void_papers"] == sum(look["void_papers"] for look in looks)
