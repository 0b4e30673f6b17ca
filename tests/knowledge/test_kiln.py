"""The kiln schedules as shipped: whole, in order, milder where they must be, and open about what was read."""

from pathlib import Path

import pytest

from strandline.knowledge import kiln
from strandline.physics.air import wet_bulb_c
from strandline.physics.kiln import celsius, equilibrium_allowed, rh_of_depression
from tests.reference import outside

MOISTURES = (0.9, 0.55, 0.45, 0.38, 0.33, 0.28, 0.22, 0.17, 0.10)


def test_every_species_has_a_schedule_at_every_thickness() -> None:
    """Steps begin at ever drier boards; temperatures never fall; no air is drier than kilns can hold."""
    for name in kiln.species_names():
        for quarters in (4, 6, 8, 12):
            steps = kiln.schedule(name, quarters).steps
            starts = [step.moisture_start for step in steps]
            assert starts == sorted(set(starts), reverse=True), name
            temps_c = [step.temp_c for step in steps]
            assert temps_c == sorted(temps_c), name
            lowest_c = min(wet_bulb_c(step.temp_c, step.rh) for step in steps)
            assert lowest_c > celsius(90.0) - 0.01, name


def test_red_oak_is_put_together_as_remembered() -> None:
    """Dry bulb and depression of each step of 4/4 red oak, the wet bulb never below 90 degF."""
    made = kiln.schedule("red oak")
    assert (made.code, made.confidence, made.quarters) == ("T4-D2", "m", 4)
    wanted = [(110, 4), (110, 5), (110, 8), (110, 14), (120, 30), (130, 40), (140, 50), (180, 50)]
    assert [step.moisture_start for step in made.steps[1:]] == [0.5, 0.4, 0.35, 0.3, 0.25, 0.2, 0.15]
    for step, (dry_f, gap_f) in zip(made.steps, wanted, strict=True):
        assert step.temp_c == pytest.approx(celsius(dry_f))
        assert step.rh == pytest.approx(rh_of_depression(celsius(dry_f), gap_f * 5.0 / 9.0))


def test_hard_timbers_start_moister() -> None:
    """Lowland oak before red oak before maple before poplar before the pines."""
    names = ("lowland oak", "red oak", "sugar maple", "yellow-poplar", "eastern white pine", "southern pine")
    first = [equilibrium_allowed(kiln.schedule(name).steps, 0.9) for name in names]
    assert first == sorted(first, reverse=True)


def test_thicker_boards_of_oak_are_never_judged_more_mildly() -> None:
    """At every moisture the 8/4 schedule keeps the face as moist as the 4/4 one, or moister, until 30 %."""
    for name in ("red oak", "white oak", "sugar maple", "walnut", "beech", "hickory"):
        thin, thick = (kiln.schedule(name, quarters).steps for quarters in (4, 8))
        for moisture in MOISTURES[:5]:
            assert equilibrium_allowed(thick, moisture) >= equilibrium_allowed(thin, moisture) - 1e-9, name


def test_a_code_of_its_own_goes_before_the_rule() -> None:
    """Red oak has its own 8/4 code; beech gets one number less, and says so; 12/4 birch was read."""
    assert (kiln.schedule("red oak", 8).code, kiln.schedule("red oak", 8).note) == ("T3-D1", "")
    assert kiln.schedule("beech", 8).code == "T7-C1"
    assert "T8-C2" in kiln.schedule("beech", 8).note
    assert kiln.schedule("yellow birch", 12).code == "T3-B2"


def test_pine_is_held_where_its_own_table_is_unknown() -> None:
    """From 30 % on the depression stays, which allows less than the hardwood table would."""
    made = kiln.schedule("white pine")
    assert made.species == "eastern white pine"
    assert "held below 30% moisture" in made.note
    basswood = kiln.schedule("yellow-poplar")
    assert equilibrium_allowed(made.steps, 0.10) > equilibrium_allowed(basswood.steps, 0.10)


def test_what_was_read_is_marked() -> None:
    """Only the two schedules given step by step are read; every code rests on remembered tables."""
    read = [name for name in kiln.species_names() if kiln.schedule(name).confidence == "v"]
    assert read == ["oregon white oak", "eucalyptus globulus"]
    assert all(kiln.schedule(name).source for name in kiln.species_names())
    assert kiln.schedule("yellow birch", 12).confidence == "m"


def test_safe_losses() -> None:
    """Read from the page; 8/4 boards may lose about two fifths of what 4/4 may."""
    assert kiln.safe_loss("red oak") == pytest.approx(0.038)
    assert kiln.safe_loss("Walnut", 8) == pytest.approx(0.033)
    for one in kiln.tables().losses:
        assert one.confidence == "v"
        if one.per_day_8 is not None:
            assert 0.37 < one.per_day_8 / one.per_day_4 < 0.42, one.species


@pytest.mark.parametrize(
    ("species", "quarters", "told"),
    [("plasterboard", 4, "for 'plasterboard'"), ("lowland oak", 8, "8/4"), ("red oak", 6, "6/4")],
)
def test_what_has_no_safe_loss_says_so(species: str, quarters: int, told: str) -> None:
    """No number is invented."""
    with pytest.raises(LookupError, match=told):
        kiln.safe_loss(species, quarters)


def test_an_unknown_species_is_told_what_there_is() -> None:
    """The names are listed."""
    with pytest.raises(LookupError, match=r"no kiln schedule for 'ebony'.*red oak"):
        kiln.schedule("ebony")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("[30, 25, 20, 15, 10]", "[30, 25, 20, 25, 10]", "moisture_class 1: starts_percent: the numbers do"),
        ("[30, 25, 20, 15, 10]", "[30, 25, 20, 15]", "moisture_class 1: starts_percent: has 4 numbers"),
        ("[3, 4, 6, 10, 25, 50]", '[3, 4, 6, 10, 25, "x"]', "depression 1: depressions_f"),
        ('code = "T4-D2"', 'code = "D2-T4"', "species 1: code: 'D2-T4' is not of the form"),
        ('confidence = "m"', 'confidence = "x"', "species 1: confidence: 'x' is none of"),
        (
            "lowest_wet_bulb_f = 90",
            'lowest_wet_bulb_f = "low"',
            "rule: lowest_wet_bulb_f: 'low' is no number",
        ),
        ('aliases = ["northern', 'aliases = "northern', "not valid|Expected|toml"),
        ("[[safe_loss]]", "[[safe]]", r"safe_loss: there is no \[\[safe_loss\]\]"),
        ("percent_per_day_4 = 10.4", "percent_per_day_4 = true", "safe_loss 1: percent_per_day_4"),
        ("[rule]", "[rules]", "rule: there is no such table"),
    ],
)
def test_a_broken_file_is_told_by_row_and_field(tmp_path: Path, old: str, new: str, told: str) -> None:
    """File, row, field and reason."""
    text = kiln.FILE.read_text(encoding="utf-8")
    at = text.index("[[species]]") if "confidence" in old else 0
    changed = text[:at] + (text[at:].replace(old, new) if "[[" in old else text[at:].replace(old, new, 1))
    assert changed != text
    path = tmp_path / "kiln.toml"
    path.write_text(changed, encoding="utf-8")
    with pytest.raises(kiln.KilnNumbersError, match=told) as caught:
        kiln.tables(path)
    assert "kiln.toml" in str(caught.value)


def test_the_measured_curves_can_be_read() -> None:
    """Well formed, each with its place; most published, and what is counted apart says why."""
    rows = outside.read_file(outside.FOLDER / "measured_curves.csv")
    assert sum(row.counted for row in rows) >= 10
    assert all(row.place and (row.counted or row.note) for row in rows)
    assert {row.quantity for row in rows} == {"lanes.drying_curve"}
