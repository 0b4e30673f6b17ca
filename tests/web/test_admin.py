"""The admin: a lead reads every table there, changes log-ins only; nobody else gets in."""

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.test import Client

from strandline.records.models.acts import Act
from strandline.records.models.people import Person
from tests.services.doing import received
from tests.web.cast import signed_in, with_log_in

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
    """The admin sends them to its own sign-in."""
    signed_in(client, role)
    assert client.get("/admin/records/object/").status_code == 302
