"""Signing in, being slowed down, beginning a record, and what every answer carries."""

import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client

from strandline.records.models.people import Person
from strandline.web import signing
from tests.records.cast import incident, person
from tests.web.cast import PASSWORD, form, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nobody_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each test has its own count of wrong passwords."""
    monkeypatch.setattr(signing, "throttle", signing.Throttle())


def helper_with_password() -> Person:
    """A helper who signs in with PASSWORD."""
    found = person("helper")
    found.user = User.objects.create_user("helper3", password=PASSWORD)
    found.save()
    return found


def test_nothing_is_seen_without_signing_in(client: Client) -> None:
    """Pages lead to the sign-in, JSON says so, and no data leaves."""
    helper_with_password()
    incident()
    answer = client.get("/ORNL1/")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/sign-in/?next=/ORNL1/")
    answer = client.get("/ORNL1.json")
    assert answer.status_code == 401
    assert answer.json() == {"refused": "sign in first"}


def test_what_was_asked_for_is_not_lost(client: Client) -> None:
    """After signing in the page opens with its whole question."""
    helper_with_password()
    incident()
    answer = client.get("/ORNL1/find/?q=wet+rope&sort=a%26b")
    page = client.get(answer.headers["Location"])
    assert 'name="next" value="/ORNL1/find/?q=wet+rope&amp;sort=a%26b"' in page.content.decode()


def test_signing_in_leads_on_and_only_inside(client: Client) -> None:
    """The address asked for comes next, if it is one of ours."""
    helper_with_password()
    incident()
    sent = {"username": "helper3", "password": PASSWORD, "next": "/ORNL1/"}
    assert client.post("/sign-in/", sent).headers["Location"] == "/ORNL1/"
    away = client.post("/sign-in/", {**sent, "next": "http://elsewhere.example/"})
    assert away.headers["Location"] == "/"


def test_wrong_passwords_are_slowed_down(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five tries are free; then even the right password waits, longer each time."""
    helper_with_password()
    clock = [0.0]
    monkeypatch.setattr(signing, "throttle", signing.Throttle(lambda: clock[0]))
    for _ in range(5):
        answer = client.post("/sign-in/", {"username": "helper3", "password": "wrong"})
        assert answer.status_code == 403
    right = {"username": "helper3", "password": PASSWORD}
    answer = client.post("/sign-in/", right)
    assert answer.status_code == 429
    assert "Too many wrong tries" in answer.content.decode()
    clock[0] = 1.5
    assert client.post("/sign-in/", right).status_code == 302


def test_ones_own_password_is_no_way_around(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """A phone left lying guesses no faster; it counts with signing in, and the wait ends."""
    who = helper_with_password()
    clock = [0.0]
    monkeypatch.setattr(signing, "throttle", signing.Throttle(lambda: clock[0]))
    assert who.user is not None
    client.force_login(who.user)
    new = "a fine new rope"

    def tried(old: str) -> int:
        return client.post("/me/", form("own_password", old=old, new=new)).status_code

    assert [tried(f"guess {number}") for number in range(5)] == [409] * 5
    answer = client.post("/me/", form("own_password", old=PASSWORD, new=new))
    assert answer.status_code == 429
    assert "Too many wrong tries" in answer.content.decode()
    elsewhere = Client(REMOTE_ADDR="192.0.2.7")
    sent = {"username": "HELPER3", "password": PASSWORD}
    assert elsewhere.post("/sign-in/", sent).status_code == 429
    clock[0] = 1.5
    assert tried(PASSWORD) == 302
    assert tried("guess 5") == 409
    assert User.objects.get(username="helper3").check_password(new)


def test_who_has_left_is_out_at_once(client: Client) -> None:
    """A session ends with the work."""
    who = signed_in(client, "helper")
    assert client.get("/").status_code == 200
    Person.objects.filter(pk=who.pk).update(active=False)
    assert client.get("/").status_code == 302
    assert client.get("/home.json").status_code == 401


def test_the_first_lead_needs_the_printed_code(client: Client, settings: object) -> None:
    """Nobody on the network can take a new record; who reads the window can, once."""
    settings.BEGIN_CODE = "ABCD-EFGH"  # type: ignore[attr-defined]  # pytest-django's settings
    assert client.get("/sign-in/").headers["Location"] == "/begin/"
    sent = {"name": "lead conservator", "username": "lead", "password": PASSWORD, "code": "WRONG"}
    assert client.post("/begin/", sent).status_code == 422
    assert not Person.objects.exists()
    weak = client.post("/begin/", {**sent, "code": "abcd-efgh", "password": "123"})
    assert "password" in weak.content.decode()
    assert client.post("/begin/", {**sent, "code": "abcd-efgh"}).status_code == 302
    assert client.get("/").status_code == 200
    assert client.post("/begin/", {**sent, "code": "abcd-efgh"}).status_code == 403


def test_every_answer_has_the_policy(client: Client) -> None:
    """Nothing from elsewhere, nothing inline, nothing kept by caches."""
    signed_in(client, "lead")
    answer = client.get("/")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["X-Frame-Options"] == "DENY"
    text = answer.content.decode()
    assert " style=" not in text
    assert "<script>" not in text


def test_a_form_needs_its_token() -> None:
    """Without it nothing is done, and a sentence says what to do."""
    client = Client(enforce_csrf_checks=True)
    signed_in(client, "lead")
    answer = client.post(
        "/people/", {"do": "add_person", "key": str(uuid.uuid4()), "name": "x", "role": "helper"}
    )
    assert answer.status_code == 403
    assert "load the page again" in answer.content.decode()
    assert Person.objects.count() == 1


def test_another_host_is_refused(client: Client) -> None:
    """A page asked for under a name that is not ours."""
    signed_in(client, "lead")
    assert client.get("/", headers={"host": "evil.example"}).status_code == 400


def test_a_form_from_another_place_is_refused() -> None:
    """The browser says where a form comes from; only ours are taken, token or not."""
    client = Client(enforce_csrf_checks=True)
    helper_with_password()
    client.get("/sign-in/")
    token = client.cookies["strandline_csrf"].value
    sent = {"username": "helper3", "password": PASSWORD, "csrfmiddlewaretoken": token}
    away = client.post("/sign-in/", sent, headers={"origin": "http://evil.example"})
    assert away.status_code == 403
    assert client.post("/sign-in/", sent, headers={"origin": "http://testserver"}).status_code == 302
