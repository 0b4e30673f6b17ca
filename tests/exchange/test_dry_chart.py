"""The chart of a forecast: what its panels hold, and that it says the same in words."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from strandline.exchange.dry_chart import drying_chart, drying_svg, title_of, words_of
from strandline.things.drying import DryingForecast, Series
from tests.exchange.drying_making import BODY, QUESTION, bands, forecast_of, without_mould_and_strain

AS_OF = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"


def chart_of(forecast: DryingForecast) -> dict[str, Any]:
    return drying_chart(forecast, QUESTION, AS_OF)


def titles(chart: dict[str, Any]) -> list[str]:
    return [panel["title"]["text"][0] for panel in chart["vconcat"]]


def texts(panel: dict[str, Any]) -> Iterator[str]:
    """What is written at the rules of a panel."""
    return (layer["mark"]["text"] for layer in panel["layer"] if layer["mark"]["type"] == "text")


def test_each_question_has_its_panel() -> None:
    chart = chart_of(forecast_of())
    assert titles(chart) == ["Water in it", "Air at it", "Greatest tension in it"], "an index has no course"
    assert list(texts(chart["vconcat"][0])) == ["at 62 % air"]
    assert list(texts(chart["vconcat"][2])) == ["yield 4", "warning 9"], "a ratio is no level of strain"


def test_the_head_says_room_cover_days_and_date() -> None:
    told = " ".join(chart_of(forecast_of())["title"]["subtitle"])
    assert (
        "Room 12 C and 60 % until hour 240, then 9 C and 70 %; under a cover (pe_50, with openings)" in told
    )
    assert "30 days from 15 March 2026." in told
    assert "of the 64 members" in told


def test_names_of_levels_stand_right_of_the_panel_and_apart() -> None:
    """No course runs through them: they begin where the days end, to the right."""
    for panel in chart_of(forecast_of())["vconcat"]:
        for layer in panel["layer"]:
            if layer["mark"]["type"] == "text":
                end = layer["encoding"]["x"]["scale"]["domain"][1]
                assert [one["x"] for one in layer["data"]["values"]] == [end]
                assert (layer["mark"]["align"], layer["mark"]["dx"] > 0) == ("left", True)
    course = replace(forecast_of().series, strain=bands(0.0, 0.08, 0.09, 0.01))  # type: ignore[type-var]  # there is one
    panel = chart_of(replace(forecast_of(), series=course))["vconcat"][2]
    low, high = (layer["mark"]["dy"] for layer in panel["layer"] if layer["mark"]["type"] == "text")
    assert low > 0 > high, "levels that lie close give way to each other"


def test_panels_have_no_note_but_what_a_material_bears() -> None:
    chart = chart_of(forecast_of())
    assert all("subtitle" not in panel["title"] for panel in chart["vconcat"])
    own = replace(forecast_of().strain[0], criterion="own_limit", limit=0.015)
    leather = replace(forecast_of(), strain=(own,))
    panel = chart_of(leather)["vconcat"][2]
    assert panel["title"]["subtitle"] == ["own limit: remembered for this material; no easing in it"]
    assert list(texts(panel)) == ["own limit 15"]
    assert "Own limit: remembered for this material" in words_of(leather, QUESTION, AS_OF)


def test_a_body_of_pores_has_its_water_alone() -> None:
    """Its model gives neither surface nor air nor strain."""
    course = Series((0.0, 24.0), bands(0.3, 0.2), (), (), (), (), None)
    porous = replace(without_mould_and_strain(forecast_of()), series=course)
    chart = chart_of(porous)
    assert titles(chart) == ["Water in it (whole body)"]
    assert "Band: from a fast to a slow reading" in " ".join(chart["title"]["subtitle"])
    assert "NaN" not in drying_svg(porous, QUESTION, AS_OF)


def test_what_is_not_forecast_is_not_drawn() -> None:
    bare = without_mould_and_strain(replace(forecast_of(), body=replace(BODY, cover=None)))
    chart = chart_of(bare)
    assert titles(chart) == ["Water in it", "Air at its surface"]


def test_bands_differ_without_colour() -> None:
    """Two bands of one panel have two greys, and their lines two dashes."""
    panel = chart_of(forecast_of())["vconcat"][0]
    areas = [layer["mark"]["color"] for layer in panel["layer"] if layer["mark"]["type"] == "area"]
    assert len(set(areas)) == 2
    dashes = next(
        layer["encoding"]["strokeDash"] for layer in panel["layer"] if "strokeDash" in layer["encoding"]
    )
    assert len({tuple(one) for one in dashes["scale"]["range"]}) == 2


def test_the_svg_says_what_it_shows() -> None:
    """Title and description stand in it, first of all, and it is as narrow as a telephone."""
    svg = drying_svg(replace(forecast_of(), body=replace(BODY, kind_words="beech & <ash>")), QUESTION, AS_OF)
    root = ET.fromstring(svg)
    title, words = root[0], root[1]
    assert (title.tag, words.tag) == (f"{SVG}title", f"{SVG}desc")
    assert title.text == "Drying forecast: 0043/p1, beech & <ash>, 45 mm"
    assert root.get("aria-labelledby") == f"{title.get('id')} {words.get('id')}"
    assert float(root.get("width", "999")) <= 380
    assert "NaN" not in svg


def test_the_words_hold_the_figures() -> None:
    told = words_of(forecast_of(), QUESTION, AS_OF)
    for piece in (
        "after 12 to 31 (likely 19) days",
        "yield 0.004: 0.9 to 1.9 (likely 1.3)",
        "0.2 to 2.1",
        "after 3.8 to 17 (likely 8.3) days",
        "in 60 % of the members",
        "kept in 25 % of them",
    ):
        assert piece in told
    tiny = replace(forecast_of().strain[0], index=(2.8e-6, 1.2, 1e3))
    told = words_of(replace(forecast_of(), strain=(tiny,)), QUESTION, AS_OF)
    assert "under 0.001 to 1000 (likely 1.2)" in told
    assert "hundred" not in told
    assert "None of it was tried on a real object." in told
    assert "safe" not in told + title_of(forecast_of())


def test_without_a_course_there_is_no_chart() -> None:
    with pytest.raises(ValueError, match="no course"):
        chart_of(replace(forecast_of(), series=None))
