"""What single texts are read as: asserted on keys, never on wording."""

from __future__ import annotations

import pytest

from strandline.knowledge.reading.read import read_texts
from strandline.knowledge.reading.result import PartReading, TextReading


def materials(text: str) -> TextReading:
    return read_texts({"materials": text})


def keys(reading: TextReading) -> list[str]:
    return [part.material for part in reading.parts]


def only(text: str) -> PartReading:
    (part,) = materials(text).parts
    return part


def said(reading: TextReading) -> set[str]:
    return {one.key for one in reading.features} | {key for part in reading.parts for key in part.features}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("walnut, tulip poplar, brass, and painted iron", ["timber", "timber", "copper_alloy", "iron"]),
        ("birch plywood and perspex", ["board_composite", "acrylic_styrene"]),
        ("silk cut velvet", ["silk"]),
        ("mother-of-pearl, vellum, papier-mâché", ["shell", "rawhide_parchment", "papier_mache"]),
        ("plaster of Paris; gesso", ["plaster", "composition"]),
        ("engraved whale tooth; baleen", ["ivory", "horn"]),
        ("tarred hemp, oilskin, sealskin", ["rope", "oilcloth", "fur"]),
        ("timber_painted, cast_iron", ["timber_painted", "cast_iron"]),
        ("Holz, Eisen und Glas", ["timber", "iron", "glass"]),
        ("bois, fer, verre, cuir", ["timber", "iron", "glass", "leather"]),
        ("hout, ijzer, leer", ["timber", "iron", "leather"]),
        ("madera, hierro y vidrio", ["timber", "iron", "glass"]),
        ("earthernware and mahagony", ["earthenware_glazed", "timber"]),
        ("aluminum; aluminium", ["aluminium"]),
        ("oil on canvas", ["easel_painting"]),
        ("video; colour, sound; 28 min.", ["audiovisual"]),
        ("ormolu and enamelled copper", ["gilt_metal", "enamel_on_metal"]),
        ("amber pressed glass", ["glass"]),
        ("acrylic, brass, and oak", ["acrylic_styrene", "copper_alloy", "timber"]),
        ("glass, blown, with cane and murrine", ["glass", "glass"]),
        ("elm and cane", ["timber", "cane"]),
        ("composition (sand, chalk, and oil) in oak box", ["composition", "timber"]),
        ("stainless steel, an alloy containing chromium and nickel", ["plated_metal"]),
        ("silver, sterling standard", ["silver"]),
    ],
)
def test_materials_are_read(text: str, expected: list[str]) -> None:
    assert keys(materials(text)) == expected


@pytest.mark.parametrize(
    ("text", "features"),
    [
        ("wood painted black", {"painted"}),
        ("paint on wood", {"painted"}),
        ("pine with traces of paint", {"painted"}),
        ("porcelain with enamel and gilded decoration", {"enamelled", "gilded"}),
        ("transfer-printed earthenware", {"printed_decoration"}),
        ("tin-glazed earthenware", {"glazed"}),
        ("porcelain with underglaze decoration", {"glazed"}),
        ("japanned tinplate", {"japanned"}),
        ("silver gilt", {"gilded"}),
        ("silver-plated brass", {"plated"}),
        ("gilt bronze", {"gilded"}),
        ("aluminium and lacquer", {"lacquered"}),
        ("enamel on copper", {"enamelled"}),
        ("oak, French polished", {"shellac", "polished_finish"}),
        ("unpainted pine", {"bare"}),
    ],
)
def test_finishes_belong_to_the_one_body(text: str, features: set[str]) -> None:
    part = only(text)
    assert set(part.features) == features
    assert part.surface == "stated"


def test_a_finish_belongs_to_its_own_body() -> None:
    reading = materials("walnut, painted iron, porcelain, gilt")
    assert [part.features for part in reading.parts] == [(), ("painted",), ("gilded",)]
    assert [part.surface for part in reading.parts] == ["silent", "stated", "stated"]


@pytest.mark.parametrize(
    ("text", "kind", "body", "added"),
    [
        ("silver mounted ivory", "mounted", "ivory", "silver"),
        ("ivory mounted with silver", "mounted", "ivory", "silver"),
        ("glass with silver mounts", "mounted", "glass", "silver"),
        ("bronze on marble base", "mounted", "copper_alloy", "marble"),
        ("steel inlaid with gold", "inlaid", "iron", "gold"),
        ("walnut with ivory inlay", "inlaid", "timber", "ivory"),
        ("pine veneered with walnut", "veneered", "timber", "timber"),
        ("wool lined with linen", "glued", "wool", "cotton_linen"),
        ("linen embroidered with silk", "sewn", "cotton_linen", "silk"),
        ("gold set with opals", "set", "gold", "gems_organic"),
        ("leather riveted to steel", "riveted", "leather", "iron"),
        ("iron in ash", "embedded", "iron", "timber"),
    ],
)
def test_joins(text: str, kind: str, body: str, added: str) -> None:
    reading = materials(text)
    (join,) = reading.joins
    assert join.kind == kind
    assert reading.parts[join.a].material == body
    assert reading.parts[join.b].material == added
    assert text[join.start :].startswith(join.span)


def test_iron_in_wood_is_told() -> None:
    assert "metal_in_organic" in said(materials("iron in ash"))


@pytest.mark.parametrize(
    "text", ["pine, no paint", "pine, unpainted", "pine without paint or gilding", "pine, not varnished"]
)
def test_what_is_denied_is_never_read_as_there(text: str) -> None:
    reading = materials(text)
    assert keys(reading) == ["timber"]
    assert said(reading) == {"bare"}


@pytest.mark.parametrize(
    "text", ["oak without handle", "oak, handle missing", "oak, lacking handle", "oak, no handle"]
)
def test_a_handle_that_is_not_there(text: str) -> None:
    assert said(materials(text)) == set()


def test_a_number_sign_denies_nothing() -> None:
    assert keys(materials("box no. 5, oak, painted")) == ["timber"]
    assert said(materials("oak box no. 5 painted")) == {"painted"}


@pytest.mark.parametrize("text", ["imitation ivory", "ivory style", "faux ivory", "simulated ivory"])
def test_an_imitation_is_an_envelope(text: str) -> None:
    part = only(text)
    assert part.material == "unknown"
    assert {"celluloid", "ivory"} <= set(part.could_be)


def test_names_of_colours_are_no_bodies() -> None:
    reading = materials("gold coloured brass, ivory silk, ruby flash glass")
    assert keys(reading) == ["copper_alloy", "silk", "glass"]


def test_either_or_of_one_family_is_one_part() -> None:
    part = only("glazed bone china or earthenware")
    assert part.material == "ceramic_unknown"
    assert part.could_be == ("ceramic_glazed", "earthenware_glazed")
    assert part.known_by == "assumed"


def test_either_or_of_two_families_keeps_both() -> None:
    reading = materials("horn or pewter")
    assert keys(reading) == ["horn", "pewter"]
    assert {part.known_by for part in reading.parts} == {"assumed"}


def test_doubt_is_kept() -> None:
    assert [part.known_by for part in materials("oak (?), steel").parts] == ["assumed", "stated"]
    assert only("probably elm").known_by == "assumed"


def test_names_of_parts() -> None:
    reading = read_texts({"title": "Sea chest, oak, rope beckets, iron bands, painted lid"})
    assert [(p.material, p.name) for p in reading.parts] == [
        ("timber", ""),
        ("rope", "beckets"),
        ("iron", "bands"),
    ]
    assert "painted" in said(reading)


@pytest.mark.parametrize(
    ("title", "key"),
    [
        ("stick barometer", "mercury_inside"),
        ("chronometer with a dial that glows", "luminous"),
        ("alabaster lighthouse, wired for a bulb", "mains"),
        ("phenolic radio with mains lead", "mains"),
        ("wireless set", "mains"),
        ("hand torch", "battery_inside"),
        ("unlabelled bottle", "sealed_contents"),
        ("swollen tin", "sealed_contents"),
        ("asbestos rope", "asbestos"),
    ],
)
def test_what_stops_work_is_caught(title: str, key: str) -> None:
    assert key in said(read_texts({"title": title}))
    assert key in said(read_texts({"title": title, "materials": "mahogany and brass", "class": "furniture"}))


@pytest.mark.parametrize(
    ("title", "key"),
    [
        ("signal pistol (may be loaded)", "arm_steel"),
        ("harpoon gun", "arm_steel"),
        ("cutlass", "arm_steel"),
        ("box of flares", "ammunition"),
        ("cartridges in a tin", "ammunition"),
        ("radio", "electrical"),
        ("transistor radio", "battery"),
    ],
)
def test_arms_and_live_things_are_parts_whatever_else_is_named(title: str, key: str) -> None:
    assert key in keys(read_texts({"title": title}))
    assert key in keys(read_texts({"title": title, "materials": "walnut, steel"}))


def test_a_sword_in_a_picture_is_no_sword() -> None:
    assert keys(read_texts({"title": "Panel with figure holding a sword", "materials": "oak"})) == ["timber"]


@pytest.mark.parametrize("title", ["Ivory Coast", "The Iron Duke", "Horse", "Bone Valley in winter"])
def test_a_title_makes_no_body_where_materials_are_named(title: str) -> None:
    assert keys(read_texts({"title": title, "materials": "oak"})) == ["timber"]


def test_a_title_tells_of_parts_even_so() -> None:
    reading = read_texts({"title": "Chest with brass handles", "materials": "pine"})
    assert [(p.material, p.column) for p in reading.parts] == [
        ("timber", "materials"),
        ("copper_alloy", "title"),
    ]


@pytest.mark.parametrize(
    ("title", "material"),
    [
        ("violin", "stringed_instrument"),
        ("drum", "rawhide_parchment"),
        ("doll", "doll"),
        ("willow creel", "basketry"),
    ],
)
def test_a_silent_list_falls_back_on_the_noun(title: str, material: str) -> None:
    assert keys(read_texts({"title": title})) == [material]


def test_a_noun_is_only_assumed() -> None:
    (part,) = read_texts({"title": "jug"}).parts
    assert (part.material, part.known_by) == ("ceramic_unknown", "assumed")
    assert part.could_be


@pytest.mark.parametrize(
    ("klass", "material"),
    [
        ("Ceramics", "ceramic_unknown"),
        ("Metals", "metal_unknown"),
        ("Glass", "glass"),
        ("Textiles", "textile_unknown"),
        ("Wood", "timber"),
        ("paintings", "easel_painting"),
    ],
)
def test_the_class_is_the_last_resort(klass: str, material: str) -> None:
    assert keys(read_texts({"title": "No. 12", "class": klass})) == [material]
    assert keys(read_texts({"materials": "wax", "class": klass})) == ["wax"]


def test_condition_and_features_columns() -> None:
    reading = read_texts(
        {
            "materials": "pine",
            "features": "painted, hinged lid, paper label",
            "condition": "paint flaking, mouldy; handle missing; iron nails rusted",
        }
    )
    assert [(p.material, p.name) for p in reading.parts] == [("timber", ""), ("iron", "nail")]
    assert said(reading) == {
        "painted",
        "hinged_lid",
        "paper_label",
        "flaking_paint",
        "mouldy",
        "metal_in_organic",
    }


def test_feature_keys_may_be_typed() -> None:
    reading = read_texts({"materials": "oak", "features": "veneer_lifting; old_repair, gesso_gilding"})
    assert said(reading) == {"veneer_lifting", "old_repair", "gesso_gilding"}


def test_words_nobody_knows_are_reported() -> None:
    reading = materials("oak and flurbium")
    assert [(word.word, word.column) for word in reading.unread()] == [("flurbium", "materials")]


def test_order_of_columns_does_not_matter() -> None:
    cells = {"title": "radio", "materials": "walnut", "class": "Wood"}
    assert read_texts(cells) == read_texts(dict(reversed(cells.items())))


def test_other_columns_are_refused() -> None:
    with pytest.raises(ValueError, match="owner"):
        read_texts({"owner": "lender B"})


@pytest.mark.parametrize("text", ["pine, no flaking paint", "pine, no paint loss", "pine, not mouldy"])
def test_a_denied_state_says_nothing_of_the_surface(text: str) -> None:
    assert said(materials(text)) == set()


def test_the_stop_of_a_short_form_ends_nothing() -> None:
    assert [join.kind for join in materials("oak box w. ivory inlay").joins] == ["inlaid"]
