"""What the columns of a row say together: what is no part, bodies read more closely, joins."""

from __future__ import annotations

import pytest

from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.reading.read import read_texts
from strandline.knowledge.reading.result import TextReading
from strandline.pipeline.objects import build_parts


def read(title: str, materials: str = "", features: str = "", condition: str = "") -> TextReading:
    return read_texts({"title": title, "materials": materials, "features": features, "condition": condition})


def keys(reading: TextReading) -> set[str]:
    return {part.material for part in reading.parts}


def said(reading: TextReading) -> set[str]:
    return {one.key for one in reading.features} | {key for part in reading.parts for key in part.features}


@pytest.mark.parametrize(
    "features",
    [
        "seal button sound",
        "water inside",
        "brown glue",
        "rope grooves",
        "screw holes, staple lost",
        "lens chipped",
        "tallow hole in foot",
        "iron gall ink on label",
        "wrapped, in paper",
        "(note on card)",
        "neck, lid and hook",
        "rust stain",
        "still oil in it",
    ],
)
def test_a_remark_makes_no_body(features: str) -> None:
    assert keys(read("Float", "green glass; iron hook", features)) == {"glass", "iron"}


@pytest.mark.parametrize(
    "text", ["mixed media", "various materials", "unidentified material", "other materials"]
)
def test_an_unknown_body_that_is_told_of_counts(text: str) -> None:
    assert "unknown" in keys(read("Float", f"glass, {text}"))
    assert "unknown" in keys(read("Float", "glass", text))


def test_nothing_known_is_unknown() -> None:
    assert keys(read("bits from the sieve")) == {"unknown"}


def test_a_component_takes_the_material_before_it() -> None:
    reading = read("Coat", "wool, brass buttons, leather washer")
    assert [(part.material, part.name) for part in reading.parts] == [
        ("wool", ""),
        ("copper_alloy", "button"),
        ("leather", "washer"),
    ]
    assert keys(read("Coat", "wool, buttons")) == {"wool"}


@pytest.mark.parametrize(
    ("title", "materials", "material"),
    [
        ("Gull, stuffed", "bird skin, wire", "taxidermy"),
        ("Fox, mounted", "skin, glass eyes", "taxidermy"),
        ("Heron, stuffed, in case", "", "taxidermy"),
        ("Bird skins in tray", "bird skin", "study_skin"),
        ("Chair, stuffed", "oak, leather", "leather"),
    ],
)
def test_what_is_stuffed(title: str, materials: str, material: str) -> None:
    reading = read(title, materials)
    assert [part.material for part in reading.parts if part.family == "skin"] == [material]
    assert ("taxidermy_form" in said(reading)) == (material == "taxidermy")


@pytest.mark.parametrize(
    ("title", "materials"),
    [
        ("Pot", "unglazed earthenware"),
        ("Pot, low fired", "earthenware"),
        ("Pot", "low-fired earthenware"),
        ("Bait pot, low fired", "unglazed earthenware"),
        ("Pot", "terracotta"),
        ("Pot", "earthenware, unglazed"),
    ],
)
def test_soft_earthenware_is_one_part(title: str, materials: str) -> None:
    assert [part.material for part in read(title, materials).parts] == ["earthenware_low_fired"]


def test_a_gilt_frame_is_wood_a_brass_frame_metal() -> None:
    gilt = read("Looking glass", "mirror glass, gilt frame").parts[1]
    assert (gilt.material, gilt.features) == ("wood_unknown", ("gilded",))
    assert keys(read("Looking glass", "mirror glass, brass frame")) == {"mirror", "copper_alloy"}
    assert keys(read("Jar", "glass, gilt mounts")) == {"glass", "metal_unknown"}


@pytest.mark.parametrize(
    "text",
    ["fluid preserved", "preserved in spirit", "in formalin", "wet specimen", "in spirits", "in alcohol"],
)
def test_a_fluid_specimen_is_no_unknown_content(text: str) -> None:
    reading = read(f"Jar with eel, {text}", "glass jar, fish, spirit")
    assert keys(reading) == {"glass", "fluid_specimen"}
    assert "sealed_contents" not in said(reading)


@pytest.mark.parametrize(
    ("title", "features", "sealed"),
    [
        ("Barometer tube", "tube looks full, sealed", False),
        ("Compass", "sealed, full of liquid", False),
        ("Bottle, sealed", "", False),
        ("Bottle, sealed, no label", "", True),
        ("Jar", "contents unknown", True),
        ("Tin", "sides swollen", True),
    ],
)
def test_contents_nobody_knows(title: str, features: str, sealed: bool) -> None:
    assert ("sealed_contents" in said(read(title, "glass", features))) == sealed


def test_rust_names_iron_only_where_no_metal_is_known() -> None:
    assert keys(read("Box", "oak, brass hinges", "", "rusty")) == {"timber", "copper_alloy"}
    assert keys(read("Box", "oak", "", "rusty")) == {"timber", "iron"}
    assert keys(read("Cloth", "linen", "rust spots")) == {"cotton_linen"}


@pytest.mark.parametrize(
    ("materials", "kind"),
    [
        ("stoneware, pewter lid", "unknown"),
        ("oak, iron bands", "unknown"),
        ("oak, hinged brass lid", "hinged"),
        ("leather, iron nails", "nailed"),
        ("teak, iron bolts", "screwed"),
        ("oak, copper rivets", "riveted"),
    ],
)
def test_named_parts_hold_to_the_body(materials: str, kind: str) -> None:
    reading = read("Thing", materials)
    (join,) = reading.joins
    assert (join.kind, join.a, join.b) == (kind, 0, 1)
    assert ("metal_in_organic" in said(reading)) == (kind in ("nailed", "screwed", "riveted"))


@pytest.mark.parametrize(
    ("title", "material"),
    [
        ("Sextant in case", "instrument_scientific"),
        ("Pair of binoculars", "instrument_scientific"),
        ("Chronometer", "clock_movement"),
        ("Accordion", "bellows_instrument"),
        ("Doll, dressed", "doll"),
        ("Typewriter", "mechanism"),
    ],
)
def test_a_working_thing_is_a_part(title: str, material: str) -> None:
    assert keys(read(title, "brass, mahogany")) == {"copper_alloy", "timber", material}


@pytest.mark.parametrize(
    "title", ["Clock case", "Man with a telescope", "Model of a clock", "Concertina reeds", "Compass rose"]
)
def test_a_thing_that_is_only_named_is_none(title: str) -> None:
    assert keys(read(title, "mahogany")) == {"timber"}


def test_a_clock_in_a_picture_or_on_a_cloth_is_none() -> None:
    assert keys(read("Clock and violin", "oil on canvas")) == {"easel_painting"}
    assert keys(read("Compass quilt", "cotton")) == {"cotton_linen"}


@pytest.mark.parametrize("title", ["Oar", "Tiller", "Mast"])
def test_boat_gear_is_wood_when_nothing_is_said(title: str) -> None:
    (part,) = read(title).parts
    assert (part.material, part.known_by) == ("wood_unknown", "assumed")
    assert "timber_painted" in part.could_be


def test_an_inscription_names_nothing_but_dangers() -> None:
    assert said(read("Sign NETS MENDED HERE", "oak")) == set()
    assert said(read("Cup “Gilded Age”", "oak")) == set()
    assert said(read("Watch, dial marked “radium”", "steel")) >= {"luminous"}


def test_dug_up_metal_is_archaeological() -> None:
    assert keys(read("Rivets from the dig", "iron; bronze")) == {
        "iron_archaeological",
        "copper_alloy_archaeological",
    }


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shipped()


def test_what_is_said_of_the_thing_goes_to_its_only_body(knowledge: Knowledge) -> None:
    parts, _, features = build_parts(read("Sextant, lacquered", "brass"), knowledge)
    assert [(part.material, part.features) for part in parts] == [
        ("copper_alloy", ("lacquered",)),
        ("instrument_scientific", ()),
    ]
    assert features == ()
