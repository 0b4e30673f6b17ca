"""The lists of words themselves: no two meanings, no harmless word that names a body, only known keys."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path

import pytest

from strandline.knowledge.files import read_file
from strandline.knowledge.models import Feature, Material
from strandline.knowledge.reading.lexicon import FOLDER, lexicon
from strandline.knowledge.reading.read import read_texts

WORDS = lexicon()
NAMES = [name for listed in WORDS.by_first.values() for name in listed]
HARMLESS = [name for name in NAMES if name.kind == "harmless"]
SHIPPED = [path for path in FOLDER.parent.rglob("*.toml") if FOLDER not in path.parents]


def shipped(kind: type) -> list[Material | Feature]:
    """All entries of a kind in the knowledge files."""
    entries = [entry for path in SHIPPED for rows in read_file(path)[0].values() for entry in rows]
    return [entry for entry in entries if isinstance(entry, kind)]


def test_no_name_has_two_meanings() -> None:
    assert [(a.kind, a.key, b.kind, b.key, a.phrase) for a, b in WORDS.clashes] == []


def test_a_harmless_word_names_no_body_finish_or_join() -> None:
    wrong = []
    for name in HARMLESS:
        reading = read_texts({"materials": name.phrase})
        named = reading.parts or reading.features or reading.joins
        if named or {word.kind for word in reading.words} != {name.key}:
            wrong.append(name.phrase)
    assert wrong == []


def test_every_harmless_class_is_known() -> None:
    assert {name.key for name in HARMLESS} == {
        "colour", "condition", "count", "grammar", "maker", "period", "person", "place", "shape", "subject",
        "technique", "thing",
    }  # fmt: skip


def test_families_are_those_of_the_material_entries() -> None:
    assert {entry.key: entry.family for entry in shipped(Material)} == WORDS.family_of


def test_feature_keys_are_those_of_the_feature_entries() -> None:
    entries = [entry for entry in shipped(Feature) if isinstance(entry, Feature)]
    assert {entry.key for entry in entries} == WORDS.feature_keys
    assert {entry.key for entry in entries if entry.surface} == WORDS.surfaces


def test_names_use_known_keys() -> None:
    materials = {*WORDS.family_of, "unknown", *(f"{family}_unknown" for family in WORDS.family_of.values())}
    for name in NAMES:
        if name.kind in ("material", "object"):
            assert name.key in materials, name
        assert set(name.could_be) <= materials, name
        assert set(name.keys) <= WORDS.feature_keys, name


def test_every_word_has_one_spelling_in_the_lists() -> None:
    """A word that is respelt before looking up would never be found in its first spelling."""
    assert {word for word in WORDS.vocabulary if WORDS.spelling.get(word, word) != word} == set()


def test_foreign_words_lead_to_known_words() -> None:
    for target in set(WORDS.foreign.values()):
        assert any(name.words == (target,) for name in WORDS.by_first.get(target, ())), target


@pytest.mark.parametrize(
    ("family", "least"),
    [
        ("wood", 80), ("stone", 60), ("textile", 60), ("metal", 40), ("ceramic", 50), ("plastic", 40),
        ("glass", 30), ("skin", 40), ("bone", 30), ("plant", 30),
    ],
)  # fmt: skip
def test_the_vocabulary_is_broad(family: str, least: int) -> None:
    counts = Counter(WORDS.family(name.key) for name in NAMES if name.kind == "material")
    assert counts[family] >= least


def test_files_hold_only_blocks_that_are_read() -> None:
    known = {
        "key",
        "words",
        "features",
        "could_be",
        "flags",
        "how",
        "keys",
        "as_material",
        "also",
        "kind",
        "where",
    }
    known |= {"material", "always", "not_as_subject", "mount", "finish", "weak"}
    for path in sorted(Path(FOLDER).glob("*.toml")):
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
        for entry in raw.get("entry", []):
            if path.stem != "imitations":
                assert set(entry) <= known, (path.name, entry)
