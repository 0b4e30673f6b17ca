"""Usual thicknesses: what ships can be used, covers every material that dries, and bad rows are refused."""

from __future__ import annotations

import pytest

from strandline.knowledge import bodies
from strandline.knowledge.base import shipped
from strandline.knowledge.science_sources import science_sources
from strandline.knowledge.thicknesses import (
    FILE,
    LEAST_FACTOR,
    ThicknessError,
    names,
    read_thicknesses,
    thicknesses,
    usual,
)

SHIPPED = FILE.read_text(encoding="utf-8")
DRIED = sorted(
    one.material for one in bodies.standings().values() if one.body is not None or one.why == "timber"
)


def test_shipped_rows_name_known_sources_and_known_materials() -> None:
    """Every source has its entry, and no row calls what was remembered read."""
    known, materials = science_sources(), shipped().materials
    families = {one.family for one in materials.values()}
    for table, rows in thicknesses().items():
        assert rows, table
        for key, row in rows.items():
            assert set(row.source) <= set(known), key
            assert row.confidence == "c", "no band of hundredths was read or remembered anywhere"
            assert set(row.materials) <= set(materials), key
            assert set(row.families) <= families, key
            assert LEAST_FACTOR * row.band_mm[0] <= row.band_mm[2], key
            assert row.note == row.note.strip(), key


@pytest.mark.parametrize("material", DRIED)
def test_every_material_that_dries_has_a_usual_thickness(material: str) -> None:
    family = shipped().materials[material].family
    found = usual(material, family)
    assert found is not None
    assert found.band_mm[0] < found.band_mm[1] < found.band_mm[2]


@pytest.mark.parametrize("material", DRIED)
def test_less_said_is_never_a_narrower_band(material: str) -> None:
    """High over low of what the material alone tells is no less than with any word for it."""
    family = shipped().materials[material].family
    plain = usual(material, family)
    assert plain is not None
    for row in thicknesses()["thing"].values():
        if row.fits(material, family):
            told = usual(material, family, row.words[0])
            assert told is not None
            if told.keys == (row.key,):
                low, _, high = told.band_mm
                assert high / low <= plain.band_mm[2] / plain.band_mm[0] * (1 + 1e-9), row.key


def test_every_word_leads_to_its_own_row() -> None:
    """A word is found in a text, and its band lies within what is then reckoned with."""
    for key, row in thicknesses()["thing"].items():
        material = row.materials[0] if row.materials else ""
        family = row.families[0] if row.families else ""
        for word in row.words:
            found = usual(material, family, f"Old {word}, broken")
            assert found is not None
            assert key in found.keys, (key, word)
            assert found.band_mm[0] <= row.band_mm[0]
            assert found.band_mm[2] >= row.band_mm[2]


def test_outside_look() -> None:
    """Against figures others give: drawer bottoms of 4 to 8 mm and cases of 16 to 22 (joyce-drawers,
    casework-forum), bindings of 0.3 to 1 mm (book-arts-leather-2004)."""
    rows = thicknesses()["thing"]
    for key, inside in (
        ("wood_box", (4.0, 8.0, 16.0)),
        ("wood_chest", (16.0, 19.0, 22.0)),
        ("wood_cupboard", (16.0, 19.0, 22.0)),
        ("leather_book", (0.3, 0.7, 1.0)),
    ):
        low, _, high = rows[key].band_mm
        assert all(low <= one <= high for one in inside), key


@pytest.mark.parametrize(
    ("text", "words", "there"),
    [
        ("Sea-chest", ("chest",), True),
        ("Toolchests", ("chest",), True),
        ("Boxes", ("box",), True),
        ("Boxwood block", ("box",), False),
        ("stray bits", ("tray",), False),
        ("ashtray", ("tray",), True),
        ("a ship in a bottle", ("ship in a bottle",), True),
        ("bottle", ("ship in a bottle",), False),
        ("Sou’wester", ("sou'wester",), True),
        ("soar", ("oar",), False),
        ("", ("oar",), False),
    ],
)
def test_words_in_a_text(text: str, words: tuple[str, ...], there: bool) -> None:
    assert names(text, words) is there


def test_a_word_of_its_own_is_not_read_at_its_end() -> None:
    """A ferrule is no rule, a cupboard no board."""
    found = usual("horn", "bone", "horn ferrule")
    assert found is not None
    assert found.keys == ("bone_handle",)
    cupboard = usual("timber", "wood", "Cupboard")
    assert cupboard is not None
    assert cupboard.keys == ("wood_cupboard",)


def test_nothing_is_known_of_a_family_that_does_not_dry() -> None:
    assert usual("iron", "metal", "chest") is None


FIRST = 'high_mm = 35\nshape = "plane"\nsource = ["thickness-practice", "casework-forum"]\nconfidence = "c"'


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("\n[[thing]]", "\n[thing", "t.toml: not valid TOML"),
        ("\n[[thing]]", "\n[[objects]]", "'objects' is not known; there are thing, kind"),
        ("low_mm = 8", "low_mm = 0", "thing 1 (wood_chest): low_mm: is missing"),
        ("low_mm = 8", "low_mm = -8", "thing 1 (wood_chest): low_mm: must be a number from 0.01 to 1000"),
        ("low_mm = 8", "low_mm = nan", "low_mm: must be a number"),
        ("low_mm = 8", 'low_mm = "8"', "low_mm: must be a number"),
        ("low_mm = 8", "low_mm = true", "low_mm: must be a number"),
        ("low_mm = 8", "low_mm = 12", "high_mm: must be at least 3 times low_mm"),
        ("low_mm = 8", "low_mm = 20", "mid_mm: must lie between"),
        ("high_mm = 35", "high_mm = 3500", "high_mm: must be a number from 0.01 to 1000"),
        ('key = "wood_box"', 'key = "wood_chest"', "thing: a key stands there twice"),
        ('name = "chests and trunks"', 'name = ""', "thing 1 (wood_chest): name: is missing"),
        ('"chest", "coffer"', '"Chest", "coffer"', "words: must be in lower case"),
        ('"chest", "coffer"', '3, "coffer"', "words: must be a list of texts"),
        ('families = ["wood"]', "families = []", "it holds for no material and no family"),
        (FIRST, FIRST.replace("plane", "cone"), "shape: 'cone' is none of plane, cylinder"),
        (FIRST, FIRST.replace('"c"', '"x"'), "confidence: 'x' is none of v, m, c"),
        (FIRST, FIRST + "\ncolour = 1", "colour: is not a field here"),
        (FIRST, FIRST + "\nalways = true", "always: is true or false, and of a kind"),
        (FIRST, FIRST + "\nnote = 3", "note: must be a text"),
        ('key = "timber"', 'key = "timber"\nwords = ["x"]', "a thing has some, a kind has none"),
    ],
)  # fmt: skip
def test_bad_rows_are_refused_by_name(old: str, new: str, said: str) -> None:
    """File, row, field and reason."""
    assert old in SHIPPED
    with pytest.raises(ThicknessError) as refused:
        read_thicknesses(SHIPPED.replace(old, new, 1), "t.toml")
    assert said in str(refused.value)
    assert "t.toml" in str(refused.value)


@pytest.mark.parametrize("table", ["thing", "kind"])
def test_a_table_that_is_not_there_is_missed(table: str) -> None:
    """Neither can be left out or be something else."""
    other = "thing" if table == "kind" else "kind"
    rows = SHIPPED[SHIPPED.index(f"\n[[{other}]]") :]
    only = rows.split("\n[[kind]]")[0] if other == "thing" else rows
    for text in (only, f"{table} = 3\n{only}"):
        with pytest.raises(ThicknessError, match=f"{table}: there is no"):
            read_thicknesses(text, "t.toml")
