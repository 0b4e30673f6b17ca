"""Numbers are set aside for a sheet or a device, once, and printed stock is used up first."""

from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from strandline.records.models.objects import TagRange
from strandline.services.acting import NotAllowed, Refused
from strandline.services.fold import differences
from strandline.services.receive import next_tag
from strandline.services.reserve_tags import next_printed, reserve_tags
from tests.records.cast import device, incident, person
from tests.services.doing import by, received
from tests.web.cast import form, signed_in

pytestmark = pytest.mark.django_db


def test_a_range_is_nobody_elses() -> None:
    """The next range begins after it; the same form sent twice is one range."""
    received("0007")
    who = by()
    first = reserve_tags(who, incident(), 60, "intake table")
    assert (first.first, first.last) == (8, 67)
    assert reserve_tags(who, incident(), 60, "intake table") == first
    second = reserve_tags(by(), incident(), 10, "", device())
    assert (second.first, second.last, next_tag(incident())) == (68, 77, "0078")
    assert differences() == []


def test_printed_stock_is_used_up_first() -> None:
    """The lowest number that hangs on nothing; stock of one device is not everybody's."""
    assert next_printed(incident()) is None
    reserve_tags(by(), incident(), 2, "", device())
    assert next_printed(incident()) is None
    reserve_tags(by(), incident(), 2, "sheet 1")
    assert next_printed(incident()) == "0003"
    received("0003")
    assert next_printed(incident()) == "0004"
    received("0004")
    assert next_printed(incident()) is None


@pytest.mark.parametrize("count", [0, -1, 2001])
def test_a_count_that_cannot_be(count: int) -> None:
    """A slip of the finger sets nothing aside."""
    with pytest.raises(Refused, match="1 to 2000"):
        reserve_tags(by(), incident(), count)
    assert not TagRange.objects.exists()


def test_a_viewer_sets_nothing_aside() -> None:
    """The one role that may not."""
    with pytest.raises(NotAllowed, match="viewer"):
        reserve_tags(by(person("viewer")), incident(), 10)


def test_blank_tags_that_are_printed_are_set_aside(client: Client) -> None:
    """Two prints have no number in common, and intake offers the first one printed."""
    received("0042")
    signed_in(client, "helper")
    texts = []
    for _ in range(2):
        answer = client.post("/ORNL1/papers/", form("print", paper="tags"))
        assert answer.headers["Content-Type"] == "application/pdf"
        pages = PdfReader(BytesIO(answer.content)).pages
        texts.append("".join(page.extract_text() for page in pages))
    assert "0043" in texts[0]
    assert "0102" in texts[0]
    assert "0103" in texts[1]
    assert "0102" not in texts[1]
    assert client.get("/ORNL1/take-in.json").json()["next_tag"] == "0043"
