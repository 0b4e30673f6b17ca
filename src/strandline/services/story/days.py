"""The first day and the second morning: what comes in, what is done, and what turns out otherwise."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from strandline.records.models.objects import ListRow, Object
from strandline.records.models.plans import HazardRelease, PlanSnapshot
from strandline.records.photos import keep
from strandline.services import clock
from strandline.services.answer import answer_many
from strandline.services.came_off import came_off
from strandline.services.claim_row import claim_row
from strandline.services.count_tray import count_tray
from strandline.services.drawn import draw
from strandline.services.find_parent import find_parent
from strandline.services.make_lot import make_lot
from strandline.services.make_tray import make_tray
from strandline.services.merge import merge
from strandline.services.move import move
from strandline.services.note_hours import note_hours
from strandline.services.observe import observe
from strandline.services.open_batch import open_batch
from strandline.services.override import override
from strandline.services.photograph import photograph
from strandline.services.plan import newest
from strandline.services.print_paper import print_paper
from strandline.services.put_on_tray import next_of, put_on_tray
from strandline.services.receive_rows import receive_rows
from strandline.services.release_hazard import release_hazard
from strandline.services.story.finds import FOUND_BESIDES, NOT_SEEN, found_besides
from strandline.services.story.telling import Story

LEAD, ASSISTANT = "lead conservator", "assistant conservator"
RINSED = ("0020", "0021", "0031", "0096", "0098", "0016", "0119", "0128", "0103", "0070")
WITH_PHOTOGRAPH = 44
"""So many things have a drawn photograph; one more would show nothing new."""
EACH_MINUTES = 1.7
"""Minutes between two things at the intake table on the first afternoon."""
Say = Callable[[int, int], None]


def intake(story: Story, photos: Path, say: Say) -> None:
    """Things come up the hill and are taken in against the list, until dark and again from seven."""
    rows = ListRow.objects.filter(incident=story.incident).order_by("row")
    coming = [row for row in rows if row.cells.get("tag") not in NOT_SEEN]
    for number, row in enumerate(coming):
        story.at(_hour(number, len(coming)))
        who = f"helper {number % 5 + 1}"
        for thing in receive_rows(story.by(who, "intake phone"), story.incident, [row], True):
            if number < WITH_PHOTOGRAPH:
                picture(story, photos, thing, who, number)
            story.plan(who, thing, "intake phone")
            story.do_next(who, thing, 2, "intake phone")
        say(number + 1, len(coming))
    for tag, title, materials, features in FOUND_BESIDES:
        thing = found_besides(story, tag, title, materials, features)
        story.plan("helper 2", thing, "intake phone")


def _hour(number: int, of: int) -> str:
    """Until twenty past seven on the first day, the rest from seven on the second."""
    first = int(of * 0.8)
    minutes = 16 * 60 + 35 + number * EACH_MINUTES if number < first else 7 * 60 + (number - first) * 1.5
    day = 15 if number < first else 16
    return f"2026-03-{day} {int(minutes // 60):02d}:{int(minutes % 60):02d}"


def picture(story: Story, photos: Path, thing: Object, who: str, seed: int) -> None:
    """A drawn photograph of a thing."""
    kept = keep(photos, draw(thing.title or thing.materials, thing.tag, thing.materials, seed), clock.now())
    photograph(story.by(who, "intake phone"), story.incident, kept, thing=thing, is_of="as it came in")


def evening(story: Story) -> None:
    """Rinsing and draining, a lot, trays, and the first papers."""
    story.at("2026-03-15 19:30")
    for number, tag in enumerate(RINSED):
        thing = story.thing(tag)
        story.do_next(f"helper {number % 3 + 1}", thing, 6)
        move(story.by("helper 4", "rinse phone"), thing, story.places["Drying shelf A"])
    lot = story.thing("0022")
    make_lot(story.by("helper 1", "intake phone"), lot, 6, "stoneware ink jars")
    for tag in ("0001", "0042", "0102", "0103", "0020", "0043", "0129"):
        found = newest(story.thing(tag))
        if found is not None:
            print_paper(story.by(LEAD), found, "care_card")
    for number in range(1, 6):
        who = story.people[f"helper {number}"]
        note_hours(story.by(LEAD), story.incident, who, 210, clock.now(), "first day")


def trays(story: Story) -> None:
    """Like things are handed out by tray; one tray comes back one short and a search begins."""
    story.at("2026-03-16 07:40")
    groups: dict[tuple[str, frozenset[str]], list[Object]] = {}
    for thing in Object.objects.filter(incident=story.incident, stops=0, plan__isnull=False).order_by("tag"):
        if thing.next_step and thing.next_role == "helper" and thing.lot_id is None:
            following = next_of(thing)
            groups.setdefault((following.step, following.rules), []).append(thing)
    largest = sorted(groups.values(), key=lambda one: (-len(one), one[0].tag))[:3]
    for number, things in enumerate(largest, start=1):
        tray = make_tray(story.by("helper 3"), story.incident, f"Tray {number}", story.places["Rinse basins"])
        put_on_tray(story.by("helper 3"), tray, things[:8])
        short = 1 if number == 2 else 0
        on_it = len(things[:8])
        count_tray(
            story.by("helper 3"), tray, on_it - short, [things[0].tag] if short else [],
            "not where it was put down" if short else "",
        )  # fmt: skip


def fragments(story: Story) -> None:
    """Things come off; three strays out of water and mud find their parents again."""
    story.at("2026-03-15 19:50")
    floor = story.places["Net Floor"]
    mud = open_batch(story.by("helper 4"), story.incident, "room_square", "Net Floor, square B2", floor)
    water = open_batch(story.by("helper 4"), story.incident, "rinse_water", "Basin 1, first evening")
    came_off(story.by("helper 2"), story.incident, "left hand, carved", thing=story.thing("0001"))
    came_off(story.by("helper 2"), story.incident, "two sherds", thing=story.thing("0023"))
    strays = [
        came_off(story.by("helper 4"), story.incident, "flake of gilded wood, letter-like", batch=mud),
        came_off(story.by("helper 4"), story.incident, "small brass hinge pin", batch=water),
        came_off(story.by("helper 4"), story.incident, "pine strip with blue paint", batch=mud),
        came_off(story.by("helper 4"), story.incident, "sliver of dark wood, not known", batch=mud),
    ]
    story.at("2026-03-16 07:20")
    for stray, tag in zip(strays, ("0102", "0094", "0041"), strict=False):
        find_parent(story.by(ASSISTANT), stray, story.thing(tag))


def turns(story: Story) -> None:
    """What changes plans: loose paint seen after the rinse, a rule overruled, a stop released, answers."""
    story.at("2026-03-15 20:05")
    board = story.thing("0103")
    seen = story.last(board, "features")
    caller = story.by("helper 3", "rinse phone")
    observe(caller, board, "features", ["flaking_paint", "painted"], "seen", seen)
    story.plan("helper 3", board, "rinse phone")
    story.at("2026-03-15 20:20")
    radio = story.thing("0060")
    if not HazardRelease.objects.filter(object=radio).exists():
        stop = next(one["key"] for one in _plan(radio).result["hazards"] if one["grade"] == "stop")
        release_hazard(
            story.by(LEAD), radio, stop, "electrician", "Plug cut off and flex pulled out; the set is dead."
        )
        story.plan(LEAD, radio)
    story.at("2026-03-15 20:30")
    overrule(story, story.thing("0043"))
    story.at("2026-03-16 07:30")
    waiting = Object.objects.filter(incident=story.incident, refers__gt=0).order_by("tag")
    chosen = [one for one in waiting if _plan(one).result["actions"]["lift"]["verdict"] == "refer"][:8]
    said = answer_many(
        story.by(LEAD), chosen, "lift", "careful", "Two people and a board under it.",
        "Looked at on Monday morning: these hold together and two can carry them.",
    )  # fmt: skip
    for tag, _ in said.answered:
        story.plan(LEAD, story.thing(tag))


def overrule(story: Story, thing: Object) -> None:
    """The lead overrules the one rule that makes an action careful, with a reason."""
    for action in ("turn", "drip_dry", "moving_air", "cover", "support"):
        verdict = _plan(thing).result["actions"][action]
        sole = [one["rule"] for one in verdict["because"] if one["verdict"] == verdict["verdict"]]
        if verdict["verdict"] == "careful" and len(sole) == 1:
            override(
                story.by(LEAD), sole[0], {"verdict": "yes"},
                "Bare beech, scrubbed every spring for a century: it bears this.", thing,
            )  # fmt: skip
            story.plan(LEAD, thing)
            return
    raise LookupError(f"{thing.tag} has no rule to overrule")


def _plan(thing: Object) -> PlanSnapshot:
    found = newest(thing)
    if found is None:
        raise LookupError(f"{thing.tag} has no plan yet")
    return found


def lids(story: Story) -> None:
    """Two tags turn out to be one thing, and one row to be two."""
    story.at("2026-03-16 07:50")
    merge(
        story.by(ASSISTANT),
        story.thing("0056"),
        story.thing("0057"),
        "The printed lid closes the biscuit box exactly.",
    )
    story.plan(ASSISTANT, story.thing("0056"))
    mallet = story.thing("0078")
    row = ListRow.objects.get(incident=story.incident, claims__object=mallet)
    claim_row(story.by(ASSISTANT), story.thing(FOUND_BESIDES[0][0]), row)


SCENES: tuple[Callable[[Story], None], ...] = (evening, fragments, turns, lids, trays)
"""After the intake, in the order of their hours (a scene may go back: its acts say when)."""
