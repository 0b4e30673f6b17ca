"""What pages say and leave out: under a stop, before rooms are recorded, of facts nobody spoke of."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client

from strandline.records.models.sites import Place
from strandline.services.end_step import end_step
from strandline.services.looks import things_plan, things_words
from strandline.services.merge import merge
from strandline.services.plan import plan
from strandline.things.facts import Part
from tests.records.cast import incident, lead
from tests.services.doing import CHEST, barometer, by, received
from tests.web.cast import PASSWORD, form, signed_in
from tests.web.taking_in_cast import LIST, LIST_IN, a_row, upload

pytestmark = pytest.mark.django_db
AT = "/ORNL1/things/0042/"


def chest(**more: Any) -> None:
    """The sea chest with its plan."""
    plan(by(), received("0042", **more))


def page(client: Client, address: str, status: int = 200) -> str:
    """A page as text."""
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def test_a_photograph_can_be_added_beside_the_step_and_later(client: Client) -> None:
    """Right in the frame while it is the next step, by the photographs afterwards; one field either way."""
    thing = received("0042")
    found = plan(by(), thing)
    signed_in(client, "helper")
    told = page(client, AT)
    assert told.count('name="photo"') == 1
    assert told.index('name="photo"') < told.index("If it must wait")
    end_step(by(), found, "photograph", "done")
    told = page(client, AT)
    assert told.count('name="photo"') == 1
    assert told.index('name="photo"') > told.index("<h2>Photographs</h2>")
    assert 'enctype="multipart/form-data"' in told
    answer = client.post(AT, form("photograph", is_of="the lock <side>"))
    assert answer.status_code == 422
    assert "choose a photograph" in answer.content.decode()
    assert "the lock &lt;side&gt;" in answer.content.decode()
    signed_in(client, "viewer")
    assert 'name="photo"' not in page(client, AT)


def test_what_was_taken_in_leads_to_the_thing(client: Client) -> None:
    """From its tag to its page."""
    chest()
    signed_in(client, "helper")
    taken = client.get(f"{AT}taken/")
    assert taken.status_code == 200
    assert re.search(rf'href="{AT}">\s*To 0042', taken.content.decode())


def test_under_a_stop_nothing_is_asked_and_advised(client: Client) -> None:
    """Whom to call, how far off and what to do meanwhile; no questions, guards, limits or hours."""
    plan(by(), barometer("0013"))
    signed_in(client, "lead")
    told = page(client, "/ORNL1/things/0013/")
    for kept in ("STOP", "Call: the fire service", "Step back", "Until then", "Where it goes"):
        assert kept in told
    for left_out in (
        "What was taken for granted", "Answer one of these", "Also mind", "thing-guards",
        "want different things", "<h2>Clocks</h2>", "Where sources differ", "Add a photograph",
    ):  # fmt: skip
        assert left_out not in told


def test_of_several_stops_the_farthest_distance_is_said_once() -> None:
    """Whoever keeps the largest distance keeps all of them."""
    stop = {"grade": "stop", "scope": "object", "say": "Stop."}
    rows = [{**stop, "key": "mercury", "keep_m": 5}, {**stop, "key": "flares", "keep_m": 50},
            {**stop, "key": "mains_lead"}]  # fmt: skip
    assert things_plan.hazards({"hazards": rows}, ())["keep_away_m"] == 50
    assert things_plan.hazards({"hazards": rows[2:]}, ())["keep_away_m"] is None
    assert things_plan.hazards({"hazards": rows}, {"flares"})["keep_away_m"] == 5


def test_receiving_the_rest_says_that_rows_count_as_found(client: Client) -> None:
    """Before the button is pressed, and on it."""
    a_row()
    signed_in(client, "lead")
    told = page(client, LIST)
    assert "counts as found" in told
    assert told.index("counts as found") < told.index("They are all here: receive")


def test_without_any_room_nobody_goes_in(client: Client) -> None:
    """Said until a room is there; a table is none."""
    incident()
    Place.objects.create(incident=incident(), kind="station", name="rinse table")
    signed_in(client, "helper")
    assert "No room is recorded yet, so nobody has released one" in page(client, "/ORNL1/")
    assert client.get("/ORNL1.json").json()["no_rooms"] is True
    Place.objects.create(incident=incident(), kind="room", name="long room")
    assert "No room is recorded yet" not in page(client, "/ORNL1/")
    assert client.get("/ORNL1.json").json()["no_rooms"] is False


def test_facts_nobody_spoke_of_are_not_said(client: Client) -> None:
    """Nothing noted is not a fact; what was said is."""
    chest()
    signed_in(client, "lead")
    facts = {one["key"]: one for one in client.get(f"{AT[:-1]}/working.json").json()["facts"]}
    for key in ("features", "done_already", "pieces"):
        assert (facts[key]["value"], facts[key]["known_word"]) == ("nothing noted", "")
    assert facts["water"]["value"] == "brackish"
    assert facts["water"]["known_word"] != ""


def test_the_first_page_counts_a_merged_thing_once(client: Client) -> None:
    """As many as the incident's own page."""
    one, other = received("0042"), received("0043")
    merge(by(lead()), one, other, "the lid belongs to it")
    signed_in(client, "lead")
    (told,) = client.get("/home.json").json()["incidents"]
    assert told["objects"] == client.get("/ORNL1.json").json()["counts"]["objects"] == 1


def test_one_percent_sign(client: Client) -> None:
    """As it is written."""
    signed_in(client, "lead")
    told = page(client, "/start/")
    assert "Air outside, % RH" in told
    assert "%%" not in told


def test_no_keys_on_the_pages_of_a_thing(client: Client) -> None:
    """Words in place of keys, and each question about a thickness names its part."""
    parts = (
        CHEST[0],
        replace(CHEST[1], thickness_mm=None, thickness_by="unknown"),
        Part("p3", "lock", "iron", "metal"),
    )
    chest(parts=parts, mass_g=40_000.0)
    signed_in(client, "lead")
    told = [page(client, at) for at in (AT, f"{AT}working/", f"{AT}why/")]
    for text in told:
        assert "Rh percent" not in text
        assert "rh percent" not in text
        assert "rh_percent [" not in text
        assert not re.search(r"Because of: [^<]*\btrue\b", text)
    assert re.search(r"Because of: [^<]*it weighs over \d+ kg", told[2])
    asked = [
        one for one in client.get(f"{AT[:-1]}.json").json()["assumed"] if one["fact"].startswith("thickness")
    ]
    assert asked
    for one in asked:
        assert f"{one['part_name'].capitalize()}: {one['ask']}" in told[0]
    heads = [one for one in re.findall(r"<h3>(.*?)</h3>", told[0]) if "verdict" in one]
    assert heads
    assert not any(re.search(r"</span>|^[^<]", one.removesuffix("</span>")) for one in heads)


@pytest.mark.parametrize(
    ("key", "word"),
    [("look_surface", "look at its surface"), ("note_done", "note what was done to it"), ("blot", "blot")],
)
def test_steps_have_words(key: str, word: str) -> None:
    """A few words of their own, the key's otherwise."""
    assert things_words.step(key) == word


def test_what_a_reason_rests_on_is_said() -> None:
    """Weights with their unit, and no bare yes."""
    assert things_words.weight("over 20000") == "it weighs over 20 kg"
    assert things_words.weight("unknown") == "its weight is not known"
    assert things_words.once_living("true") == "it is of plants or animals"
    assert things_words.longest("over 1500") == "it is over 1500 mm long"


def test_a_list_without_known_columns_names_no_option_of_the_command_line(client: Client) -> None:
    """Nothing can be typed there; the file can be sent again."""
    incident()
    signed_in(client, "helper")
    sent = {**form("send_list"), "file": upload("list.csv", b"red;blue\n1;2\n")}
    told = client.post(LIST_IN, sent).content.decode()
    assert "add a header row with names such as tag, title, materials, and send the file again." in told
    assert "--columns" not in told


@pytest.mark.parametrize("code", ["ABCD-EFGH", "abcd efgh", "abcdefgh", " ABCD - EFGH "])
def test_the_code_is_taken_as_people_type_it(client: Client, settings: object, code: str) -> None:
    """With a space or nothing in place of the hyphen; a weak password is told without a key before it."""
    settings.BEGIN_CODE = "ABCD-EFGH"  # type: ignore[attr-defined]  # pytest-django's settings
    assert "Name to sign in with" in page(client, "/begin/")
    sent = {"name": "lead conservator", "username": "lead", "password": "123", "code": code}
    weak = client.post("/begin/", sent)
    assert weak.status_code == 422
    assert "This password is too short" in weak.content.decode()
    assert "password: This" not in weak.content.decode()
    assert client.post("/begin/", {**sent, "password": PASSWORD}).status_code == 302


def test_an_empty_code_opens_nothing(client: Client, settings: object) -> None:
    """Nor one of signs alone, also where no code was printed."""
    sent = {"name": "lead conservator", "username": "lead", "password": PASSWORD, "code": "--"}
    for printed in ("", "ABCD-EFGH"):
        settings.BEGIN_CODE = printed  # type: ignore[attr-defined]  # pytest-django's settings
        assert client.post("/begin/", sent).status_code == 422


def test_a_page_that_says_no_leads_back_into_the_incident(client: Client) -> None:
    """Where the address lies in one that is there, for those who are signed in."""
    incident()
    assert "Back to ORNL1" not in client.get("/ORNL1/nowhere/", follow=True).content.decode()
    signed_in(client, "helper")
    assert 'href="/ORNL1/"' in page(client, "/ORNL1/things/9999/", 404)
    assert "Back to ORNL1" in page(client, "/ORNL1/nowhere/", 404)
    assert "Back to" not in page(client, "/NONE9/nowhere/", 404)
    assert "Back to" not in page(client, "/nowhere/", 404)
