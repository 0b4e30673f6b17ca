"""The numbers of the science say where they are from, and the list of sources is whole."""

from pathlib import Path

import pytest

from strandline.knowledge.science_sources import ScienceSource, joined, read_sources, science_sources
from tests.house.science_rules import FOLDER, number_findings
from tests.house.tree import SourceFile, read_tree, repository

SOURCE = """
[[source]]
key = "somebody-1990"
title = "A book on heat"
publisher = ""
year = 1990
read = "memory"
note = ""
"""
NUMBERS = """
[[species]]
key = "oak"
density = 600
source = "somebody-1990"
confidence = "m"

[limits.metal]
share = 0.4
source = ["somebody-1990"]
confidence = "v"
"""


def plant_numbers(root: Path, text: str) -> list[SourceFile]:
    """A tree with one file of numbers."""
    path = root / FOLDER / "things.toml"
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    return read_tree(root)


def test_every_number_has_source_and_confidence() -> None:
    """And every source can be looked up."""
    found = number_findings(repository(), science_sources())
    assert not found, "\n".join(["", *found])


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('confidence = "m"', "", "species oak: confidence: is ''"),
        ('confidence = "v"', 'confidence = "sure"', "limits.metal: confidence: is 'sure'"),
        ('source = "somebody-1990"', "", "species oak: source: is missing"),
        ('source = "somebody-1990"', 'source = "nobody-1990, p. 3"', "'nobody-1990' has no entry"),
        ('["somebody-1990"]', '["somebody-1990", "x"]', "limits.metal: source: 'x' has no entry"),
        ('source = ["somebody-1990"]\nconfidence = "v"', "", "limits.metal: confidence: is ''"),
    ],
)
def test_the_number_rule_can_fail(tmp_path: Path, old: str, new: str, told: str) -> None:
    """What is missing or cannot be looked up is found, by file and row."""
    assert number_findings(plant_numbers(tmp_path / "good", NUMBERS), {"somebody-1990"}) == []
    assert old in NUMBERS
    tree = plant_numbers(tmp_path / "bad", NUMBERS.replace(old, new, 1))
    findings = number_findings(tree, {"somebody-1990"})
    assert findings
    assert findings[0].startswith(f"{FOLDER}things.toml:1: ")
    assert told in findings[0]


def test_names_need_no_source(tmp_path: Path) -> None:
    """A group that only names its members holds no number; one number deep inside is enough."""
    names = NUMBERS + '\n[[group]]\nkey = "oaks"\nmembers = ["oak"]\n'
    assert number_findings(plant_numbers(tmp_path / "good", names), {"somebody-1990"}) == []
    deep = names + "shares = [[0.5]]\n"
    assert len(number_findings(plant_numbers(tmp_path / "bad", deep), {"somebody-1990"})) == 2


def test_practice_may_be_without_a_source(tmp_path: Path) -> None:
    """Nobody published it; that is what the letter says."""
    practice = NUMBERS.replace('source = "somebody-1990"\nconfidence = "m"', 'confidence = "c"')
    assert number_findings(plant_numbers(tmp_path, practice), {"somebody-1990"}) == []


def test_the_sources_that_ship_are_whole() -> None:
    """They can be read at all; every one has its fields."""
    assert science_sources()


def test_a_good_source_is_read() -> None:
    """A year may be a number."""
    assert read_sources(SOURCE, "x.toml") == (
        [ScienceSource("somebody-1990", "A book on heat", "", "1990", "memory", "")],
        [],
    )


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('key = "somebody-1990"', "", "x.toml: source 1 (?): key: is empty"),
        ('key = "somebody-1990"', 'key = "Some body"', "key: lower-case"),
        ('title = "A book on heat"', 'title = ""', "x.toml: source 1 (somebody-1990): title: is empty"),
        ('read = "memory"', 'read = "well"', "read: 'well' is not one of"),
        ("year = 1990", "year = 1990.5", "year: is neither"),
        ('note = ""', 'pages = "3"', "pages: is not a field"),
        ("[[source]]", "[[sources]]", "x.toml: 'sources' is not known"),
        ("[[source]]", "[source]", "x.toml: source: write [[source]]"),
        ("[[source]]", "[[source", "x.toml: not valid TOML"),
    ],
)
def test_a_bad_source_is_told(old: str, new: str, told: str) -> None:
    """With file, row, field and reason."""
    _, problems = read_sources(SOURCE.replace(old, new), "x.toml")
    assert any(told in problem for problem in problems), problems


def test_two_parts_may_name_one_work() -> None:
    """The closer reading counts; two years, or a key twice in one file, are told."""
    far, close = (
        ScienceSource("a-1", "A", "", "1990", read, note) for read, note in (("memory", ""), ("read", "p. 3"))
    )
    found, problems = joined({"x": [far], "y": [close]})
    assert (found["a-1"].read, found["a-1"].note, problems) == ("read", "p. 3", [])
    assert joined({"x": [close], "y": [far]})[0]["a-1"].read == "read"
    other = ScienceSource("a-1", "A", "", "1991", "read", "")
    assert len(joined({"x": [far], "y": [other]})[1]) == 1
    assert len(joined({"x": [far, close]})[1]) == 1
