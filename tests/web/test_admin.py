"""The admin: a lead reads every table there, changes log-ins only; nobody else gets in or signs in."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.test import Client, RequestFactory

from strandline.records.models.acts import Act
from strandline.records.models.people import Person
from tests.services.doing import received
from tests.web.cast import PASSWORD, signed_in, with_log_in

pytestmark = pytest.mark.django_db
MODELS = [model._meta.model_name for model in apps.get_app_config("records").get_models()]


def test_a_lead_reads_every_table(client: Client) -> None:
    """Each list opens; none of them can be added to."""
    thing = received()
    signed_in(client, "lead")
    for name in MODELS:
        assert client.get(f"/admin/records/{name}/").status_code == 200, name
        assert client.get(f"/admin/records/{name}/add/").status_code == 403, name
    assert client.get(f"/admin/records/object/{thing.pk}/change/").status_code == 200


def test_nobody_writes_there(client: Client) -> None:
    """Neither changes nor deletes a row, also a lead."""
    thing = received()
    act = Act.objects.get()
    signed_in(client, "lead")
    for page in (f"object/{thing.pk}/change", f"object/{thing.pk}/delete", f"act/{act.pk}/change"):
        assert client.post(f"/admin/records/{page}/", {"title": "gone", "post": "yes"}).status_code == 403
    thing.refresh_from_db()
    assert thing.title == "Sea chest"


def test_a_log_in_can_be_shut_out(client: Client) -> None:
    """Somebody else's, not one's own; and nobody is made there."""
    lead = signed_in(client, "lead")
    other = with_log_in("helper").user
    assert other is not None
    assert lead.user is not None
    assert client.post(f"/admin/auth/user/{other.pk}/change/", {}).status_code == 302
    assert not User.objects.get(pk=other.pk).is_active
    assert client.post(f"/admin/auth/user/{lead.user.pk}/change/", {}).status_code == 403
    assert client.get("/admin/auth/user/add/").status_code == 403
    assert Person.objects.count() == 2


@pytest.mark.parametrize("role", ["conservator", "helper", "viewer"])
def test_others_stay_outside(client: Client, role: str) -> None:
    """Each table is refused to them, and so is every other address below."""
    who = signed_in(client, role)
    assert who.user is not None
    for page in ("", "records/object/", "auth/user/", "login/", "password_change/", "jsi18n/", "nothing/"):
        answer = client.get(f"/admin/{page}")
        assert answer.status_code == 403, page
        assert "Only a lead looks at these tables." in answer.content.decode()
    # Also with what only a lead's log-in says of itself.
    User.objects.filter(pk=who.user.pk).update(is_staff=True)
    assert client.get("/admin/records/object/").status_code == 403


@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer", None])
def test_there_is_no_second_sign_in(client: Client, role: str | None) -> None:
    """Nobody signs in there, with the right password neither: the pages' own sign-in is slowed down."""
    lead = with_log_in("lead").user
    assert lead is not None
    lead.set_password(PASSWORD)
    lead.save()
    if role is not None:
        signed_in(client, role)
    before = client.session.get("_auth_user_id")
    answer = client.post("/admin/login/?next=/people/", {"username": "lead", "password": PASSWORD})
    assert answer.status_code == (403 if role in {"conservator", "helper", "viewer"} else 302)
    if answer.status_code == 302:
        assert answer.headers["Location"].startswith("/sign-in/?next=")
    assert client.session.get("_auth_user_id") == before


def test_no_password_is_changed_there(client: Client) -> None:
    """The page about oneself does it, which writes an act."""
    lead = signed_in(client, "lead").user
    assert lead is not None
    lead.set_password(PASSWORD)
    lead.save()
    client.force_login(lead)
    new = "another wet rope"
    sent = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    for page in ("", "done/"):
        answer = client.post(f"/admin/password_change/{page}", sent)
        assert (answer.status_code, answer.headers["Location"]) == (302, "/me/")
    lead.refresh_from_db()
    assert lead.check_password(PASSWORD)
    assert client.get(f"/admin/auth/user/{lead.pk}/password/").status_code in {302, 404}


def test_signing_out_there_is_signing_out(client: Client) -> None:
    """Its own button ends the session as that of the pages does."""
    signed_in(client, "lead")
    assert client.get("/admin/logout/").status_code == 405
    assert client.post("/admin/logout/").headers["Location"] == "/sign-in/"
    assert client.get("/people.json").status_code == 401


def test_a_password_is_not_found_out_by_asking(client: Client) -> None:
    """No question about its hash is answered, and the search looks at nothing."""
    lead = signed_in(client, "lead").user
    assert lead is not None
    lead.set_password(PASSWORD)
    lead.save()
    client.force_login(lead)
    asked = (("auth/user", "password__startswith"), ("auth/user", "password"),
             ("records/person", "user__password__startswith"))  # fmt: skip
    for table, question in asked:
        for start in (lead.password, lead.password[:6], "zzz"):
            assert client.get(f"/admin/{table}/", {question: start}).status_code == 400, question
    assert client.get("/admin/auth/user/", {"username__startswith": "le"}).status_code == 200
    for start in (lead.password[:6], "zzz"):
        assert "1 user" in client.get("/admin/auth/user/", {"q": start}).content.decode()


def test_the_last_lead_who_can_sign_in_is_not_shut_out(client: Client) -> None:
    """Where two shut out each other at once, the later one meets a log-in that is the last."""
    first, second = with_log_in("lead").user, User.objects.create_user("lead2", is_staff=True)
    Person.objects.create(name="second lead", role="lead", user=second)
    page = admin.site.get_model_admin(User)

    helper = with_log_in("helper").user
    assert first is not None
    assert helper is not None

    def shut_out(user: User, by: User) -> list[str]:
        asked = RequestFactory().post("/")
        asked.user = by
        form = page.get_form(asked, user, change=True)({}, instance=User.objects.get(pk=user.pk))
        assert "is_active" in form.fields
        return [str(error) for error in form.non_field_errors()]

    assert shut_out(second, by=first) == []
    User.objects.filter(pk=second.pk).update(is_active=False)
    assert shut_out(first, by=second) == ["this is the last lead; make somebody else lead first"]
    assert shut_out(helper, by=first) == []
