"""How much an ordinary thing asks of wet gloves: touches and keystrokes, counted on the page as it is.

A tap on a control is a touch, a character typed is a keystroke.  A photograph is two touches: the field and
the button of the camera.
"""

from html.parser import HTMLParser

import pytest
from django.test import Client

from strandline.records.models.objects import Object
from tests.web.cast import signed_in
from tests.web.taking_in_cast import TAKE_IN, flooded, photo

pytestmark = pytest.mark.django_db
MOST_TOUCHES, MOST_KEYSTROKES = 9, 12


class Controls(HTMLParser):
    """The fields of the intake form as they stand when the page comes, and what a tap on each would send."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, list[str]] = {}
        self.offered: set[tuple[str, str]] = set()
        self.mine = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a field."""
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.mine = told.get("class") == "intake"
        if not self.mine or tag != "input":
            return
        name, value, kind = told.get("name", ""), told.get("value", ""), told.get("type", "text")
        if kind in {"checkbox", "radio"}:
            self.offered.add((name, value))
        if kind == "file":
            self.offered.add((name, ""))
        elif kind not in {"checkbox", "radio"} or "checked" in told:
            self.sent.setdefault(name, []).append(value)


@pytest.mark.parametrize(
    ("typed", "material", "most_keys"),
    [("oak, iron", None, 9), ("", "wood", 0)],
)
def test_an_ordinary_thing(client: Client, typed: str, material: str | None, most_keys: int) -> None:
    """None of these, photograph (two), material in words or by tile, state, save; one more to get there."""
    flooded()
    signed_in(client, "helper")
    page = Controls()
    page.feed(client.get(TAKE_IN).content.decode())
    touches = 1  # on "Next one", which brought the form
    fields: dict[str, object] = dict(page.sent)
    for name, value in (
        ("none", "1"),
        ("state", "under_water"),
        *((("material", material),) if material else ()),
    ):
        assert (name, value) in page.offered
        fields[name] = value
        touches += 1
    assert ("photo", "") in page.offered
    fields["photo"] = photo()
    touches += 2
    if typed:
        fields["materials"] = typed
        touches += 1
    touches += 1  # on the button that sends it
    answer = client.post(TAKE_IN, fields)
    assert answer.status_code == 302
    assert Object.objects.get().next_step
    assert (touches, len(typed)) == (7, most_keys)
    assert touches <= MOST_TOUCHES
    assert len(typed) <= MOST_KEYSTROKES
    assert "Next one" in client.get(answer.headers["Location"]).content.decode()
