"""Charts: what they hold, that they read without colour, and that they become an SVG without the network."""

import re
from typing import Any

import pytest

from strandline.exchange.charts import (
    COLOURS,
    DASHES,
    SHAPES,
    Band,
    Chart,
    Rule,
    Series,
    Shade,
    chart_hash,
    line_chart,
    stacked,
    to_svg,
)

DAYS = [0.0, 10.0, 20.0, 30.0]
MIDDLE = Series("middle", DAYS, [40.0, 25.0, 18.0, 14.0])
WEIGHED = Series("weighed", [5.0, 15.0], [31.0, 22.0], points=True)
SPREAD = Band("from 5 to 95 in 100", DAYS, [38.0, 22.0, 15.0, 12.0], [42.0, 28.0, 22.0, 18.0])


def forecast(**changed: Any) -> Chart:
    """A chart with everything on it."""
    given: dict[str, Any] = {
        "series": [MIDDLE, WEIGHED],
        "bands": [SPREAD],
        "rules": [Rule("target 12 %", 12.0)],
        "shaded": [Shade("watched", 5.0, 90.0)],
        "x_title": "days",
        "y_title": "moisture [%]",
        "title": "A board dries",
    }
    return line_chart(**{**given, **changed})


def texts(svg: str) -> str:
    """All that is written on a picture."""
    return " ".join(re.findall(r"<(?:text|tspan)[^>]*>([^<]+)<", svg))


def test_a_chart_says_what_it_shows() -> None:
    """Title, both axes with units, the target, the areas and both series are written on it."""
    told = texts(to_svg(forecast()))
    for word in (
        "A board dries",
        "days",
        "moisture [%]",
        "target 12 %",
        "from 5 to 95 in 100",
        "watched",
        "middle",
        "weighed",
    ):
        assert word in told


def test_a_chart_fits_a_telephone() -> None:
    """It is no wider than 380 points."""
    matched = re.search(r'<svg[^>]* width="(\d+)', to_svg(forecast()))
    assert matched
    assert int(matched[1]) <= 380


def test_series_differ_without_colour() -> None:
    """Each of six has its own dashes and its own shape."""
    assert len(set(COLOURS)) == len(set(DASHES)) == len(set(SHAPES)) == 6
    many = [Series(str(number), DAYS, [number + 1.0] * 4) for number in range(6)]
    marked = [Series(one.label, one.x, one.y, points=True) for one in many]
    lines, points = line_chart([*many, *marked])["layer"]
    assert len({tuple(dash) for dash in lines["encoding"]["strokeDash"]["scale"]["range"]}) == 6
    assert len(set(points["encoding"]["shape"]["scale"]["range"])) == 6


def test_one_label_needs_no_legend() -> None:
    """Two do."""
    alone = line_chart([MIDDLE])["layer"][0]["encoding"]["color"]
    assert alone["legend"] is None
    assert forecast()["layer"][-1]["encoding"]["color"]["legend"] is not None


def test_a_shade_ends_where_the_chart_ends() -> None:
    """However far the range reaches."""
    assert forecast()["layer"][0]["data"]["values"] == [{"x": 5.0, "x2": 30.0, "s": "watched"}]


def test_panels_share_their_x() -> None:
    """Its title stands below the lower one only; what both areas mean stands above."""
    both = stacked(forecast(), line_chart([MIDDLE], bands=[SPREAD], x_title="days", y_title="gap"))
    told = texts(to_svg(both))
    assert told.count("days") == 1
    assert told.count("Band:") == 2


@pytest.mark.parametrize(
    "changed",
    [
        {"title": "A chest dries"},
        {"series": [MIDDLE, Series("weighed", [5.0, 15.0], [31.0, 22.1], points=True)]},
        {"rules": [Rule("target 12 %", 12.1)]},
        {"log_y": True},
    ],
)
def test_the_hash_follows_what_is_drawn(changed: dict[str, Any]) -> None:
    """Another text, point, level or scale is another chart; the last bits of a number are not."""
    nudged = Series("weighed", [5.0, 15.0], [31.0, 22.0 * (1 + 1e-12)], points=True)
    assert chart_hash(forecast()) == chart_hash(forecast(series=[MIDDLE, nudged]))
    assert chart_hash(forecast()) != chart_hash(forecast(**changed))


@pytest.mark.parametrize("y", [[1.0], [2.0, float("nan")], [2.0, float("inf")]])
def test_what_cannot_be_drawn_is_refused(y: list[float]) -> None:
    """Lists of two lengths, and numbers that are none."""
    with pytest.raises(ValueError):  # noqa: PT011  # what is said differs and does not matter
        line_chart([Series("x", [1.0, 2.0], y)])


def test_nothing_is_no_chart() -> None:
    """A chart of no value is refused in one sentence."""
    with pytest.raises(ValueError, match="at least one value"):
        line_chart([])


def test_a_level_line_can_be_drawn() -> None:
    """One value, and one that is zero, have an extent too."""
    for value in (0.0, -3.0, 5.0):
        low, high = line_chart([Series("x", [1.0], [value])])["layer"][0]["encoding"]["y"]["scale"]["domain"]
        assert low < value < high


def test_a_logarithmic_axis_is_labelled_by_powers_of_ten() -> None:
    """And small numbers are written short."""
    wide = Series("x", [1.0, 1e8], [1e-5, 3e-5])
    chart = line_chart([wide], log_x=True)
    assert chart["layer"][0]["encoding"]["x"]["axis"]["values"][:2] == [1.0, 100.0]
    told = texts(to_svg(chart))
    assert "1e6" in told
    assert "2e-5" in told


def test_no_logarithm_of_nothing() -> None:
    """A value that is not above zero has no place on such an axis."""
    with pytest.raises(ValueError, match="math domain error"):
        line_chart([Series("x", [0.0, 1.0], [1.0, 2.0])], log_x=True)
