"""Dates with times: notations, zones, and the hours the clocks skip or show twice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.pipeline import cells

SURGE = datetime(2026, 3, 15, 2, 40, tzinfo=UTC)
NO_TIME = "no time given: taken as the start of that day"
DAY_FIRST = "read day first; month first is possible"
MONTH_FIRST = "read as month/day: there is no such month otherwise"
SERIAL = "read as a spreadsheet's day number"

SURGE_NOTATIONS = [
    "2026-03-15 02:40",
    "2026-03-15T02:40",
    "2026-03-15T02:40:00",
    "2026-03-15T02:40:00.123456",
    "2026-03-15T02:40Z",
    "2026-03-15T02:40:00+00:00",
    "2026-03-15T03:40+0100",
    "2026-03-15T04:40+02",
    "2026-03-14 21:40-05:00",
    "2026/03/15 02:40",
    "2026-03-15 02:40 UTC",
    "20260315 0240",
    "20260315T0240Z",
    "15/03/2026 02:40",
    "15/03/2026, 02:40",
    "15/3/26 2:40",
    "15.03.2026 02:40",
    "15.3.26 2.40",
    "15-03-2026 02:40",
    "15 March 2026 02:40",
    "15 march 2026, 2:40 am",
    "15th of March 2026 02h40",
    "Sunday 15 March 2026 02:40",
    "Sun, 15 Mar 2026 02:40",
    "So 15.3.2026 02:40",
    "March 15, 2026 2:40 a.m.",
    "15-Mar-26 02:40",
    "15 Mar '26 at 02:40",
    "15. März 2026 um 02:40 Uhr",
    "15 mars 2026 02h40",
    "dimanche 15 mars 2026 à 02:40",
    "15 maart 2026 om 02:40",
    "15 de marzo de 2026 02:40",
    "02:40 15/03/2026",
    "02:40 on 15 March 2026",
    "2.40 am 15.3.26",
]

NO_MOMENT = {
    "soon": "",
    "Sunday, twenty to three in the morning": "",
    "yesterday": "",
    "when the tide turned": "",
    "13": "",
    "02:40": "",
    "15/03 02:40": "the year is missing",
    "31/02/2026 10:00": "there is no such day",
    "2026-13-01": "there is no such day",
    "15.13.2026": "there is no such day",
    "0/0/2026": "there is no such day",
    "15 March 1066": "the year 1066 is not between 1900 and 2100",
    "15/03/2126 02:40": "the year 2126 is not between 1900 and 2100",
    "79999": "the year 2119 is not between 1900 and 2100",
    "15/03/2026 25:00": "'25:00' is no time of day",
    "15/03/2026 02:60": "'02:60' is no time of day",
    "15/03/2026 13:00 pm": "'13:00 pm' is no time of day",
    "15/03/2026 early": "'early' is no time of day",
    "15/03/2026 2": "'2' is no time of day",
    "15/03/2026 02:40 BST": "'02:40 bst' is no time of day",
    "15/03/2026 02:40+19:00": "'+19:00' is no offset from utc",
    "Monday 15 March 2026 02:40": "2026-03-15 is another day of the week",
    "15/03/2026 02:40 or a bit later, when the water was over the sill": "too long for a date",
}


@pytest.mark.parametrize("text", SURGE_NOTATIONS)
def test_one_moment_in_every_notation(text: str) -> None:
    """The demo's list alone has four."""
    assert cells.when(text) == SURGE


@pytest.mark.parametrize(("text", "detail"), NO_MOMENT.items())
def test_what_is_no_moment_is_refused_with_its_reason(text: str, detail: str) -> None:
    """The cell is named as it stands."""
    with pytest.raises(cells.CellError) as error:
        cells.when(text, column="out_since")
    why = f" ({detail.replace('utc', 'UTC')})" if detail else ""
    shown = text if len(text) <= 60 else text[:59] + "…"
    assert error.value.reason == (
        f"out_since must be a date with a time, such as 2026-03-15 02:40; got '{shown}'{why}; "
        "taken as unknown"
    )


@pytest.mark.parametrize(
    ("text", "at", "notes"),
    [
        ("15.3.26", "2026-03-15T00:00", (NO_TIME,)),
        ("2026-03-15", "2026-03-15T00:00", (NO_TIME,)),
        ("03/04/2026 10:00", "2026-04-03T10:00", (DAY_FIRST,)),
        ("03/04/2026", "2026-04-03T00:00", (DAY_FIRST, NO_TIME)),
        ("03.04.2026 10:00", "2026-04-03T10:00", ()),
        ("03/03/2026 10:00", "2026-03-03T10:00", ()),
        ("03/15/2026 10:00", "2026-03-15T10:00", (MONTH_FIRST,)),
        ("15/03/2026 10:00", "2026-03-15T10:00", ()),
        ("46096.5", "2026-03-15T12:00", (SERIAL,)),
        ("46096", "2026-03-15T00:00", (SERIAL,)),
        ("15 March 2026 24:00", "2026-03-16T00:00", ()),
        ("15 March 2026 noon", "2026-03-15T12:00", ()),
        ("15 March 2026 12:30 am", "2026-03-15T00:30", ()),
        ("15 March 2026 12:30 pm", "2026-03-15T12:30", ()),
        ("1 Jan 70 10:00", "1970-01-01T10:00", ()),
        ("1 Jan 69 10:00", "2069-01-01T10:00", ()),
    ],
)
def test_what_is_assumed_in_reading_is_noted(text: str, at: str, notes: tuple[str, ...]) -> None:
    """A value that rests on a convention says so."""
    found = cells.moment(text)
    assert found is not None
    assert (found.at, found.notes) == (datetime.fromisoformat(at).replace(tzinfo=UTC), notes)


def test_a_time_without_offset_is_local() -> None:
    """Taken in the incident's zone; an offset in the cell goes before."""
    assert cells.when("2026-07-15 02:40", "Europe/London") == datetime(2026, 7, 15, 1, 40, tzinfo=UTC)
    assert cells.when("2026-07-15 02:40Z", "Europe/London") == datetime(2026, 7, 15, 2, 40, tzinfo=UTC)
    assert cells.when("15 July 2026", ZoneInfo("Europe/Amsterdam")) == datetime(2026, 7, 14, 22, tzinfo=UTC)


def test_a_time_the_clocks_skip_is_refused() -> None:
    """Half past one did not happen on 29 March 2026 in London."""
    with pytest.raises(cells.CellError, match=r"\(the clocks of Europe/London skip that time\)"):
        cells.when("2026-03-29 01:30", "Europe/London")
    assert cells.when("2026-03-29 02:00", "Europe/London") == datetime(2026, 3, 29, 1, tzinfo=UTC)


def test_a_time_the_clocks_show_twice_is_asked() -> None:
    """The message says what to add; with it the time is read."""
    text = "2026-10-25 01:30"
    with pytest.raises(cells.CellError) as error:
        cells.when(text, "Europe/London")
    assert "(the clocks of Europe/London show that time twice: add +01:00 or +00:00)" in error.value.reason
    assert cells.when(f"{text} +01:00", "Europe/London") == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert cells.when(f"{text} +00:00", "Europe/London") == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_a_day_without_midnight_starts_when_it_starts() -> None:
    """Where the clocks skip midnight the first moment of the day is the one after it."""
    found = cells.when("2018-11-04", "America/Sao_Paulo")
    assert found is not None
    assert found.astimezone(ZoneInfo("America/Sao_Paulo")).isoformat() == "2018-11-04T01:00:00-02:00"


def test_hours_or_a_date() -> None:
    """A column of hours may hold a date; what is neither is told as what the column wants."""
    assert cells.hours_or_moment("13 h") == 13
    assert cells.hours_or_moment("15 March 2026 02:40") == SURGE
    assert cells.hours_or_moment("2026-07-15 02:40", "Europe/London") == datetime(
        2026, 7, 15, 1, 40, tzinfo=UTC
    )
    assert cells.hours_or_moment("n/k") is None
    with pytest.raises(
        cells.CellError, match=r"^hours_wet must be a number or a date; got 'soon'; taken as unknown$"
    ):
        cells.hours_or_moment("soon")


EPOCH = datetime(1971, 1, 1, tzinfo=UTC)
MINUTES = st.integers(0, 98 * 365 * 24 * 60).map(lambda minutes: EPOCH + timedelta(minutes=minutes))


@given(MINUTES)
def test_every_minute_comes_back_from_every_notation(at: datetime) -> None:
    """Written in UTC, read in UTC."""
    for form in (
        "%Y-%m-%d %H:%M",
        "%Y-%m-%dT%H:%MZ",
        "%d/%m/%Y %H:%M",
        "%d.%m.%y %H.%M",
        "%d %B %Y %I:%M %p",
        "%a %d %b %Y %H:%M",
    ):
        assert cells.when(at.strftime(form)) == at


@given(
    MINUTES, st.sampled_from(["Europe/London", "America/Sao_Paulo", "Australia/Lord_Howe", "Asia/Kathmandu"])
)
def test_local_times_come_back_or_are_refused(at: datetime, zone: str) -> None:
    """A local time either is the one moment it was written from, or is one the clocks show twice."""
    text = at.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M")
    try:
        read = cells.when(text, zone)
    except cells.CellError as error:
        reason = error.reason
    else:
        assert read == at
        return
    assert "show that time twice" in reason
    shifted = {
        (at + timedelta(minutes=move)).astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M")
        for move in (-60, -30, 30, 60)
    }
    assert text in shifted


NEAR_DATES = st.text(alphabet="0123456789 .:/-TZ+apmMarch,'", max_size=20)


@given(st.text(max_size=30) | NEAR_DATES)
def test_any_text_is_a_moment_in_utc_or_a_cell_error(text: str) -> None:
    """No other exception, always aware."""
    for zone in ("UTC", "Europe/London"):
        try:
            found = cells.moment(text, zone)
        except cells.CellError as error:
            reason = error.reason
        else:
            assert found is None or (found.at.tzinfo is UTC and 1899 <= found.at.year <= 2101)
            continue
        assert reason.startswith("wet_since must be a date with a time")
