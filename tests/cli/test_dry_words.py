"""What words of a kind say beyond it, numbers in words, and the target that is taken where none is given."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from strandline.cli import demo, dry_run
from strandline.cli.dry_given import target_in
from strandline.cli.dry_numbers import index_of, number_name, plain, until
from strandline.cli.dry_table import dry_in
from strandline.cli.dry_words import told_by
from strandline.knowledge.covers import covers
from strandline.things.drying import DryingForecast, DryingQuestion, Reached, Stretch, WetBody
from tests.cli.run import AS_OF, run
from tests.exchange.drying_making import QUESTION, fake_forecast, forecast_of

ROOM = ("--room-c", "12", "--room-rh", "55")
PAGE = Path(__file__).parents[2] / "docs" / "drying.md"
Calls = list[tuple[list[WetBody], DryingQuestion]]


@pytest.fixture(autouse=True)
def engine(monkeypatch: pytest.MonkeyPatch) -> Calls:
    """A stand-in for the engine; what it was asked."""
    calls: Calls = []

    def forecast(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
        calls.append((list(bodies), question))
        return fake_forecast(bodies, question)

    module = ModuleType("strandline.drying.forecast")
    module.forecast = forecast  # type: ignore[attr-defined]  # a module made here
    monkeypatch.setitem(sys.modules, "strandline.drying.forecast", module)
    monkeypatch.setattr(dry_run, "is_compiled", lambda: True)
    return calls


@pytest.mark.parametrize(
    ("kind", "more", "coating", "painted", "surfaces"),
    [
        ("painted oak", (), "paint", True, ("painted",)),
        ("gilded pine", (), "gesso", True, ("painted",)),
        ("gessoed lime", (), "gesso", True, ("painted",)),
        ("painted and gilded pine", (), "gesso", True, ("painted",)),
        ("lacquered beech", (), "lacquer", True, ("painted",)),
        ("varnished mahogany", (), "varnish", False, ()),
        ("waxed oak", (), "wax", False, ()),
        ("oak soaked in sewage", (), "none", False, ("sewage_wet", "soiled")),
        ("soiled beech", (), "none", False, ("soiled",)),
        ("unpainted oak", (), "none", False, ()),
        ("oak, not painted", (), "none", False, ()),
        ("painted oak", ("--coating", "varnish"), "varnish", True, ("painted",)),
        ("painted oak", ("--coating", "none"), "none", False, ()),
        ("soiled oak", ("--surface", "glued"), "none", False, ("glued", "soiled")),
    ],
)
def test_words_of_the_kind_count_as_options_do(
    kind: str, more: tuple[str, ...], coating: str, painted: bool, surfaces: tuple[str, ...], engine: Calls
) -> None:
    assert run("dry", "--kind", kind, "--thickness-mm", "25", *ROOM, *more).exit_code == 0
    body = engine[0][0][0]
    assert (body.coating, body.painted, body.surfaces) == (coating, painted, surfaces)


def test_what_words_were_taken_to_say_is_said() -> None:
    told = run("dry", "--kind", "painted oak in sewage", "--thickness-mm", "25", *ROOM).stdout
    assert "coating: paint; 'painted oak in sewage' says so" in told
    assert "surface: painted, sewage wet, soiled; 'painted" in told
    again = run("dry", "--kind", "painted oak", "--thickness-mm", "25", "--coating", "paint", *ROOM).stdout
    assert "coating: paint; 'painted" not in again
    assert told_by("oak").surfaces == ()


@pytest.mark.parametrize(
    ("rh", "target"), [("40", 0.62), ("57", 0.62), ("60", 0.65), ("70", 0.75), ("93", 0.95), ("99", 0.95)]
)
def test_the_target_is_one_that_the_room_can_bring_about(rh: str, target: float, engine: Calls) -> None:
    result = run("dry", "--kind", "oak", "--thickness-mm", "25", "--room-c", "12", "--room-rh", rh)
    assert engine[0][1].target_rh == pytest.approx(target)
    assert ("reckoned to" in result.stdout) == (target != 0.62)


def test_the_last_stretch_decides_and_an_explicit_target_stays(engine: Calls) -> None:
    oak = ("dry", "--kind", "oak", "--thickness-mm", "25", "--room", "72,9,80%", "--room", "720,9,70%")
    told = " ".join(run(*oak).stdout.split())
    assert "The room at 70 % cannot dry it to 62 %: reckoned to 75 %." in told
    assert "reckoned to" not in run(*oak, "--target-rh", "62").stdout
    assert [question.target_rh for _, question in engine] == [0.75, 0.62]
    assert target_in((Stretch(24.0, 12.0, 0.9), Stretch(48.0, 12.0, 0.5))) == 62.0
    json_says = run(*oak, "--json").stdout
    assert "cannot dry it to 62 %: reckoned to 75 %" in json_says


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ((), True),
        (("--dry-mass-g", "700"), False),
        (("--width-mm", "100"), True),
        (("--width-mm", "100", "--length-mm", "300"), False),
    ],
)
def test_a_weight_alone_is_said_not_to_tell_how_wet_it_is(more: tuple[str, ...], told: bool) -> None:
    result = run("dry", "--kind", "oak", "--thickness-mm", "25", "--wet-mass-g", "900", *more, *ROOM)
    assert ("weight: 900 g not used for how wet it is" in result.stdout) == told


@pytest.mark.parametrize(
    ("value", "text"),
    [(2.8e-6, "0.0000028"), (1e3, "1000"), (12345.6, "12346"), (0.0, "0"), (1.25, "1.2"), (0.004, "0.004"),
     (3e-9, "under 0.000001"), (-0.5, "-0.5")],
)  # fmt: skip
def test_numbers_have_no_exponents(value: float, text: str) -> None:
    assert plain(value) == text


def test_a_small_index_and_names_with_units() -> None:
    assert index_of(2.8e-6) == "under 0.001"
    assert (
        number_name("cover_m_s from hour 72") == "what the cover lets through, metres a second from hour 72"
    )
    assert number_name("new_thing_kg_m3") == "new thing, kg in a cubic metre"


@pytest.mark.parametrize(
    ("hours", "share", "full", "short"),
    [
        (
            (24.0, 300.0, 720.0),
            0.9,
            "no useful forecast: the band runs from now to beyond",
            "no useful forecast",
        ),
        ((24.0, 300.0, 700.0), 1.0, "1.0 to 29 d, likely 12", "1.0 to 29 d, likely 12"),
        ((240.0, 300.0, 720.0), 0.9, "10 to more than 30 d, likely 12 (90 %", "10 to >30 d, likely 12"),
        ((0.0, 0.0, 0.0), 1.0, "so dry already", "so dry already"),
        (None, 0.3, "not within 30 d (30 % of the reckonings", "not within 30 d"),
        ((5.0, 9.0, 12.0), 1.0, "5.0 to 12 h, likely 9.0", "5.0 to 12 h, likely 9.0"),
    ],
)
def test_a_band_that_says_nothing_is_called_so(
    hours: tuple[float, float, float] | None, share: float, full: str, short: str
) -> None:
    one = replace(forecast_of(), target=Reached(0.62, (0.11, 0.12, 0.13), hours, share))
    assert until(one, QUESTION).startswith(full)
    assert dry_in(one, QUESTION) == short


def test_progress_stands_before_the_table_and_other_rows_are_counted_only(tmp_path: Path) -> None:
    """Both streams in one, as on a terminal."""
    path = tmp_path / "list.csv"
    rows = "".join(f"{n:04},Board {n},oak,18,clean\n" for n in range(1, 25))
    path.write_text(f"tag,title,materials,thickness_mm,water\n{rows},Odd,oak,thick,clean\n", encoding="utf-8")
    whole = run("dry", path, *ROOM, "--as-of", AS_OF)
    assert whole.output.index("20 of ") < whole.output.index("tag    part")
    assert "row 26" in whole.stderr
    shown = run("dry", path, *ROOM, "--as-of", AS_OF, "--show", "0003")
    assert "row 26" not in shown.stderr
    assert "in other rows of the list; without --show they are named." in shown.stderr
    assert shown.exit_code == whole.exit_code == 1


def test_the_page_lists_every_cover_and_help_points_to_it() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert [key for key, one in covers().items() if f"| `{key}` | {one.name} |" not in page] == []
    assert "docs/drying.md" in " ".join(run("dry", "--help").stdout.split())


def test_the_page_says_which_way_the_times_miss() -> None:
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    assert "missed on the fast side" in page
    assert "science/measured.md" in page
    assert "./strandline demo" in page


def test_the_demo_names_the_forecast() -> None:

    assert "./strandline dry" in demo._next(Path("there"))


def test_that_many_things_damp_one_room_is_said(tmp_path: Path) -> None:
    """A list says that its things do not feel one another; one body has none to feel."""
    path = tmp_path / "two.csv"
    path.write_text("tag,title,materials,thickness_mm\n1,Board,pine,5\n2,Board,oak,5\n", encoding="utf-8")
    sentence = "The room's air is taken as given"
    room = ["--room-c", "18", "--room-rh", "50", "--days", "2", "--members", "8"]
    assert sentence in " ".join(run("dry", str(path), *room).stdout.split())
    assert any(
        one.startswith(sentence) for one in json.loads(run("dry", str(path), *room, "--json").stdout)["says"]
    )
    alone = run("dry", "--kind", "oak", "--thickness-mm", "5", *room).stdout
    assert sentence not in " ".join(alone.split())
