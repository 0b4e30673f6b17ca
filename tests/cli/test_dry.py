"""``strandline dry``: one body, a list, JSON, a chart, and what is refused; the engine is a stand-in."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import Result
from jsonschema import Draft202012Validator

from strandline.cli import dry_run
from strandline.cli.dry_cover import changes_from, gap_from
from strandline.cli.dry_given import stretch_from
from strandline.cli.dry_options import COATINGS
from strandline.cli.dry_table import assumed_thickness, measure_first
from strandline.exchange.dry_json import dry_schema
from strandline.knowledge.covers import covers
from strandline.knowledge.wetting import wetting
from strandline.physics.ranges import OutOfRange
from strandline.things.drying import Band, DryingForecast, DryingQuestion, Reached, WetBody
from tests.cli.run import AS_OF, demo_file, run
from tests.exchange.drying_making import BODY, QUESTION, fake_forecast, forecast_of

ROOM = ("--room-c", "12", "--room-rh", "60")
OAK = ("--kind", "oak", "--thickness-mm", "25")
COVERED = (*OAK, *ROOM, "--cover", "pe_50")
BOARDS = (
    "tag,title,materials,thickness_mm,water\n"
    "0001,Bench,beech,45,brackish\n"
    '0002,Board with a band,"oak, iron",18,clean\n'
    '0003,Barometer,"mahogany, mercury, glass",,sewage\n'
    "0004,Board without a size,oak,,clean\n"
)


@pytest.fixture(autouse=True)
def engine(monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[WetBody], DryingQuestion]]:
    """A stand-in for the engine; what it was asked."""
    calls: list[tuple[list[WetBody], DryingQuestion]] = []

    def forecast(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
        calls.append((list(bodies), question))
        return fake_forecast(bodies, question)

    stand_in(monkeypatch, forecast)
    monkeypatch.setattr(dry_run, "is_compiled", lambda: True)
    return calls


def stand_in(monkeypatch: pytest.MonkeyPatch, forecast: object) -> None:
    module = ModuleType("strandline.drying.forecast")
    module.forecast = forecast  # type: ignore[attr-defined]  # a module made here
    monkeypatch.setitem(sys.modules, "strandline.drying.forecast", module)


def the_list(folder: Path, text: str = BOARDS) -> Path:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return path


def valid(result: Result) -> dict[str, Any]:
    """Standard output as the document it is."""
    document: dict[str, Any] = json.loads(result.stdout)
    assert [error.message for error in Draft202012Validator(dry_schema()).iter_errors(document)] == []
    return document


def test_one_body_in_full() -> None:
    result = run("dry", *OAK, *ROOM)
    assert result.exit_code == 0, result.output
    for text in (
        "oak (as one of 2 woods), 25 mm plane, both faces open",
        "Room: 12 C and 60 %",
        "12 to more than 31 d, likely 19 (97 % of the reckonings get there)",
        "against yield (0.004): 0.9 to 1.9, likely 1.3; 83 % of the reckonings go over it",
        "no reckoning goes over it",
        "every reckoning goes over it",
        "rule of practice, for this surface: kept in 25 % of the reckonings",
        "how fast water moves in it, times the law's: 0.5, 1, 2",
        "Each figure was reckoned 64 times with other numbers from within their doubt: "
        "low and high leave out the outermost 5 in 100.",
        "read 'likely' as early",
        "thing 4: 4 mm; a reason [siau-1984, from memory]",
        "common practice, no published source",
        "None of these figures has been tried on a real object",
        "Not yet reviewed by a practising conservator.",
    ):
        assert text in " ".join(result.stdout.split())
    assert "members" not in result.stdout
    assert "safe" not in result.stdout


def test_every_option_reaches_the_engine(engine: list[tuple[list[WetBody], DryingQuestion]]) -> None:
    result = run(
        "dry", "--kind", "scots pine", "--thickness-mm", "40", "--width-mm", "200", "--length-mm", "900",
        "--faces", "1", "--wet-mass-g", "5400", "--dry-mass-g", "3600", "--under-water-h", "12.5",
        "--out-h", "2", "--coating", "gesso", "--surface", "sewage_wet", "--surface", "glued",
        "--cover", "pe_50",
        "--sheet-area-m2", "1.5", "--air-litres", "40", "--gap", "hole,6,side,4", "--gap", "slit,5x100,top,1",
        "--room", "72,18,60%", "--room", "240, 9, 70", "--moving-air", "--days", "20", "--target-rh", "55",
        "--members", "16", "--seed", "7",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    ((body,), question) = engine[0]
    assert (body.kind, body.known_by, body.faces, body.coating) == ("scots_pine", "stated", 1, "gesso")
    assert (body.thickness_mm, body.width_mm, body.length_mm) == (40.0, 200.0, 900.0)
    assert (body.wet_mass_g, body.dry_mass_g, body.under_water_h, body.out_h) == (5400.0, 3600.0, 12.5, 2.0)
    assert (body.painted, body.surfaces) == (True, ("glued", "sewage_wet"))
    assert body.cover is not None
    assert (body.cover.sheet, body.cover.sheet_area_m2, body.cover.air_litres) == ("pe_50", 1.5, 40.0)
    assert [(gap.kind, gap.length_mm, gap.width_mm, gap.place, gap.count) for gap in body.cover.gaps] == [
        ("hole", 6.0, 6.0, "side", 4),
        ("slit", 100.0, 5.0, "top", 1),
    ]
    assert [(one.until_h, one.temp_c, one.rh) for one in question.room] == [
        (72.0, 18.0, 0.6),
        (480.0, 9.0, 0.7),
    ]
    assert (question.days, question.target_rh, question.moving_air) == (20.0, 0.55, True)
    assert (question.members, question.seed) == (16, 7)


def test_a_diameter_makes_a_cylinder_and_moisture_is_a_share(
    engine: list[tuple[list[WetBody], DryingQuestion]],
) -> None:
    assert (
        run("dry", "--kind", "ivory", "--diameter-mm", "50", "--moisture-percent", "30", *ROOM).exit_code == 0
    )
    body = engine[0][0][0]
    assert (body.shape, body.thickness_mm, body.moisture) == ("cylinder", 50.0, 0.3)


def test_leather_is_leather_without_being_told(engine: list[tuple[list[WetBody], DryingQuestion]]) -> None:
    run("dry", "--kind", "leather", "--thickness-mm", "3", "--painted", *ROOM)
    body = engine[0][0][0]
    assert (body.surfaces, body.coating) == (("leather", "painted"), "paint")


def test_one_body_as_json() -> None:
    result = run("dry", *OAK, *ROOM, "--json", "--as-of", AS_OF)
    document = valid(result)
    assert (document["as_of"], document["list"], len(document["bodies"])) == (AS_OF, None, 1)
    assert document["bodies"][0]["body"]["tag"] == "one"
    assert document["says"][0].startswith("None of these figures has been tried")


def test_a_list_as_a_table(tmp_path: Path) -> None:
    result = run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF)
    assert result.exit_code == 1, "a stop"
    lines = result.stdout.splitlines()
    assert lines[0].startswith("Until as dry as air of 65 % leaves it")
    assert lines[1].split() == "tag part what dries thick dry in strain mould cautions".split()
    rows = [line for line in lines if line.startswith("0001")]
    assert [row.split() for row in rows] == [
        "0001 p1 beech (as one of 2 woods) 45 mm 12 to >31 d, likely 19 1.3 0.6 1".split()
    ], "one line for each part"
    assert "0003 Barometer: Stop, mercury" in result.stdout
    (usual,) = (line for line in lines if line.startswith("0004"))
    assert usual.split()[:6] == "0004 p1 oak (as one of".split()
    assert "6-45 mm?" in usual
    told = "Thickness not given, so reckoned over what such things usually have: 1 of 3, marked '?'."
    assert told in " ".join(result.stdout.split())
    assert "Measure first, where a thickness would say most: 0004/p1 Board without a size." in " ".join(
        result.stdout.split()
    )
    assert "Where nobody gave a thickness, the body is reckoned over all" in result.stdout
    assert "(metal, glass ...)" in result.stdout
    assert "thing 0" not in result.stdout, "the long form stands under --show"
    assert "One of them in full: --show 0001, or one part: --show 0001/p1" in result.stdout
    assert (
        "Asked about: 3 bodies, 1 of them over a usual thickness for want of a measured one. "
        "Not forecast: whole objects 1, parts of others 1." in result.stderr
    )


def test_only_what_was_measured(tmp_path: Path) -> None:
    """Left out as what nobody measured, and nothing speaks of a usual thickness."""
    result = run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--measured-only")
    assert "Thickness not known; give thickness_mm (1):\n    0004/p1  Board without a size\n" in result.stdout
    assert "usual" not in result.output
    assert "mm?" not in result.stdout
    assert "Asked about: 2 bodies. Not forecast: whole objects 1, parts of others 2." in result.stderr


def test_a_usual_thickness_in_json(tmp_path: Path) -> None:
    """The band stands in the body, the count and what to measure beside the bodies; and it is said of all."""
    path = the_list(tmp_path)
    document = valid(run("dry", path, *ROOM, "--as-of", AS_OF, "--json"))
    held = {one["body"]["tag"]: one["body"] for one in document["bodies"]}
    assert held["0004"]["thickness_band_mm"] == [6, 18, 45]
    assert held["0004"]["thickness_mm"] is None
    assert held["0001"]["thickness_band_mm"] is None
    assert document["assumed_thickness"] == {"bodies": 1, "measure_first": ["0004/p1"]}
    assert any(one.startswith("Where nobody gave a thickness") for one in document["says"])
    measured = valid(run("dry", path, *ROOM, "--as-of", AS_OF, "--json", "--measured-only"))
    assert measured["assumed_thickness"] == {"bodies": 0, "measure_first": []}
    assert not any(one.startswith("Where nobody gave a thickness") for one in measured["says"])
    assert [one["why"] for one in measured["left_out"] if one["tag"] == "0004"] == ["thickness"]


def test_a_usual_thickness_is_not_taken_for_a_measured_one_on_its_own_page(tmp_path: Path) -> None:
    """Words and chart carry the band."""
    path, drawing = the_list(tmp_path), tmp_path / "board.svg"
    result = run("dry", path, *ROOM, "--as-of", AS_OF, "--show", "0004", "--chart", drawing)
    assert "6-45 mm? plane" in result.stdout
    assert "thickness: 6 to 45 mm (likely 18 mm); it was not given; usual for boards" in " ".join(
        result.stdout.split()
    )
    assert "6 to 45 mm (not measured)" in drawing.read_text(encoding="utf-8")


def test_the_widest_band_of_days_is_measured_first() -> None:
    """Of assumed ones only, each object once, five at most; what surely does not get there says nothing."""

    def one(
        tag: str, hours: Band | None, share: float = 1.0, band: Band | None = (4.0, 10.0, 40.0)
    ) -> DryingForecast:
        body = replace(BODY, tag=tag, thickness_band_mm=band)
        return replace(forecast_of(body), target=Reached(0.62, (0.1, 0.1, 0.1), hours, share))

    found = [
        one("measured", (1.0, 50.0, 700.0), band=None),
        one("narrow", (10.0, 11.0, 12.0)),
        one("wide", (1.0, 50.0, 700.0)),
        one("wide", (1.0, 5.0, 9.0)),
        one("wider", (1.0, 50.0, 700.0), band=(1.0, 10.0, 90.0)),
        one("never", None, 0.0),
        one("seldom", None, 0.4),
        *(one(f"more{n}", (10.0, 20.0, 30.0 + n)) for n in range(4)),
    ]
    assert [body.tag for body in measure_first(found, QUESTION)] == [
        "wider",
        "wide",
        "seldom",
        "more3",
        "more2",
    ]
    assert assumed_thickness(found) == len(found) - 1


def test_an_object_with_a_stop_gets_no_figure(
    tmp_path: Path, engine: list[tuple[list[WetBody], DryingQuestion]]
) -> None:
    document = valid(run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--json"))
    assert {one["body"]["tag"] for one in document["bodies"]} == {"0001", "0002", "0004"}
    assert {body.tag for body in engine[0][0]} == {"0001", "0002", "0004"}
    assert [(one["tag"], one["why"]) for one in document["left_out"] if not one["part"]] == [("0003", "stop")]


def test_the_assumptions_of_the_asking_come_first(tmp_path: Path) -> None:
    document = valid(run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--json"))
    board = next(one for one in document["bodies"] if one["body"]["tag"] == "0002")
    assert board["assumed"][0]["what"] == "thickness"
    assert board["assumed"][-1]["what"] == "thing_4"


def test_the_demos_list_is_whole(tmp_path: Path) -> None:
    """Every object is there, as bodies or left out with a reason; JSON stands alone on standard output."""
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    result = run("dry", listed, "--site", site, *ROOM, "--as-of", AS_OF, "--json", "--cover", "pe_100")
    document = valid(result)
    tags = {one["body"]["tag"] for one in document["bodies"]} | {one["tag"] for one in document["left_out"]}
    assert len(tags) == document["list"]["objects"] == 140
    assert len(document["bodies"]) > 140
    assert not [one for one in document["left_out"] if one["why"] in {"thickness", "outside"}]
    assert document["assumed_thickness"]["bodies"] > 120
    assert len(document["assumed_thickness"]["measure_first"]) == 5
    assert "10 of " in result.stderr
    assert all(one["body"]["cover"]["sheet"] == "pe_100" for one in document["bodies"])


def test_one_object_of_a_list_in_full(
    tmp_path: Path, engine: list[tuple[list[WetBody], DryingQuestion]]
) -> None:
    result = run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--show", "0002")
    assert "0002/p" in result.stdout
    assert "The course (low, likely, high):" in result.stdout
    assert "Bench" not in result.stdout
    assert [body.tag for body in engine[0][0]] == ["0002"], "only what is shown is reckoned"


def test_one_part_of_an_object(tmp_path: Path, engine: list[tuple[list[WetBody], DryingQuestion]]) -> None:
    path = the_list(tmp_path, 'tag,title,materials,thickness_mm\n0001,Board,"oak, rope",18\n')
    assert "0001/p1" in run("dry", path, *ROOM, "--as-of", AS_OF, "--show", "0001/p1").stdout
    assert [body.part for body in engine[0][0]] == ["p1"]


def test_weights_that_contradict_each_other_are_told(tmp_path: Path) -> None:
    path = the_list(
        tmp_path, "tag,title,materials,thickness_mm,mass_g,dry_mass_g,water\n1,Board,oak,18,700,900,clean\n"
    )
    result = run("dry", path, *ROOM, "--as-of", AS_OF)
    assert result.exit_code == 1
    assert "problem: row 2, dry_mass_g: dry_mass_g is more than mass_g (900 and 700)" in result.stderr


def test_a_clean_list_ends_with_nought(tmp_path: Path) -> None:
    path = the_list(tmp_path, "tag,title,materials,thickness_mm,water\n0001,Bench,beech,45,clean\n")
    assert run("dry", path, *ROOM, "--as-of", AS_OF).exit_code == 0


def test_a_chart_is_drawn(tmp_path: Path) -> None:
    path = tmp_path / "oak.svg"
    result = run("dry", *OAK, *ROOM, "--chart", path)
    assert result.exit_code == 0
    assert path.read_text(encoding="utf-8").startswith("<svg ")
    assert "oak.svg" in result.stderr


def test_no_folder_is_made_for_a_chart(tmp_path: Path) -> None:
    """A slip in its name would leave one somewhere."""
    result = run("dry", *OAK, *ROOM, "--chart", tmp_path / "out" / "oak.svg")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "--chart: there is no folder" in result.stderr
    assert not (tmp_path / "out").exists()


def test_the_chart_of_one_part_of_a_list(tmp_path: Path) -> None:
    path = tmp_path / "bench.svg"
    run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--show", "0001", "--chart", path)
    assert "Drying forecast: 0001/p1, beech, 45 mm" in path.read_text(encoding="utf-8")


def test_it_says_so_before_the_engine_is_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "Compiling" not in run("dry", *OAK, *ROOM).stderr
    monkeypatch.setattr(dry_run, "is_compiled", lambda: False)
    result = run("dry", *OAK, *ROOM, "--json")
    assert result.stderr.startswith("Compiling the drying engine, once for this machine")
    valid(result)


def refusing(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
    """An engine that cannot reckon beech, and stops its whole batch over it."""
    for body in bodies:
        if body.kind == "beech":
            raise OutOfRange("density_kg_m3", 1500.0, 50.0, 1400.0, "kg/m3")
    yield from fake_forecast(bodies, question)


def test_one_body_out_of_range_takes_no_other_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(monkeypatch, refusing)
    document = valid(run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--json"))
    assert [one["body"]["tag"] for one in document["bodies"]] == ["0002", "0004"]
    (outside,) = (one for one in document["left_out"] if one["why"] == "outside")
    assert (outside["tag"], "density_kg_m3 is 1500" in outside["say"]) == ("0001", True)


def test_one_body_out_of_range_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, refusing)
    result = run("dry", "--kind", "beech", "--thickness-mm", "25", *ROOM)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "density_kg_m3 is 1500" in result.stderr


def test_a_number_that_is_none_never_leaves(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def broken(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
        for body in bodies:
            yield replace(forecast_of(body, question), start_moisture=(0.1, math.nan, 0.3))

    stand_in(monkeypatch, broken)
    document = valid(run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, "--json"))
    assert document["bodies"] == []
    assert "start_moisture came out as nan" in document["left_out"][-1]["say"]


REFUSED: list[tuple[str, tuple[str, ...], str]] = [
    ("nothing at all", (), "give a LIST, or say what dries"),
    ("no room", OAK, "--room-c is missing"),
    ("half a room", (*OAK, "--room-c", "12"), "--room-rh is missing"),
    ("no thickness", ("--kind", "oak", *ROOM), "--thickness-mm"),
    ("no diameter", ("--kind", "oak", "--shape", "sphere", *ROOM), "--diameter-mm"),
    ("no kind in it", ("--kind", " ", "--thickness-mm", "25", *ROOM), "--kind is empty"),
    ("an unknown kind", ("--kind", "mahogeny", "--thickness-mm", "25", *ROOM), "near it are: mahogany"),
    ("metal", ("--kind", "iron", "--thickness-mm", "25", *ROOM), "takes up no water"),
    ("two materials", ("--kind", "bronze and iron", "--thickness-mm", "25", *ROOM), "one body at a time"),
    ("a thickness of 0", ("--kind", "oak", "--thickness-mm", "0", *ROOM), "--thickness-mm"),
    ("less than nothing", ("--kind", "oak", "--thickness-mm", "-3", *ROOM), "--thickness-mm"),
    ("a thickness that is no number", ("--kind", "oak", "--thickness-mm", "nan", *ROOM), "--thickness-mm"),
    ("a thickness in words", ("--kind", "oak", "--thickness-mm", "an inch", *ROOM), "--thickness-mm"),
    ("an infinite weight", (*OAK, *ROOM, "--wet-mass-g", "inf"), "--wet-mass-g"),
    ("thickness and diameter", (*OAK, "--diameter-mm", "20", *ROOM), "--diameter-mm"),
    ("a round plane", ("--kind", "oak", "--shape", "plane", "--diameter-mm", "9", *ROOM), "--diameter-mm"),
    ("a thick sphere", (*OAK, "--shape", "sphere", *ROOM), "--thickness-mm is of a plane"),
    ("a wide cylinder", ("--kind", "oak", "--diameter-mm", "9", "--width-mm", "9", *ROOM), "--width-mm"),
    (
        "a long sphere",
        ("--kind", "oak", "--shape", "sphere", "--diameter-mm", "9", "--length-mm", "9", *ROOM),
        "--length-mm",
    ),
    ("a shape nobody has", (*OAK, "--shape", "cone", *ROOM), "--shape"),
    ("wider than thick", (*OAK, "--width-mm", "20", *ROOM), "--width-mm is 20, less than --thickness-mm 25"),
    ("three faces", (*OAK, "--faces", "3", *ROOM), "--faces"),
    ("wet below dry", (*OAK, *ROOM, "--wet-mass-g", "5", "--dry-mass-g", "9"), "--wet-mass-g is 5"),
    ("wet said twice", (*OAK, *ROOM, "--wet-mass-g", "5", "--moisture-percent", "9"), "--moisture-percent"),
    ("hours below nought", (*OAK, *ROOM, "--under-water-h", "-1"), "--under-water-h"),
    ("a coating nobody has", (*OAK, *ROOM, "--coating", "jam"), "--coating"),
    ("a surface nobody has", (*OAK, *ROOM, "--surface", "dusty"), "--surface"),
    ("humidity of 120", (*OAK, "--room-c", "12", "--room-rh", "120"), "--room-rh"),
    ("a room of -40", (*OAK, "--room-c", "-40", "--room-rh", "60"), "--room-c"),
    ("a room said twice", (*OAK, *ROOM, "--room", "72,9,70%"), "give the one or the other"),
    ("a stretch of two", (*OAK, "--room", "72,9"), "--room wants UNTIL_H,C,RH%"),
    ("a stretch of words", (*OAK, "--room", "long,9,70%"), "--room wants UNTIL_H,C,RH%"),
    ("a stretch too damp", (*OAK, "--room", "72,9,170%"), "--room: relative humidity"),
    ("a stretch too cold", (*OAK, "--room", "72,-30,70%"), "--room: below 0 C the water in it freezes"),
    ("a stretch too warm", (*OAK, "--room", "72,60,70%"), "--room: the room is from 0 to 40"),
    ("a room with frost", (*OAK, "--room-c", "-1", "--room-rh", "60"), "below 0 C the water in it freezes"),
    ("a room of 41", (*OAK, "--room-c", "41", "--room-rh", "60"), "--room-c"),
    (
        "a thickness with its unit",
        ("--kind", "oak", "--thickness-mm", "25mm", *ROOM),
        "'25mm' is no number; write a number without unit, such as 25",
    ),
    ("a warmth in words", (*OAK, "--room-c", "cool", "--room-rh", "60"), "'cool' is no number"),
    ("a stretch of no hours", (*OAK, "--room", "0,9,70%"), "--room: the hour"),
    ("stretches back to front", (*OAK, "--room", "72,9,70%", "--room", "24,9,70%"), "24 h comes after 72 h"),
    ("no days", (*OAK, *ROOM, "--days", "0"), "--days"),
    ("10000 days", (*OAK, *ROOM, "--days", "10000"), "--days"),
    ("one member", (*OAK, *ROOM, "--members", "1"), "--members"),
    ("a target of 100", (*OAK, *ROOM, "--target-rh", "100"), "--target-rh"),
    ("a seed below nought", (*OAK, *ROOM, "--seed", "-1"), "--seed"),
    ("a cover nobody has", (*OAK, *ROOM, "--cover", "blanket"), "there are pe_25"),
    ("a gap of no cover", (*OAK, *ROOM, "--gap", "hole,6,side,4"), "--gap is of a cover"),
    ("a sheet of no cover", (*OAK, *ROOM, "--sheet-area-m2", "2"), "--sheet-area-m2 is of a cover"),
    ("air of no cover", (*OAK, *ROOM, "--air-litres", "2"), "--air-litres is of a cover"),
    ("a change of no cover", (*OAK, *ROOM, "--then", "72,off"), "--then is of a cover"),
    ("a change at no hour", (*COVERED, "--then", "soon,off"), "--then wants HOUR,GAP"),
    ("a change to nothing", (*COVERED, "--then", "72"), "--then wants HOUR,GAP"),
    ("a change before now", (*COVERED, "--then", "-3,off"), "--then: the hour is from 0.1"),
    ("a change to no opening", (*COVERED, "--then", "72,wide"), "--then: an opening wants hole"),
    ("a change nowhere", (*COVERED, "--then", "72,hole,6,corner,4"), "top, side or bottom"),
    ("changes at nearly one hour", (*COVERED, "--then", "72,shut", "--then", "72.01,off"), "apart"),
    (
        "a count without end",
        (*COVERED, "--then", "72,hole,6,top," + "9" * 5000),
        "the count is a whole number",
    ),
    ("stretches of no length", (*OAK, "--room", "72,18,50", "--room", "72.01,18,60"), "less than 0.1 h"),
    ("hours out of order", (*COVERED, "--then", "72,shut", "--then", "24,off"), "24 h comes after 72 h"),
    ("a cover that is gone", (*COVERED, "--then", "24,off", "--then", "72,shut"), "off from hour 24"),
    ("shut and open", (*COVERED, "--then", "24,shut", "--then", "24,hole,6,top,1"), "hour 24 is shut or off"),
    (
        "a change larger than the sheet",
        (*COVERED, "--sheet-area-m2", "0.1", "--then", "24,hole,400,top,1"),
        "--then: the openings add up to 0.13 m2",
    ),
    ("a gap without a count", (*OAK, *ROOM, "--cover", "pe_50", "--gap", "hole,6,side"), "--gap wants hole"),
    (
        "a gap of another kind",
        (*OAK, *ROOM, "--cover", "pe_50", "--gap", "tear,6,side,4"),
        "--gap wants hole",
    ),
    ("a gap nowhere", (*OAK, *ROOM, "--cover", "pe_50", "--gap", "hole,6,corner,4"), "top, side or bottom"),
    ("a gap not counted", (*OAK, *ROOM, "--cover", "pe_50", "--gap", "hole,6,side,some"), "--gap: the count"),
    (
        "a gap of no size",
        (*OAK, *ROOM, "--cover", "pe_50", "--gap", "hole,0,side,1"),
        "--gap: a hole measures",
    ),
    ("a slit of one size", (*OAK, *ROOM, "--cover", "pe_50", "--gap", "slit,6,side,1"), "--gap wants hole"),
    (
        "gaps larger than their sheet",
        (*OAK, *ROOM, "--cover", "pe_50", "--sheet-area-m2", "0.1", "--gap", "hole,400,top,1"),
        "--gap: the openings add up to 0.13 m2",
    ),
    ("a chart that is no SVG", (*OAK, *ROOM, "--chart", "oak.png"), "--chart draws an SVG"),
    ("a moment that is none", (*OAK, *ROOM, "--as-of", "yesterday"), "--as-of"),
    ("a tag without a list", (*OAK, *ROOM, "--show", "0001"), "--show goes with a LIST"),
    ("only the measured of no list", (*OAK, *ROOM, "--measured-only"), "--measured-only goes with a LIST"),
    ("a site without a list", (*OAK, *ROOM, "--site", "site.toml"), "--site goes with a LIST"),
    ("overrides without a list", (*OAK, *ROOM, "--overrides", "o.toml"), "--overrides goes with a LIST"),
]


@pytest.mark.parametrize(("what", "arguments", "named"), REFUSED, ids=[row[0] for row in REFUSED])
def test_a_wrong_call_is_refused_in_a_sentence(
    what: str,
    arguments: tuple[str, ...],
    named: str,
    engine: list[tuple[list[WetBody], DryingQuestion]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It names the option, ends with 2, writes nothing, and the engine is never asked."""
    monkeypatch.chdir(tmp_path)
    result = run("dry", *arguments)
    assert (result.exit_code, result.stdout) == (2, ""), what
    assert named in " ".join(result.stderr.split())
    assert engine == []
    assert list(tmp_path.iterdir()) == []


WITH_LIST: list[tuple[str, tuple[str, ...], str]] = [
    ("an option of one body", ("--thickness-mm", "25"), "--thickness-mm describes one body"),
    ("a surface", ("--surface", "soiled"), "--surface describes one body"),
    ("a tag nobody has", ("--show", "4711"), "no object has the tag or owner number '4711'"),
    ("a part nobody has", ("--show", "0002/p9"), "it has no part 'p9'"),
    ("a chart of many", ("--chart", "all.svg"), "name one with --show, such as 0001/p1"),
    (
        "a chart of a stop",
        ("--show", "0003", "--chart", "it.svg"),
        "nothing of it is forecast: Stop, mercury",
    ),
]


@pytest.mark.parametrize(("what", "arguments", "named"), WITH_LIST, ids=[row[0] for row in WITH_LIST])
def test_a_wrong_call_with_a_list(what: str, arguments: tuple[str, ...], named: str, tmp_path: Path) -> None:
    result = run("dry", the_list(tmp_path), *ROOM, "--as-of", AS_OF, *arguments)
    assert (result.exit_code, result.stdout) == (2, ""), what
    assert named in " ".join(result.stderr.split())


def test_gaps_and_stretches_read_what_help_says() -> None:
    assert gap_from("slit,100x5,top,1").length_mm == 100.0
    changes = changes_from(("72,slit,100x5,top,2", "72,hole,6,side,4", "96,shut", "240,off"))
    assert [one.from_h for one in changes] == [72.0, 96.0, 240.0]
    assert [None if one.gaps is None else len(one.gaps) for one in changes] == [2, 0, None]
    assert stretch_from("72,9,70%").rh == 0.7


def test_a_cover_that_is_changed_later() -> None:
    """Opened on day three and off on day ten: said in words and in JSON."""
    arguments = ("dry", *COVERED, "--days", "60", "--members", "8", "--as-of", AS_OF)
    then = ("--then", "72,slit,60x20,top,2", "--then", "240,off")
    told = " ".join(run(*arguments, *then).stdout.split())
    assert "openings: none; from hour 72: 2 x slit 60 x 20 mm, top; from hour 240: taken off" in told
    changed, stays = (json.loads(run(*arguments, *more, "--json").stdout) for more in (then, ()))
    (body,), (other,) = changed["bodies"], stays["bodies"]
    assert [one["from_h"] for one in body["body"]["cover"]["later"]] == [72, 240]
    assert body["body"]["cover"]["later"][1]["gaps"] is None
    assert other["body"]["cover"]["later"] == []
    assert not list(Draft202012Validator(dry_schema()).iter_errors(changed))


def test_help_names_every_cover_and_coating() -> None:
    told = " ".join(run("dry", "--help").stdout.split())
    assert all(key in told for key in (*covers(), *wetting()["coating"]))
    assert set(COATINGS) == set(wetting()["coating"])


def test_the_engine_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once without a stand-in: what leaves follows the contract, and the same seed gives the same figures."""
    monkeypatch.delitem(sys.modules, "strandline.drying.forecast")
    call = (
        "dry",
        *OAK,
        *ROOM,
        "--under-water-h",
        "12",
        "--days",
        "3",
        "--members",
        "8",
        "--json",
        "--as-of",
        AS_OF,
    )
    first, again = run(*call), run(*call)
    (body,) = valid(first)["bodies"]
    assert body["model"] == "engine"
    assert body["series"]["mean"][0][1] > body["series"]["mean"][-1][1]
    assert first.stdout == again.stdout
    other = valid(run(*call, "--seed", "2"))["bodies"][0]
    assert other["series"] != body["series"]
