"""A form for every deed there is: where it is sent, what stands in it, which kinds of acts it writes."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.urls import reverse

from strandline.records.models.objects import Batch, Fragment, Object, Tray, TrayCount
from strandline.records.models.plans import KnowledgeVersion
from strandline.services.add_party import add_party
from strandline.services.came_off import came_off
from strandline.services.count_tray import count_tray
from strandline.services.looks.table import LOOKS
from strandline.services.looks.taking_in_upload import keep_list
from strandline.services.make_lot import make_lot
from strandline.services.make_tray import make_tray
from strandline.services.observe import observe
from strandline.services.open_batch import open_batch
from strandline.services.override import override
from strandline.services.plan import newest, plan
from strandline.services.print_paper import print_paper
from strandline.services.put_on_tray import put_on_tray
from tests.records.cast import incident, lead
from tests.services.doing import barometer, by, received
from tests.web.cast import PASSWORD, with_log_in
from tests.web.taking_in_cast import CSV, a_room, a_row, flooded, jpeg, upload

Fields = dict[str, Any]
Name = tuple[str, str]
ROLES = ("lead", "conservator", "helper", "viewer")
SAID = "Said so at the door."


@dataclass(frozen=True, slots=True)
class Case:
    """``fields`` makes what the form holds, and first what has to be there for it.

    ``kinds`` are those of the acts that one form writes.  ``of`` is what the address names besides the
    incident.  ``files`` are sent as files: name of the field, of the file, bytes.
    """

    kinds: tuple[str, ...]
    fields: Callable[[], Fields]
    of: Mapping[str, Callable[[], str]] = field(default_factory=dict)
    files: tuple[tuple[str, str, bytes], ...] = ()


def at(page: str, case: Case, code: str = "ORNL1") -> str:
    """The address of the page, in an incident where it has one."""
    named = {key: make() for key, make in case.of.items()}
    return reverse(page, kwargs={"code": code, **named} if "<code:code>" in LOOKS[page].route else named)


def sent(do: str, case: Case, fields: Fields, key: str) -> Fields:
    """The form as it goes out, its files anew each time."""
    files = {name: upload(file, data) for name, file, data in case.files}
    return {"do": do, "key": key, **fields, **files}


def chest(tag: str = "0042") -> Object:
    """A chest with its first plan, always the same one."""
    found = Object.objects.filter(tag=tag).first()
    if found is None:
        found = received(tag)
        plan(by(), found)
    return found


def stopped() -> str:
    """Tag of a thing that is stopped."""
    if not Object.objects.filter(tag="0013").exists():
        plan(by(), barometer())
    return "0013"


def tray() -> Tray:
    """A tray with the chest on it, always the same one."""
    found = Tray.objects.first()
    if found is None:
        found = make_tray(by(), incident(), "Tray 1")
        put_on_tray(by(), found, [chest()])
    return found


def other(tag: str = "0043") -> str:
    """Tag of another chest."""
    return chest(tag).tag


def empty() -> Fields:
    """A form without fields."""
    return {}


def room() -> str:
    """Uid of a room."""
    return str(a_room().uid)


def an_owner() -> str:
    """Uid of an owner of the incident."""
    return str(add_party(by(), incident(), "lender B", "lender").uid)


def step() -> Fields:
    """The next step of the chest."""
    made = newest(chest())
    assert made is not None
    return {"plan": str(made.uid), "step": "photograph", "end": "done"}


def short() -> Fields:
    """A search that is open."""
    count_tray(by(), tray(), 0, ["0042"], "")
    return {"count": str(TrayCount.objects.get().uid), "note": "Under the towel."}


def a_stray() -> Fields:
    """A fragment without its object."""
    chest()
    came_off(by(), incident(), "a pin", None, None, None)
    return {"fragment": str(Fragment.objects.get().uid), "tag": "0042"}


def a_batch() -> Fields:
    """Rinse water, collected."""
    open_batch(by(), incident(), "rinse_water", "Basin 1", None)
    return {"batch": str(Batch.objects.get().uid)}


def a_lot() -> Fields:
    """A lot of three."""
    make_lot(by(), chest(), 3, "ink jars")
    return {"tag": "0042", "tags": "0050", "counted_left": "2"}


def overruled() -> Fields:
    """Something overruled for the whole incident, and the chest's plan older than that."""
    chest()
    made = override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", incident())
    return {"override": str(made.uid), "reason": "the stair is dry again"}


def by_older_rules() -> Fields:
    """The chest's plan was made by an engine of long ago."""
    chest()
    KnowledgeVersion.objects.update(engine_version="0.0.1")
    return {}


def a_void_paper() -> Fields:
    """A card that was printed of a plan that has changed."""
    made = newest(chest())
    assert made is not None
    row = print_paper(by(), made, "care_card")
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", chest())
    observe(by(), chest(), "wet_state", "dry_with_mud", "seen", None)
    plan(by(), chest())
    row.refresh_from_db()
    assert row.void_at is not None
    return {"paper": str(row.uid)}


def answered() -> Fields:
    """The lead's answer to what the chest's plan refers."""
    made = newest(chest())
    assert made is not None
    asked = [key for key, one in made.result["actions"].items() if one["verdict"] == "refer"]
    return {"tag": ["0042"], "action": asked[0], "verdict": "no", "how": "Leave it.", "reason": "seen by us"}


def who(role: str) -> str:
    """Uid of somebody with a log-in."""
    return str(with_log_in(role).uid)


def password() -> Fields:
    """A lead who changes the password that is theirs."""
    user = with_log_in("lead").user
    assert user is not None
    user.set_password(PASSWORD)
    user.save()
    return {"old": PASSWORD, "new": "another tide table"}


def listed() -> Fields:
    """A list that was sent."""
    return {"list": keep_list("list.csv", CSV)}


THING: Mapping[str, Callable[[], str]] = {"tag": lambda: chest().tag}
TRAY: Mapping[str, Callable[[], str]] = {"uid": lambda: str(tray().uid)}
PHOTO = (("photo", "photo.jpg", jpeg()),)
WHOLE = {"wet_state": "unknown", "pieces": "2"}

CASES: dict[Name, Case] = {
    ("start", "open_incident"): Case(
        ("open_incident",),
        lambda: {"code": "NEWX1", "name": "Burst main", "zone": "UTC", "site_name": "Spit"}
    ),
    ("site", "change_incident"): Case(("change_incident",), lambda: {"water": ["sea"], "air_c": "4"}),
    ("site", "crew"): Case(("set_crew",), lambda: {"day": "2", "helpers": "3"}),
    ("site", "add_place"): Case(("add_place",), lambda: {"kind": "room", "name": "sail loft"}),
    ("site", "release_room"): Case(
        ("release_room",), lambda: {"place": room(), "about": "gas", "role": "fire officer", "said": SAID}
    ),
    ("site", "add_party"): Case(("add_party",), lambda: {"name": "lender B", "role": "lender"}),
    ("site", "give_authority"): Case(
        ("give_authority",),
        lambda: {"party": an_owner(), "given": "verbal", "scope": "plan", "said": "Go on."},
    ),
    ("site", "note_reading"): Case(
        ("note_reading",), lambda: {"place": room(), "air_c": "11", "rh_percent": "95"}
    ),
    ("people", "add_person"): Case(
        ("add_person",), lambda: {"name": "helper 9", "role": "helper", "username": "helper9"}
    ),
    ("people", "change_person"): Case(
        ("change_person",), lambda: {"person": who("helper"), "role": "viewer", "active": "yes"}
    ),
    ("people", "new_password"): Case(("change_person",), lambda: {"person": who("helper")}),
    ("me", "own_password"): Case(("own_password",), password),
    ("hours", "note_hours"): Case(("note_hours",), lambda: {"person": who("helper"), "minutes": "45"}),
    ("walk", "note_walk"): Case(("note_walk",), lambda: {"room": room(), "none": "1"}),
    ("take_in", "take_in"): Case(
        ("receive", "photograph", "plan", "end_step", "claim_row", "add_party"),
        lambda: {
            "none": "1", "tag": "", "material": ["wood"], "state": "",
            "row": str(a_row(owner="lender C").uid),
        },
        files=PHOTO,
    ),
    ("taken", "photograph"): Case(("photograph",), empty, THING, PHOTO),
    ("taken", "claim_row"): Case(("claim_row",), lambda: {"row": str(a_row().uid)}, THING),
    ("list_in", "send_list"): Case((), empty, files=(("file", "list.csv", CSV),)),
    ("list_in", "take_rows_in"): Case(("import_list",), listed),
    ("list_found", "claim_row"): Case(
        ("claim_row",), lambda: {"tag": chest().tag, "row": str(a_row().uid)}
    ),
    ("list_found", "receive_rest"): Case(
        ("receive", "claim_row", "plan"),
        lambda: {"list": a_row().list_sha256, "first": "1", "last": "9"},
    ),
    ("thing", "end_step"): Case(("end_step",), step, THING),
    ("thing", "move"): Case(("move",), lambda: {"to": room()}, THING),
    ("thing", "plan"): Case(("plan",), empty, THING),
    ("thing", "photograph"): Case(("photograph",), empty, THING, PHOTO),
    ("look_over", "answer"): Case(
        ("observe", "plan"), lambda: {"fact": "mass_g", "answer": "", "typed": "12"}, THING
    ),
    ("look_over", "look_part"): Case(
        ("observe_part", "plan"), lambda: {"part": "p2", "thickness_mm": "3"}, THING
    ),
    ("look_over", "add_part"): Case(
        ("add_part", "plan"), lambda: {"name": "hasp", "new_material": "iron"}, THING
    ),
    ("look_over", "look_whole"): Case(("observe", "plan"), lambda: dict(WHOLE), THING),
    ("overrule", "override"): Case(
        ("override", "plan"),
        lambda: {
            "target": ["act.lift.all"], "kind": "action", "verdict": "careful", "how": "Two people.",
            "level": "object", "reason": "the stair is wet", "about": "lift",
        },
        THING,
    ),
    ("overrule", "release"): Case(
        ("release_hazard", "plan"),
        lambda: {"hazard": "mercury", "role": "licensed remover", "said": SAID},
        {"tag": stopped},
    ),
    ("overrides", "withdraw"): Case(("withdraw_override", "plan"), overruled),
    ("overrides", "follow"): Case(("plan",), overruled),
    ("overrides", "accept"): Case(("plan",), by_older_rules),
    ("trays", "make_tray"): Case(
        ("make_tray", "put_on_tray"), lambda: {"name": "Tray 7", "tags": f"{other()} {other('0044')}"}
    ),
    ("trays", "settle_count"): Case(("settle_count",), short),
    ("tray", "put_on_tray"): Case(("put_on_tray",), lambda: {"tags": other()}, TRAY),
    ("tray", "take_off_tray"): Case(("take_off_tray",), lambda: {"tags": "0042"}, TRAY),
    ("tray", "end_tray_step"): Case(
        ("end_tray_step", "end_step"), lambda: {"step": "photograph", "end": "done"}, TRAY
    ),
    ("tray", "count_tray"): Case(("count_tray",), lambda: {"counted": "1"}, TRAY),
    ("scribe", "record_for"): Case(
        ("record_for", "end_step"),
        lambda: {"who-0": who("helper"), "tags-0": chest().tag, "end-0": "done", "because-0": "no_time"},
    ),
    ("fragments", "came_off"): Case(("came_off",), lambda: {"title": "a hand", "tag": chest().tag}),
    ("fragments", "find_parent"): Case(("find_parent",), a_stray),
    ("fragments", "open_batch"): Case(("open_batch",), lambda: {"kind": "rinse_water", "name": "Basin 1"}),
    ("fragments", "close_batch"): Case(("close_batch",), a_batch),
    ("lots", "make_lot"): Case(
        ("make_lot",), lambda: {"tag": chest().tag, "counted": "3", "name": "ink jars"}
    ),
    ("lots", "split_lot"): Case(("split_lot", "plan"), a_lot),
    ("merge", "merge"): Case(
        ("merge", "plan"), lambda: {"kept": chest().tag, "other": other(), "reason": "The lid fits the box."}
    ),
    ("merge", "split"): Case(
        ("split", "plan"),
        lambda: {
            "tag": chest().tag, "new_tag": "0058", "parts": ["p2"], "title": "iron bands",
            "reason": "They lay apart.",
        },
    ),
    ("referrals", "answer"): Case(("answer", "plan"), answered),
    ("papers", "print"): Case(
        ("print_paper",), lambda: {"paper": "care_card", "for": "tags", "tags": chest().tag}
    ),
    ("papers", "strike_out"): Case(("strike_out",), a_void_paper),
}  # fmt: skip


def ready(name: Name) -> tuple[Case, Fields, str]:
    """The case with everything there that it needs: also its fields and its address."""
    flooded()
    for role in ROLES:
        with_log_in(role)
    case = CASES[name]
    fields = case.fields()
    return case, fields, at(name[0], case)


def new_key() -> str:
    """A key that no act has."""
    return str(uuid.uuid4())
