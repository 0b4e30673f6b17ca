"""JSON lists: parts and joins as stated, keys checked against the knowledge, nothing lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]  # the locks hold no stubs for it
import pytest

import strandline.exchange
from strandline.knowledge.base import shipped
from strandline.things.facts import Join, Part
from strandline.things.listing import COLUMNS
from tests.exchange.making import json_list, opened, told

SCHEMA = json.loads(
    (Path(strandline.exchange.__file__).parent / "schemas" / "list.1.json").read_text(encoding="utf-8")
)

CHEST = {
    "tag": "0042",
    "title": "sea chest",
    "length_mm": 900,
    "mass_g": 28600.5,
    "water": ["brackish", "", "sewage"],
    "typed_by": {"role": "helper 2", "year": 1998},
    "parts": [
        {
            "id": "box",
            "name": "carcass",
            "material": "timber",
            "species": "oak",
            "thickness_mm": 18,
            "colour": "brown",
        },
        {
            "name": "bands",
            "material": "iron",
            "features": ["old_repair"],
            "exposed": False,
            "thickness_mm": 0,
        },
        {"id": "lid", "name": "lid", "material": "wood", "features": ["painted"]},
    ],
    "joins": [
        {"kind": "nailed", "parts": ["p2", "box"]},
        {"id": "h", "kind": "hinged", "parts": ["lid", "box"]},
    ],
}


def problems_of(tmp_path: Path, **entry: Any) -> list[str]:
    """Reasons told for a list of one object."""
    found, _ = opened(tmp_path, json_list([{"tag": "1", **entry}]), "list.json")
    return [problem.reason for problem in found.problems]


def test_an_object_with_parts_is_read_as_stated(tmp_path: Path) -> None:
    """Ids are allotted where missing, families filled from the knowledge, the rest as typed."""
    found, rows = opened(tmp_path, json_list([CHEST]), "list.json")
    assert rows[0].cells == {
        "tag": "0042",
        "title": "sea chest",
        "length_mm": "900",
        "mass_g": "28600.5",
        "water": "brackish; sewage",
    }
    assert rows[0].parts == (
        Part("box", "carcass", "timber", "wood", species="oak", thickness_mm=18.0, thickness_by="stated"),
        Part("p2", "bands", "iron", "metal", exposed=False, features=("old_repair",)),
        Part(
            "lid",
            "lid",
            "wood_unknown",
            "wood",
            known_by="family_worst",
            features=("painted",),
            surface="stated",
        ),
    )
    assert rows[0].joins == (Join("j1", "nailed", ("p2", "box")), Join("h", "hinged", ("lid", "box")))
    assert (found.problems, found.form) == ([], "json")


def test_unknown_keys_are_kept_at_every_level(tmp_path: Path) -> None:
    """Keys of the list, the object and the part are not ours to throw away."""
    found, rows = opened(tmp_path, json_list([CHEST], made_by="helper 2", year=2026), "list.json")
    assert rows[0].kept == {"typed_by": '{"role": "helper 2", "year": 1998}', "box.colour": "brown"}
    assert found.kept == {"made_by": "helper 2", "year": "2026"}
    assert found.head.kept_columns == ("typed_by",)
    assert found.head.columns["water"] == "water"


def test_an_object_without_parts_states_none(tmp_path: Path) -> None:
    """No parts key means that the words are read; an empty array means that there are none."""
    _, rows = opened(tmp_path, json_list([{"tag": "1"}, {"tag": "2", "parts": [], "joins": []}]), "list.json")
    assert (rows[0].parts, rows[0].joins) == (None, None)
    assert (rows[1].parts, rows[1].joins) == ((), ())
    assert [row.row for row in rows] == [1, 2]


@pytest.mark.parametrize(
    ("part", "reason"),
    [
        ({"material": "adamant"}, "'adamant' is no material or family the knowledge has; taken as unknown"),
        ({"material": 5}, "'5' is no material or family the knowledge has; taken as unknown"),
        ({"features": ["shiny"]}, "'shiny' is not a feature the tool knows"),
        ({"features": "painted"}, "a part's features must be an array of keys; kept, not read"),
        ({"thickness_mm": "thick"}, "thickness_mm must be a number of mm; got 'thick'; taken as unknown"),
        ({"thickness_mm": -3}, "thickness_mm must be a number of mm; got '-3'; taken as unknown"),
        ({"thickness_mm": True}, "thickness_mm must be a number of mm; got 'true'; taken as unknown"),
        ({"exposed": "yes"}, "exposed must be true or false; taken as true"),
    ],
)
def test_a_bad_key_or_value_of_a_part_is_told_and_unknown(
    tmp_path: Path, part: dict[str, Any], reason: str
) -> None:
    """The part stays, only what is wrong in it becomes unknown."""
    found, rows = opened(tmp_path, json_list([{"tag": "1", "parts": [{"name": "lid", **part}]}]), "list.json")
    assert told(found.problems) == [(1, reason)]
    assert rows[0].parts == (Part("p1", "lid", "unknown", "unknown", known_by="unknown"),)


def test_a_bad_feature_is_kept_as_text(tmp_path: Path) -> None:
    """The known features are read, the others not lost."""
    entry = {"tag": "1", "parts": [{"material": "timber", "features": ["painted", "shiny"]}]}
    _, rows = opened(tmp_path, json_list([entry]), "list.json")
    assert rows[0].parts is not None
    assert (rows[0].parts[0].features, rows[0].kept) == (("painted",), {"p1.features": '["shiny"]'})


def test_parts_with_one_id_get_two(tmp_path: Path) -> None:
    """Part ids are unique, whatever the list says; an allotted id goes round those stated."""
    entry = {"tag": "1", "parts": [{"id": "p2", "material": "iron"}, {"material": "timber"}, {"id": "p2"}]}
    found, rows = opened(tmp_path, json_list([entry]), "list.json")
    assert [part.id for part in rows[0].parts or ()] == ["p2", "p3", "p2-2"]
    assert told(found.problems) == [(1, "the id 'p2' stands twice; the later one became 'p2-2'")]


@pytest.mark.parametrize("ends", [["p1"], ["p1", "p1"], ["p1", "p9"], "p1", None, ["p1", 2]])
def test_a_join_that_does_not_name_two_parts_is_kept_as_text(tmp_path: Path, ends: Any) -> None:
    """A join to nothing would break the plan; what was typed stays."""
    entry = {"tag": "1", "parts": [{"material": "iron"}], "joins": [{"kind": "nailed", "parts": ends}]}
    found, rows = opened(tmp_path, json_list([entry]), "list.json")
    assert rows[0].joins == ()
    assert "joins[1]" in rows[0].kept
    assert told(found.problems) == [(1, "a join must name two different parts of the object by id")]


def test_a_kind_of_join_nobody_knows_is_unknown(tmp_path: Path) -> None:
    """The join stays, its kind does not."""
    entry = {
        "tag": "1",
        "parts": [{"material": "iron"}, {"material": "timber"}],
        "joins": [{"kind": "magic", "parts": ["p1", "p2"]}],
    }
    found, rows = opened(tmp_path, json_list([entry]), "list.json")
    assert rows[0].joins == (Join("j1", "unknown", ("p1", "p2")),)
    assert told(found.problems) == [(1, "'magic' is not a kind of join the tool knows")]


def test_things_of_the_wrong_shape_are_told(tmp_path: Path) -> None:
    """What cannot be a cell, a part or an object is kept and said."""
    assert problems_of(tmp_path, title={"en": "Bell"}) == [
        "title must be a text, a number or a list of texts; kept, and taken as blank"
    ]
    assert problems_of(tmp_path, title=True)[0].startswith("title must be a text")
    assert problems_of(tmp_path, parts="lid") == ["parts must be an array; kept and not read"]
    assert problems_of(tmp_path, parts=["lid"]) == ["an entry of parts must be an object in braces"]
    found, rows = opened(tmp_path, json_list([{"tag": "1"}, "Bell", {}]), "list.json")
    assert told(found.problems) == [(2, "an entry of objects must be an object in braces")]
    assert (rows[1].cells, rows[1].kept, found.blank_rows) == ({}, {"entry": "Bell"}, 1)


def test_a_key_that_stands_twice_keeps_both_values(tmp_path: Path) -> None:
    """JSON readers drop one of them; here the first is read and the later kept."""
    text = '{"schema": "strandline.list/1", "objects": [{"title": "Bell", "title": "Buoy"}]}'
    found, rows = opened(tmp_path, text, "list.json")
    assert (rows[0].cells, rows[0].kept) == ({"title": "Bell"}, {"title (2)": "Buoy"})
    assert told(found.problems) == [(1, "'title' stands twice; the later is kept as 'title (2)'")]


def test_keys_can_be_mapped(tmp_path: Path) -> None:
    """A JSON list from elsewhere is read once its keys are named."""
    found, rows = opened(tmp_path, json_list([{"was": "Glocke", "title": "x"}]), "a.json", {"was": "title"})
    assert (rows[0].cells, rows[0].kept, found.problems) == ({"title": "Glocke"}, {"title": "x"}, [])


def test_numbers_keep_their_digits(tmp_path: Path) -> None:
    """A tag of many digits is not rounded."""
    text = '{"schema": "strandline.list/1", "objects": [{"tag": 12345678901234567890.10, "mass_g": 1e3}]}'
    _, rows = opened(tmp_path, text, "list.json")
    assert rows[0].cells == {"tag": "12345678901234567890.10", "mass_g": "1e3"}


def test_json_is_known_by_what_it_is(tmp_path: Path) -> None:
    """Whatever the file is called, and in UTF-16 too."""
    for data in (json_list([CHEST]).encode(), b"\xff\xfe" + json_list([CHEST]).encode("utf-16-le")):
        found, rows = opened(tmp_path, data, "list.json")
        assert (found.form, rows[0].cells["tag"]) == ("json", "0042")
    assert opened(tmp_path, json_list([CHEST]), "list.txt")[0].form == "json"


def test_the_schema_names_every_column_and_is_itself_valid() -> None:
    """The schema that ships is draft 2020-12 and knows what the reader knows."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert set(SCHEMA["$defs"]["object"]["properties"]) == {*COLUMNS, "parts", "joins"}


@pytest.mark.parametrize(
    ("entry", "valid"),
    [
        (CHEST, True),
        ({}, True),
        ({"title": None, "parts": None, "joins": []}, True),
        ({"title": {"en": "Bell"}}, False),
        ({"title": True}, False),
        ({"parts": "lid"}, False),
        ({"parts": ["lid"]}, False),
        ({"parts": [{"thickness_mm": -1}]}, False),
        ({"parts": [{"exposed": "yes"}]}, False),
        ({"joins": [{"kind": "nailed", "parts": ["p1", "p1"]}]}, False),
    ],
)
def test_reader_and_schema_agree(tmp_path: Path, entry: dict[str, Any], valid: bool) -> None:
    """What the schema accepts is read without a word, what it refuses is told."""
    document = json.loads(json_list([{"tag": "1", **entry}]))
    assert jsonschema.Draft202012Validator(SCHEMA).is_valid(document) is valid
    assert (problems_of(tmp_path, **entry) == []) is valid


def test_every_material_of_the_knowledge_can_be_stated(tmp_path: Path) -> None:
    """Each key gives its own family."""
    materials = shipped().materials
    entry = {"tag": "1", "parts": [{"material": key} for key in materials]}
    found, rows = opened(tmp_path, json_list([entry]), "list.json")
    assert found.problems == []
    assert [(part.material, part.family) for part in rows[0].parts or ()] == [
        (key, material.family) for key, material in materials.items()
    ]
