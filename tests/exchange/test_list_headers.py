"""Headers: which name means which column, in which unit, and what a mapping changes."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from strandline.exchange import headers
from strandline.exchange.headers import names, plan_headers, read_header, score
from strandline.exchange.lists import ListError
from strandline.things.listing import COLUMNS
from tests.exchange.making import opened, told

KNOWN = {
    # English, as museums, helpers and lenders write it
    "Object": "title",
    "what is it": "title",
    "NAME": "title",
    "Medium": "materials",
    "Made of:": "materials",
    "material(s)": "materials",
    "Technique": "materials",
    "Classification": "class",
    "object type": "class",
    "Remarks": "features",
    "Description": "features",
    "Cond.": "condition",
    "pcs": "pieces",
    "Quantity": "pieces",
    "count": "pieces",
    "museum no": "owner_number",
    "accession_number": "owner_number",
    "inv. nr": "owner_number",
    "Tag no.": "tag",
    "value 1-5": "significance",
    "Value (1–5)": "significance",
    "State on arrival": "wet_state",
    "lender": "owner",
    "Where found": "place",
    "AccessionNumber": "owner_number",
    "hours_wet": "hours_wet",
    # German, French, Dutch, Spanish
    "Bezeichnung": "title",
    "Höhe": "height_mm",
    "HÖHE": "height_mm",
    "Hoehe": "height_mm",
    "Werkstoff": "materials",
    "Erhaltungszustand": "condition",
    "Stückzahl": "pieces",
    "Inventar-Nr.": "owner_number",
    "Eigentümer": "owner",
    "Standort": "place",
    "Désignation": "title",
    "matériaux": "materials",
    "État": "condition",
    "N° d'inventaire": "owner_number",
    "épaisseur": "thickness_mm",
    "benaming": "title",
    "Materiaal": "materials",
    "toestand": "condition",
    "inventarisnummer": "owner_number",
    "Denominación": "title",
    "técnica": "materials",
    "número de inventario": "owner_number",
    "diámetro": "diameter_mm",
}

UNITS = {
    "L (cm)": ("length_mm", "cm"),
    "height_in": ("height_mm", "in"),
    "dia (in)": ("diameter_mm", "in"),
    "weight kg": ("mass_g", "kg"),
    "Höhe mm": ("height_mm", "mm"),
    "Länge in cm": ("length_mm", "cm"),
    "cm L": ("length_mm", "cm"),
    'W (")': ("width_mm", "in"),
    "H [']": ("height_mm", "ft"),
    "heightCM": ("height_mm", "cm"),
    "dry wt (g)": ("dry_mass_g", "g"),
    "Gewicht (kg)": ("mass_g", "kg"),
    "mass (lbs)": ("mass_g", "lb"),
    "hours under water": ("under_water_h", ""),
    "days wet": ("hours_wet", "d"),
    "wet for (days)": ("hours_wet", "d"),
    "Ø mm": ("diameter_mm", "mm"),
    "width metres": ("width_mm", "m"),
    "L": ("length_mm", ""),
}


@pytest.mark.parametrize(("header", "column"), KNOWN.items())
def test_a_header_is_known_by_its_letters(header: str, column: str) -> None:
    """Case, accents, spaces and punctuation do not matter."""
    read = read_header(header)
    assert read is not None
    assert (read.columns, read.unit) == ((column,), "")


@pytest.mark.parametrize(("header", "column", "unit"), [(name, *said) for name, said in UNITS.items()])
def test_a_unit_beside_the_name_is_read_apart(header: str, column: str, unit: str) -> None:
    """Whoever wrote the header said what a bare number means."""
    read = read_header(header)
    assert read is not None
    assert (read.columns[0], read.unit) == (column, unit)


@pytest.mark.parametrize(
    "header",
    [
        "shelf",
        "insured for £",
        "typed by",
        "value",
        "priority",
        "weight cm",
        "title kg",
        "Owner (previous)",
        "",
        "£",
        "made in",
    ],
)
def test_what_could_mean_something_else_is_not_taken(header: str) -> None:
    """A wrong guess is worse than a column kept unread."""
    assert read_header(header) is None


@pytest.mark.parametrize("column", COLUMNS)
def test_each_columns_own_key_is_its_name(column: str) -> None:
    """The exact form needs no synonyms."""
    read = read_header(column)
    assert read is not None
    assert read.columns == (column,)


def test_the_names_file_speaks_of_every_column_and_no_other() -> None:
    """A slip of the pen in headers.toml would silently lose a column."""
    raw = tomllib.loads((Path(headers.__file__).parent / "headers.toml").read_text(encoding="utf-8"))
    assert set(raw["names"]) == set(COLUMNS)
    assert all(set(by_column) <= set(COLUMNS) for by_column in raw["names_with_unit"].values())
    assert set(raw["either"]["columns"]) <= set(COLUMNS)
    assert not names().either & set(names().columns)


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        (("height_in", "width_in", "depth_in"), "length_mm"),
        (("depth_in", "height_in", "width_in"), "length_mm"),
        (("length", "height", "depth_in"), "width_mm"),
    ],
)
def test_a_depth_is_the_size_that_is_missing(cells: tuple[str, ...], column: str) -> None:
    """Museums give height, width and depth; the depth is the length where no column is one."""
    plan = plan_headers(cells, 1)
    assert plan.columns["depth_in"] == column
    assert plan.units[column] == "in"
    assert plan.problems == ()


def test_a_depth_too_many_is_kept() -> None:
    """With length and width there, nobody can say what a depth is."""
    plan = plan_headers(("length", "width", "depth"), 1)
    assert plan.kept == ("depth",)
    assert told(plan.problems) == [
        (1, "column width_mm is already read from 'width'; 'depth' is kept and not read")
    ]


def test_of_two_headers_for_one_column_the_first_is_read() -> None:
    """The other is kept whole and told."""
    plan = plan_headers(("tag", "Object", "Name", "Remarks", "Notes"), 1)
    assert plan.columns == {"tag": "tag", "Object": "title", "Remarks": "features"}
    assert plan.kept == ("Name", "Notes")
    assert told(plan.problems) == [
        (1, "column title is already read from 'Object'; 'Name' is kept and not read"),
        (1, "column features is already read from 'Remarks'; 'Notes' is kept and not read"),
    ]


def test_units_are_only_told_where_they_are_not_the_columns_own() -> None:
    """A column of mm in mm needs no word."""
    plan = plan_headers(("L (mm)", "H (cm)", "dry wt (g)", "weight kg", "hours wet (h)"), 1)
    assert plan.units == {"height_mm": "cm", "mass_g": "kg"}


def test_lone_letters_are_no_header_row() -> None:
    """A row that says only ``L`` may be a size of a jersey."""
    assert score(["Jersey", "L", "wool"]) == 0
    assert score(["L", "W", "H"]) == 3
    assert score(["tag", "L"]) == 2


def test_a_mapping_goes_before_names(tmp_path: Path) -> None:
    """What the user says about a column is what it is, whatever its name suggests."""
    text = "Nr;Name;Notes;Alt\n7;Bell;from the tender;bronze\n"
    mapping = {"Nr": "tag", "notes": "keep", "Alt": "materials", "Name": "title"}
    found, rows = opened(tmp_path, text, columns=mapping)
    assert rows[0].cells == {"tag": "7", "title": "Bell", "materials": "bronze"}
    assert (rows[0].kept, found.problems) == ({"Notes": "from the tender"}, [])


def test_a_mapped_column_is_not_taken_by_a_name_as_well(tmp_path: Path) -> None:
    """The header that would have been read by its name is kept and told."""
    found, rows = opened(
        tmp_path, "Title;Caption;tag\nBell;Bell of the tender;1\n", columns={"Caption": "title"}
    )
    assert rows[0].cells == {"title": "Bell of the tender", "tag": "1"}
    assert rows[0].kept == {"Title": "Bell"}
    assert told(found.problems) == [
        (1, "column title is already read from 'Caption'; 'Title' is kept and not read")
    ]


def test_a_mapped_header_still_says_its_unit(tmp_path: Path) -> None:
    """Its name was not understood, its unit is."""
    _, rows = opened(tmp_path, "tag;longest side (in)\n1;12\n", columns={"longest side (in)": "length_mm"})
    assert (rows[0].cells["length_mm"], rows[0].units) == ("12", {"length_mm": "in"})


def test_a_mapping_can_find_the_header_row(tmp_path: Path) -> None:
    """A list of which no header is known is read once its headers are named."""
    _, rows = opened(
        tmp_path, "Ostrey Reach\nKennung|x;Was\n1;Glocke\n", columns={"Was": "title", "Kennung|x": "tag"}
    )
    assert (rows[0].row, rows[0].cells) == (3, {"tag": "1", "title": "Glocke"})


@pytest.mark.parametrize(
    ("mapping", "message"),
    [
        (
            {"Colour": "title"},
            "list.csv: --columns names the header 'Colour', which the list does not have; "
            "its headers are: tag, Object, shelf.",
        ),
        (
            {"shelf": "keep", "SHELF": "place"},
            "list.csv: --columns names the header 'shelf' twice; name it once.",
        ),
        (
            {"shelf": "place", "Object": "place"},
            "--columns maps two headers to 'place'; choose one and map the other to keep.",
        ),
        (
            {"tag": "keep", "Object": "keep"},
            "list.csv: --columns leaves no column to read; map at least one header to a column.",
        ),
    ],
)
def test_a_mapping_that_does_not_fit_is_refused(
    tmp_path: Path, mapping: dict[str, str], message: str
) -> None:
    """A mistyped mapping must not be silently passed over."""
    with pytest.raises(ListError) as error:
        opened(tmp_path, "tag;Object;shelf\n1;Bell;B1\n", columns=mapping)
    assert str(error.value) == message


def test_a_mapping_to_no_column_lists_the_columns(tmp_path: Path) -> None:
    """The message says what could have been meant."""
    with pytest.raises(ListError) as error:
        opened(tmp_path, "tag;Object\n1;Bell\n", columns={"Object": "titel"})
    assert str(error.value) == (
        "--columns maps 'Object' to 'titel', which is no column; use keep or one of: "
        + ", ".join(COLUMNS)
        + "."
    )
