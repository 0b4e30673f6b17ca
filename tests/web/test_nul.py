"""A NUL in an address, a query, a cookie or a form is refused, on either engine and before signing in.

PostgreSQL keeps no NUL in a text, SQLite does: what the one would stumble over neither gets to see.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object
from strandline.records.models.sites import Incident
from strandline.web.guard import POLICY
from tests.services.doing import received
from tests.web.cast import form, signed_in, with_log_in
from tests.web.taking_in_cast import LIST_IN, TAKE_IN, flooded, intake, jpeg, upload

pytestmark = pytest.mark.django_db
WHY = "holds a character that no keyboard makes"

ADDRESSES = (
    "/ORNL1/find/?q=a%00b", "/ORNL1/find.json?q=a%00b", "/ORNL1/find.json?%00=a", "/%00/",
    "/ORNL1/things/1%00/", "/ORNL1/things/1%00.json", "/ORNL1/list/?owner=%00&for=x",
    "/ORNL1/list/?for=x&for=%00", "/ORNL1/order/?room=%00", "/sign-in/?next=/%00",
    "/static/%00.css", "/admin/records/act/?q=%00",
)  # fmt: skip

FORMS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("/sign-in/", {"username": "le\x00ad", "password": "x"}),
    ("/sign-in/", {"username": "lead", "password": "x\x00"}),
    (
        "/ORNL1/referrals/",
        form("answer", tag=["0001", "00\x0042"], action="rinse", verdict="yes", reason="so"),
    ),
    ("/ORNL1/site/", form("change_incident", water=["river", "\x00"])),
    ("/ORNL1/tags/", form("split", tag="0001", new_tag="0900", parts=["\x00"], title="x", reason="two")),
    ("/start/", form("open_incident", code="AB1", name="x\x00", zone="Europe/London", site_name="y")),
    ("/people/", form("add_person", name="helper 4", role="helper", **{"no\x00": "x"})),
)


@pytest.mark.parametrize("inside", [True, False], ids=["signed in", "outside"])
@pytest.mark.parametrize("address", ADDRESSES)
def test_an_address(client: Client, address: str, inside: bool) -> None:
    """Refused with its sentence, as JSON where JSON was asked for, under the policy of every answer."""
    received()
    with_log_in("lead")
    if inside:
        signed_in(client, "lead")
    answer = client.get(address)
    assert answer.status_code == 400
    assert WHY in answer.content.decode()
    assert answer.headers["Content-Security-Policy"] == POLICY
    as_json = address.partition("?")[0].endswith(".json")
    assert answer.headers["Content-Type"].startswith("application/json" if as_json else "text/html")


@pytest.mark.parametrize("as_file", [True, False], ids=["multipart", "urlencoded"])
@pytest.mark.parametrize(("address", "fields"), FORMS)
def test_a_form(client: Client, address: str, fields: dict[str, Any], as_file: bool) -> None:
    """In any value of any field, and in the name of one: nothing is made, not even a refusal in the log."""
    received()
    signed_in(client, "lead")
    before = Act.objects.count()
    if as_file:
        answer = client.post(address, fields)
    else:
        body = "&".join(
            f"{name}={value}".replace("\x00", "%00")
            for name, values in fields.items()
            for value in (values if isinstance(values, list) else [values])
        )
        answer = client.post(address, body, content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 400
    assert WHY in answer.content.decode()
    assert (Act.objects.count(), Refusal.objects.count()) == (before, 0)


@pytest.mark.parametrize("name", ["strandline_session", "strandline_csrf"])
def test_a_cookie(client: Client, name: str) -> None:
    """Quoted as cookies may be."""
    with_log_in("lead")
    answer = client.get("/", headers={"cookie": f'{name}="abcdefgh\\000abcdefgh"'})
    assert answer.status_code == 400


def test_a_file_may_hold_one(client: Client) -> None:
    """A photograph is made of them; only its name is text."""
    flooded()
    signed_in(client, "helper")
    assert b"\x00" in jpeg()
    assert client.post(TAKE_IN, intake(photo=upload("a.jpg", jpeg()))).status_code == 302
    assert Object.objects.count() == 1


@pytest.mark.parametrize(
    "zone",
    [
        "../../etc/passwd",
        "/etc/localtime",
        "Europe",
        "A" * 60,
        "A" * 300,
        "Nowhere/Here",
        "posix/",
        ".",
        "\x01",
    ],
)
def test_a_zone_there_is_not(client: Client, zone: str) -> None:
    """The form comes back with its sentence."""
    signed_in(client, "lead")
    sent = form("open_incident", code="AB1", name="High water", zone=zone, site_name="The loft")
    assert client.post("/start/", sent).status_code == 422
    assert not Incident.objects.exists()


def test_the_name_of_a_file_is_only_words(client: Client) -> None:
    """Shown as it is written, never as part of the page."""
    flooded()
    tag = received().tag
    signed_in(client, "helper")
    photo = upload("<script>alert(1)<b>.jpg", b"<html></html>", "image/jpeg")
    listed = upload("<script>alert(1)<b>.json", b'{"a": 1}', "application/json")
    for address, sent, shown in (
        (
            f"/ORNL1/things/{tag}/",
            {**form("photograph"), "photo": photo},
            "&lt;script&gt;alert(1)&lt;b&gt;.jpg",
        ),
        (LIST_IN, {**form("send_list"), "file": listed}, "_script_alert_1__b_.json"),
    ):
        answer = client.post(address, sent)
        text = answer.content.decode()
        assert answer.status_code == 422
        assert "<script>alert" not in text
        assert shown in text
