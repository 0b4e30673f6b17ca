"""Words of danger in five languages, compounds, and states that mean one thing on one body only."""

from __future__ import annotations

import pytest

from strandline.knowledge.base import shipped
from strandline.knowledge.reading.lexicon import lexicon
from strandline.knowledge.reading.read import read_texts
from strandline.knowledge.reading.result import TextReading
from strandline.pipeline.objects import build_parts

WORDS = lexicon()


def read(title: str = "", materials: str = "", features: str = "", condition: str = "") -> TextReading:
    return read_texts({"title": title, "materials": materials, "features": features, "condition": condition})


def keys(reading: TextReading) -> set[str]:
    return {part.material for part in reading.parts}


def said(reading: TextReading) -> set[str]:
    return {one.key for one in reading.features} | {key for part in reading.parts for key in part.features}


@pytest.mark.parametrize(
    ("words", "material"),
    [
        ("Gewehr, Flinte, Pistole, Büchse, fusil, pistolet, geweer, pistool, escopeta, pistola", "arm_steel"),
        ("Säbel, Schwert, épée, zwaard, espada, Jagdgewehr, Signalpistole, Gewehrkolben", "arm_steel"),
        ("Patrone, Munition, Granate, cartouche, fusée de détresse, patroon, vuurpijl", "ammunition"),
        ("cartucho, bengala, Leuchtrakete, obus, Handgranate, Patronengurt, depth charge", "ammunition"),
        ("Kofferradio, smoke detector, poste de radio, radiotoestel", "electrical"),
        ("Batterie, batería, Akku, Taschenlampenbatterie, Akkuschrauber, zaklamp", "battery"),
        ("lithium battery, lithium drill, cordless drill, power bank, torch with batteries", "battery"),
        ("Asbest, amiante, amianto, Asbestmatte", "hazard_mineral"),
        ("Quecksilber, kwikzilver", "mercury"),
        ("Spiegel, miroir, espejo, Wandspiegel", "mirror"),
    ],
)
def test_a_danger_is_known_in_every_column(words: str, material: str) -> None:
    for word in words.split(", "):
        for column in ("title", "materials"):
            assert material in keys(read(**{column: word})), (word, column)


@pytest.mark.parametrize(
    ("words", "feature"),
    [
        (
            "Quecksilberbarometer, baromètre à mercure, kwikbarometer, Quecksilberthermometer",
            "mercury_inside",
        ),
        ("Leuchtzifferblatt, Leuchtziffern, cadran lumineux, lichtgevend, esfera luminosa", "luminous"),
        ("Netzstecker, Gerätestecker, prise électrique, stekker, enchufe", "mains"),
        ("ausgestopft, empaillé, naturalisé, opgezet, disecado", "taxidermy_form"),
        ("poison, Rattengift, giftig, vergif, veneno, Arsenik", "pesticide"),
        ("fire extinguisher, gas cylinder, inflator, aerosol, Feuerlöscher, extincteur", "sealed_contents"),
        ("cyanide jar, killing jar, paint tin, solvent tin, turpentine tin", "sealed_contents"),
        ("tin of paraffin, can of white spirit, drum of creosote, jar of varnish", "sealed_contents"),
    ],
)
def test_a_danger_is_said_in_every_column(words: str, feature: str) -> None:
    for word in words.split(", "):
        for column in ("title", "features"):
            assert feature in said(read(**{column: word})), (word, column)


@pytest.mark.parametrize(
    ("words", "feature"),
    [
        ("kwik, mercure, mercurio", "mercury_inside"),
        ("accu, pila, pilas", "battery_inside"),
        ("prise", "mains"),
        ("Gift", "pesticide"),
        ("vergoldet, vergoldete, doré, dorée, verguld, dorado", "gilded"),
        ("bemalt, bemaltes, peint, peinte, beschilderd, pintado", "painted"),
    ],
)
def test_words_too_common_for_titles_are_known_elsewhere(words: str, feature: str) -> None:
    for word in words.split(", "):
        assert feature in said(read(materials=word)), word
        assert feature not in said(read(title=word)), word


def test_pile_is_a_battery_unless_it_is_of_cloth() -> None:
    assert "battery" in keys(read("", "acier, pile"))
    assert "battery" in keys(read("Lampe", "pile"))
    assert keys(read("Rug", "wool, pile")) == {"wool"}


def test_a_gift_from_somebody_is_no_poison() -> None:
    assert "pesticide" not in said(read("Shawl", "wool", "gift of the quay school"))


def test_an_animal_stuffed_is_taxidermy() -> None:
    for title in ("Fuchs, ausgestopft", "renard empaillé", "zorro disecado"):
        assert keys(read(title)) == {"taxidermy"}


@pytest.mark.parametrize("text", ["Gewehr, geladen", "fusil chargé", "pistol, loaded", "escopeta cargada"])
def test_a_loaded_gun_holds_ammunition(text: str) -> None:
    assert keys(read(text)) == {"arm_steel", "ammunition"}


def test_loaded_without_a_gun_is_no_ammunition() -> None:
    assert keys(read("Barrow, loaded", "oak")) == {"timber"}


@pytest.mark.parametrize(
    ("word", "material"),
    [
        ("Messinggriff", "copper_alloy"),
        ("Eichenholztruhe", "timber"),
        ("eisenbeschlagen", "iron"),
        ("Porzellanteller", "ceramic_glazed"),
        ("koperbeslag", "copper_alloy"),
        ("Lederriemen", "leather"),
    ],
)
def test_a_compound_is_read_by_the_body_it_names(word: str, material: str) -> None:
    assert keys(read(materials=word)) == {material}
    assert read(title=word).parts == ()


@pytest.mark.parametrize(
    "word",
    [
        "Eisenbahn", "Bleistift", "zinnia", "glassmaker", "throughout", "degenerated", "fellowship",
        "crinkled",
        "plateau", "leadership", "patroness", "radiometer", "radiography", "Glasgow", "steinway", "batterer",
        "hautboy", "disabled", "zinnober", "accurate", "accumulated", "giftware", "sabellid", "Papenholt",
    ],
)  # fmt: skip
def test_ordinary_words_do_not_fall_apart(word: str) -> None:
    for text in (word, word.lower()):
        assert WORDS.compounds.main_word(text.lower(), foreign=True) == ""
        reading = read("Thing", "", f"the {text}")
        assert (keys(reading), said(reading)) == (set(), set())


def test_each_piece_of_a_compound_has_four_letters() -> None:
    assert WORDS.compounds.main_word("holzgrif", foreign=True) == "holz"
    assert WORDS.compounds.main_word("holzgri", foreign=True) == ""
    assert WORDS.compounds.main_word("seiholz", foreign=True) == ""
    assert min(map(len, WORDS.compounds.danger_both | WORDS.compounds.danger_ends)) >= 4
    assert min(map(len, WORDS.compounds.bodies)) >= 4


def test_every_word_of_compounds_leads_to_a_name() -> None:
    pieces = WORDS.compounds
    for word in pieces.danger_both | pieces.danger_ends | pieces.bodies:
        target = WORDS.everywhere.get(word) or WORDS.foreign.get(word, word)
        assert any(name.words == (target,) for name in WORDS.by_first.get(target, ())), word
    for target in set(WORDS.everywhere.values()):
        assert any(name.words == (target,) for name in WORDS.by_first.get(target, ())), target


@pytest.mark.parametrize(
    ("title", "condition", "sealed"),
    [
        ("Oil lamp", "full", True),
        ("Paraffin lamp", "with fuel", True),
        ("Primus stove", "contents", True),
        ("Jerrycan", "half full", True),
        ("Oil lamp", "", False),
        ("Oil lamp", "not full", False),
        ("Oil lamp", "full of water", False),
        ("Oil lamp", "still oil in it", False),
        ("Sea chest", "full", False),
    ],
)
def test_what_burns_fuel_and_is_full_holds_fuel(title: str, condition: str, sealed: bool) -> None:
    assert ("sealed_contents" in said(read(title, condition=condition))) == sealed


def test_a_drill_is_a_tool_unless_it_is_cloth() -> None:
    assert keys(read("Drill")) == keys(read(materials="drill")) == {"metal_unknown"}
    for cloth in ("cotton drill", "drill cloth"):
        assert keys(read("Trousers", cloth)) == {"cotton_linen"}


def test_a_smoke_detector_has_no_luminous_paint() -> None:
    assert "luminous" not in said(read("Smoke detector"))


@pytest.mark.parametrize(
    ("title", "materials"),
    [
        ("Drum", "oak, calfskin heads"),
        ("Drum", "oak, goatskin"),
        ("Drum with calfskin heads", "oak"),
        ("Drum", "oak, skin heads"),
        ("Banjo", "oak, skin head"),
        ("Tambourine", "oak, goatskin"),
    ],
)
def test_a_skin_head_is_raw_skin(title: str, materials: str) -> None:
    assert {"timber", "rawhide_parchment"} <= keys(read(title, materials))
    assert "leather" not in keys(read(title, materials))


def test_a_strap_of_a_drum_stays_leather() -> None:
    assert "leather" in keys(read("Drum", "oak, leather strap"))


def test_printed_all_over_answers_for_the_body() -> None:
    reading = read("Biscuit box, printed all over", "tinplate, cork")
    assert [(part.material, part.surface) for part in reading.parts] == [
        ("tinplate", "stated"),
        ("cork", "silent"),
    ]
    assert "printed_decoration" in {one.key for one in reading.features}
    parts, _, _ = build_parts(reading, shipped())
    assert [part.surface for part in parts if part.material == "tinplate"] == ["stated"]


def test_glass_of_a_mirror_is_mirror() -> None:
    for title, materials in (
        ("Mirror", "glass, oak"),
        ("Spiegel", "Glas, Eiche"),
        ("Wall mirror", "glass, oak"),
    ):
        assert keys(read(title, materials)) == {"mirror", "timber"}
    assert keys(read("Window", "glass, oak")) == {"glass", "timber"}


@pytest.mark.parametrize(
    "text", ["glass painting", "reverse glass painting", "verre églomisé", "Hinterglasbild"]
)
def test_paint_behind_glass(text: str) -> None:
    assert keys(read(materials=text)) == {"glass_painted"}


@pytest.mark.parametrize(
    "text",
    ["grey spots", "black spots", "green spots", "white spots", "spotted", "fuzzy", "furry growth",
     "speckled with mould", "foxed"],
)  # fmt: skip
def test_spots_and_fur_are_growth_on_what_feeds_it(text: str) -> None:
    for organic in ("cotton", "leather", "oak", "straw", "paper"):
        assert "mouldy" in said(read("Thing", organic, condition=text)), organic
        assert "mouldy" not in said(
            read("Thing", organic, condition=f"no {text.removesuffix(' with mould')}")
        )
    if "mould" not in text:
        for other in ("iron", "marble", "glass"):
            assert "mouldy" not in said(read("Thing", other, condition=text)), other


def test_white_bloom_is_salt_on_ceramic_and_stone_but_not_on_lead() -> None:
    for text in ("white bloom", "white powder", "white crust"):
        assert "salts" not in said(read("Sinker", "lead", condition=text))
        assert read("Sinker", "lead", condition=text).unread() == ()
        for body in ("earthenware", "limestone"):
            assert "salts" in said(read("Thing", body, condition=text)), (body, text)
    assert "salts" in said(read("Sinker", "lead", condition="salts"))


def test_plating_names_no_base_metal() -> None:
    for text in ("gold-plated", "rolled gold", "gold plated metal"):
        assert keys(read("Brooch", text)) == {"plated_metal"}
    assert keys(read("Brooch", "gold-plated brass")) == {"copper_alloy"}
    for text in ("tin-plated steel", "tin plated iron", "tinned steel", "tinned iron sheet", "tin-plated"):
        assert keys(read("Box", text)) == {"tinplate"}, text


def test_names_that_only_bear_a_word_of_danger_stay_strict() -> None:
    assert "arm_steel" in keys(read("Toy gun"))
    assert "luminous" in said(read("Radium Hill, poster", "paper"))
    assert "battery_inside" in said(read("Battery Point, print"))
    assert "mercury_inside" in said(read("Mercury, figure"))
