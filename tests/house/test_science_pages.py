"""The pages of the science: what they show of values from outside, and that an old page is found."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

import docs_md
import docs_pages
import science_charts
import science_pages
from science_charts import axis, draw, spoken
from science_spec import Curve, Page
from tests.reference import outside, outside_counts

HEAD = ",".join(outside.COLUMNS)
LINES = [
    f"ranges.within,name=rh;value={value};low=0;high={high},{theirs},1,0.02,somebody-1990,p. 1,{how},,{miss}"
    for value, high, theirs, how, miss in (
        (0.1, 1, 0.11, "published", ""),
        (0.5, 1, 0.5, "published", ""),
        (0.9, 1, 0.95, "published", "the book rounds up"),
        (0.2, 2, 0.2, "solvers", ""),
        (0.4, 2, 0.4, "solvers", ""),
        (1.6, 2, 1.61, "solvers", ""),
        (0.3, 3, 0.3, "memory", ""),
    )
]
SPEC = Page(
    title="Ranges, for a test",
    modules=("ranges",),
    files=("try.csv",),
    intro=("What lies outside is refused.",),
    doubts=("The gravest doubt of all.",),
)


@pytest.fixture
def page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Page:
    """A page on a small file of values, the only one there is."""
    path = tmp_path / "try.csv"
    path.write_text("\n".join([HEAD, *LINES]) + "\n", encoding="utf-8")
    rows = tuple(outside.read_file(path))
    for module in (outside, science_pages):
        monkeypatch.setattr(module, "all_rows", lambda: rows)
    monkeypatch.setattr(science_pages, "pages", lambda: {"ranges": SPEC})
    monkeypatch.setattr(science_charts, "HELD", {})
    science_pages.charts_of.cache_clear()
    return SPEC


@pytest.fixture(autouse=True)
def _fresh() -> object:
    """No chart of a test is kept for the next."""
    yield
    science_pages.charts_of.cache_clear()


def test_a_page_holds_everything(page: Page) -> None:
    """Function, chart, values with gap and tolerance, those counted apart, the miss and the doubts."""
    text = science_pages.science_texts()["science/ranges.md"]
    for said in (
        "5 of 6 values from outside lie within their tolerance; 1 more are counted apart.",
        "| `within` The value itself if it is a number from low to high (both included). |",
        "![The value itself if it is a number from low to high (both included): 6 values from outside",
        "(ranges-within.svg)",
        "| name = rh; value = 0.1; low = 0; high = 1 | 0.11 | 0.1 | -0.01 | 0.02 | published | somebody-1990",
        "| **-0.05** |",
        "## Counted apart",
        "| `ranges.within` | name = rh; value = 0.9; low = 0; high = 1 | -0.05 | 0.02 | published | the book",
        "1. The gravest doubt of all.",
    ):
        assert said in text


def test_the_index_counts_and_lists_misses(page: Page) -> None:
    """By how and by module."""
    text = science_pages.science_texts()["science/README.md"]
    assert "**6 values from outside count**, 1 more are counted apart, 1 miss." in text
    assert "| published | read in a published page, table or standard | yes | 3 |" in text
    assert "| memory | a published value, from memory of it | apart | 1 |" in text
    assert "| `ranges` | 6 | 1 |" in text
    assert "| `ranges.within` | 1 | -0.05 | 0.02 | the book rounds up |" in text


def test_a_chart_has_lines_points_range_and_tolerance(page: Page) -> None:
    """Two lines of three points each, the stretch on which the function answers, gaps with their band."""
    drawn = draw(science_charts.chosen(page)[0], page)
    upper, lower = drawn.chart["vconcat"]
    shade, lines, points = upper["layer"]
    assert shade["data"]["values"][0]["x2"] == 1.69
    assert {row["s"] for row in lines["data"]["values"]} == {"high 1", "high 2"}
    assert len(points["data"]["values"]) == drawn.values == 6
    assert {row["y"] for row in lower["layer"][0]["data"]["values"]} == {-0.02}
    assert sorted(row["y"] for row in lower["layer"][-1]["data"]["values"]) == [-0.05, -0.01, -0.01, 0, 0, 0]
    assert max(row["x"] for row in lines["data"]["values"] if row["s"] == "high 1") <= 1.0


def test_a_curve_without_values_is_refused(page: Page) -> None:
    """A chart of ours alone shows nothing."""
    with pytest.raises(ValueError, match="no value lies on a line"):
        draw(Curve("ranges.within", "value", lines=({"high": 9},)), page)


def test_old_charts_and_counts_are_found(page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """None is missing, none is left over, none draws something else; a second look writes nothing."""
    folder, counts = tmp_path / "docs" / "science", tmp_path / "docs" / "outside.json"
    monkeypatch.setattr(science_pages, "ROOT", tmp_path)
    monkeypatch.setattr(science_pages, "FOLDER", folder)
    monkeypatch.setattr(science_pages, "EVIDENCE", counts)
    assert len(science_pages.write()) == 3
    assert science_pages.write() == []

    def faults() -> list[str]:
        return [one for one in science_pages.faults(folder, counts) if "is on no page" not in one]

    assert faults() == []
    (folder / "by-hand.svg").touch()
    assert faults() == []
    (folder / "other.svg").touch()
    told = {"ranges-within.svg": "another", "other.svg": "one of ours"}
    (folder / "made.json").write_text(json.dumps({"charts": told}), encoding="utf-8")
    counts.write_text("{}", encoding="utf-8")
    assert len(faults()) == 3
    (folder / "ranges-within.svg").unlink()
    assert len(faults()) == 3
    assert len(science_pages.write()) == 4
    assert faults() == []
    assert sorted(path.name for path in folder.glob("*.svg")) == ["by-hand.svg", "ranges-within.svg"]


def test_a_page_written_by_hand_is_never_removed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what was made here, as its first line tells, may go."""
    monkeypatch.setattr(docs_pages, "DOCS", tmp_path)
    (tmp_path / "science").mkdir()
    (tmp_path / "science" / "by-hand.md").write_text("# What was looked for\n", encoding="utf-8")
    (tmp_path / "science" / "old.md").write_text(docs_md.page("Old", "text"), encoding="utf-8")
    assert [path.name for path in docs_pages.gone({})] == ["old.md"]


def test_what_is_on_no_page_is_found(page: Page) -> None:
    """Every other module of the physics is, but for helpers."""
    shown = {"__init__", *SPEC.modules, *outside_counts.HELPERS}
    others = {path.stem for path in science_pages.PHYSICS.glob("*.py")} - shown
    assert len(science_pages.unshown()) == len(others)


def test_values_on_no_page_are_found(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that holds only other modules shows none of them."""
    monkeypatch.setattr(science_pages, "pages", lambda: {"ranges": replace(SPEC, only=("air",))})
    (lost,) = [one for one in science_pages.unshown() if "values" in one]
    assert lost.endswith("the values of ranges.within of try.csv are on no page")


def test_values_on_no_line_show_their_gaps(page: Page) -> None:
    """In tolerances and in the order of the table: those that miss are told apart, and counted."""
    drawn = science_charts.gaps(page)
    assert drawn is not None
    assert drawn.values == 6
    assert "5 lie within them, 1 outside" in drawn.alt
    told = json.dumps(drawn.chart)
    assert "within its tolerance" in told
    assert "outside it" in told
    assert science_charts.gaps(replace(page, only=("nothing",))) is None


def test_values_off_any_line_are_drawn_over_theirs(page: Page) -> None:
    """Ours over theirs, with the gaps in tolerances below."""
    (quantity,) = science_charts.scattered(page)
    drawn = science_charts.parity(quantity, science_charts.scattered(page)[quantity])
    upper, lower = drawn.chart["vconcat"]
    points = upper["layer"][-1]["data"]["values"]
    assert (points[0]["x"], points[0]["y"]) == (0.11, 0.1)
    assert sorted(row["y"] for row in lower["layer"][-1]["data"]["values"])[0] == -2.5


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("temp_c", ("temperature", "°C")),
        ("rh", ("relative humidity", "")),
        ("basic_density_kg_m3", ("basic density", "kg/m³")),
        ("speed_m_s", ("speed", "m/s")),
        ("transfer_w_m2_k", ("transfer", "W/(m² K)")),
        ("moisture", ("moisture content", "kg/kg")),
        ("days", ("time", "d")),
        ("m", ("m", "")),
    ],
)
def test_names_become_words_and_units(name: str, told: tuple[str, str]) -> None:
    """The unit stands at the end of a name, as long as it goes."""
    assert spoken(name) == told


def test_a_number_without_unit_says_so() -> None:
    """A dash in place of the unit."""
    assert axis("rh") == axis("rh", "1") == "relative humidity [–]"


@pytest.mark.parametrize(
    ("doubt", "size"),
    [
        ("within 0.05 %, at times 3 %", 3),
        ("a factor of 2 of data", 100),
        ("factor 3", 200),
        ("a factor of two", 100),
        ("unknown", 0),
    ],
)
def test_doubts_have_a_size(doubt: str, size: float) -> None:
    """The greatest error that is named."""
    assert science_pages.size_of_doubt(doubt) == size
