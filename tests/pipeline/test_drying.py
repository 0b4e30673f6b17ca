"""From objects and plans to bodies: which parts, which kind, how thick, how wet; what is left out and why."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.drying.stuff import Nothing, stuff_of
from strandline.knowledge.thicknesses import LEAST_FACTOR, thicknesses
from strandline.pipeline import drying_sizes
from strandline.pipeline.drying import Asked, LeftOut, bodies_of, coating_of
from strandline.pipeline.drying_kinds import NoKind, kind_of_part, kind_of_words, known_names
from strandline.things.drying import Band, CoverState
from strandline.things.facts import Facts, Join, Part
from strandline.things.listing import Problem
from strandline.things.plan import Because, Conflict, Hazard, Plan
from tests.pipeline.test_ordering import plan as an_order_plan

AS_OF = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
OAK = Part("p1", "", "timber", "wood", span="oak", column="materials", species="oak", surface="stated")
IRON = Part("p2", "", "iron", "metal", span="iron", column="materials")
ROPE = Part("p3", "", "rope", "textile", span="rope", column="materials", species="rope")


def plan(route: str = "dry", hazards: tuple[Hazard, ...] = (), conflicts: tuple[Conflict, ...] = ()) -> Plan:
    because = (Because("route.x", "It holds salt.", (), "c", (), ()),)
    made = an_order_plan(hazards=hazards)
    return replace(made, route=route, route_because=because, conflicts=conflicts)


def facts(*parts: Part, **more: object) -> Facts:
    """An object with parts, out of the water for two hours."""
    made = Facts(
        "0042", 2, title="Board from the slip", parts=parts or (OAK,), water=("brackish", "sewage"),
        under_water_h=12.5, out_since=AS_OF - timedelta(hours=2), thickness_mm=18.0,
        known_by={"water": "stated", "under_water_h": "stated"},
    )  # fmt: skip
    return replace(made, **more)  # type: ignore[arg-type]  # any field


def asked(given: Facts, cover: CoverState | None = None) -> list[Asked]:
    return [one for one in bodies_of(given, plan(), AS_OF, cover) if isinstance(one, Asked)]


def left(given: Facts, of: Plan | None = None) -> list[LeftOut]:
    return [one for one in bodies_of(given, of or plan(), AS_OF) if isinstance(one, LeftOut)]


def unmeasured(given: Facts) -> list[LeftOut]:
    """What is left out of those whose thickness was given."""
    found = bodies_of(given, plan(), AS_OF, measured_only=True)
    return [one for one in found if isinstance(one, LeftOut)]


def band_of(given: Facts) -> Band:
    """The usual thickness of the only part, of which the thickness is the middle."""
    (one,) = asked(given)
    band = one.body.thickness_band_mm
    assert band is not None
    assert one.body.thickness_mm == band[1]
    assert band[0] < band[1] < band[2]
    return band


def whats(one: Asked) -> dict[str, str]:
    return {each.what: each.value for each in one.assumed}


def test_each_part_that_takes_up_water_is_a_body() -> None:
    given = facts(OAK, IRON, ROPE)
    found = asked(given)
    assert [(one.body.part, one.body.kind, one.body.shape) for one in found] == [
        ("p1", "oak", "plane"),
        ("p3", "rope", "cylinder"),
    ]
    assert [(one.part, one.why) for one in left(given)] == [("p2", "dry")]


def test_water_hours_and_thickness_go_in() -> None:
    body = asked(facts())[0].body
    assert (body.thickness_mm, body.under_water_h, body.out_h) == (18.0, 12.5, 2.0)
    assert body.known_by == "family", "oak is several oaks"
    assert body.surfaces == ("sewage_wet", "soiled", "unrinsed")


@pytest.mark.parametrize(
    ("water", "done", "surfaces"),
    [
        (("clean",), (), ()),
        (("river",), (), ("soiled", "unrinsed")),
        (("sewage",), ("rinsed",), ("sewage_wet", "soiled")),
    ],
)
def test_the_water_makes_the_surface(
    water: tuple[str, ...], done: tuple[str, ...], surfaces: tuple[str, ...]
) -> None:
    assert asked(facts(water=water, done_already=done))[0].body.surfaces == surfaces


def test_skin_and_cloth_mould_by_what_they_are() -> None:
    leather = Part("p1", "", "leather", "skin", span="leather")
    assert "leather" in asked(facts(leather))[0].body.surfaces
    assert "textile" in asked(facts(replace(ROPE, id="p1")))[0].body.surfaces


@pytest.mark.parametrize(
    ("feature", "coating", "painted"),
    [
        ("painted", "paint", True),
        ("gesso_gilding", "gesso", True),
        ("japanned", "lacquer", True),
        ("shellac", "varnish", False),
        ("waxed", "wax", False),
        ("cracked", "none", False),
    ],
)
def test_a_coat_is_read_from_the_features(feature: str, coating: str, painted: bool) -> None:
    body = asked(facts(replace(OAK, features=(feature,))))[0].body
    assert (body.coating, body.painted, "painted" in body.surfaces) == (coating, painted, painted)


def test_gesso_goes_before_paint() -> None:
    assert coating_of(frozenset(("painted", "gesso_gilding"))) == "gesso"


def test_paint_of_no_part_counts_for_those_that_can_have_it() -> None:
    given = facts(OAK, IRON, ROPE, features=("painted",))
    wood, rope = asked(given)
    assert wood.body.painted
    assert whats(wood)["paint"] == "painted"
    assert not rope.body.painted


def test_glue_in_a_join_counts() -> None:
    given = facts(OAK, replace(ROPE, id="p2"), joins=(Join("j1", "glued", ("p1", "p2")),))
    assert "glued" in asked(given)[0].body.surfaces


def test_the_parts_own_thickness_goes_first() -> None:
    one = asked(facts(replace(OAK, thickness_mm=9.0)))[0]
    assert one.body.thickness_mm == 9.0
    assert "thickness" not in whats(one)


def test_the_objects_thickness_is_an_assumption_for_one_part_of_several() -> None:
    one = asked(facts(OAK, IRON))[0]
    assert whats(one)["thickness"] == "18 mm"


def test_the_smallest_of_three_sizes_is_an_assumption() -> None:
    one = asked(facts(thickness_mm=None, length_mm=900.0, width_mm=200.0, height_mm=60.0))[0]
    assert (one.body.thickness_mm, one.body.width_mm, one.body.length_mm) == (60.0, 200.0, 900.0)
    assert whats(one)["thickness"] == "60 mm"


def test_a_rod_is_a_cylinder() -> None:
    one = asked(facts(thickness_mm=None, diameter_mm=40.0, length_mm=900.0))[0]
    assert (one.body.shape, one.body.thickness_mm) == ("cylinder", 40.0)


@pytest.mark.parametrize(
    ("given", "named"),
    [
        (facts(thickness_mm=None), "give thickness_mm"),
        (facts(thickness_mm=None, length_mm=900.0, width_mm=200.0), "give thickness_mm"),
        (
            facts(thickness_mm=None, title="Sea chest", length_mm=900.0, width_mm=450.0, height_mm=420.0),
            "not the thickness of its walls",
        ),
        (
            facts(replace(ROPE, id="p1"), thickness_mm=None, length_mm=9.0, width_mm=9.0, height_mm=9.0),
            "give thickness_mm",
        ),
    ],
)
def test_a_thickness_nobody_gave_is_not_made_up(given: Facts, named: str) -> None:
    """Where only what was measured is wanted."""
    (one,) = unmeasured(given)
    assert one.why == "thickness"
    assert named in one.say


def test_what_only_gets_wet_outside_needs_no_thickness() -> None:
    jar = Part("p1", "", "ceramic_glazed", "ceramic", span="stoneware")
    assert asked(facts(jar, thickness_mm=None))[0].body.thickness_mm is None


def test_weights_count_only_for_an_object_of_one_part() -> None:
    alone = asked(facts(mass_g=900.0, dry_mass_g=700.0))[0]
    assert (alone.body.wet_mass_g, alone.body.dry_mass_g) == (900.0, 700.0)
    together = asked(facts(OAK, IRON, mass_g=900.0, dry_mass_g=700.0))[0]
    assert (together.body.wet_mass_g, together.body.dry_mass_g) == (None, None)
    assert whats(together)["weight"] == "900 g not used"


def test_a_dry_weight_above_the_wet_one_is_a_problem_and_not_used() -> None:
    found = list(bodies_of(facts(mass_g=700.0, dry_mass_g=900.0), plan(), AS_OF))
    problem, one = found
    assert isinstance(problem, Problem)
    assert (problem.row, problem.column, problem.note) == (2, "dry_mass_g", False)
    assert isinstance(one, Asked)
    assert one.body.wet_mass_g is None


def test_hours_nobody_noted_are_assumptions() -> None:
    one = asked(facts(out_since=None, known_by={"under_water_h": "assumed", "water": "assumed"}))[0]
    assert one.body.out_h == 0.0
    assert {"hours under water", "water"} <= set(whats(one))


def test_damp_air_only_is_no_soaking() -> None:
    assert asked(facts(wet_state="damp_air_only"))[0].body.under_water_h == 0.0


def test_a_surface_nobody_looked_at_is_taken_as_bare_and_said() -> None:
    assert whats(asked(facts(replace(OAK, surface="silent")))[0])["surface"] == "bare"
    assert "surface" not in whats(asked(facts())[0])


def test_veneer_has_one_face() -> None:
    leaf = Part("p1", "", "veneer", "wood", span="veneer", surface="stated")
    one = asked(facts(leaf, thickness_mm=2.0))[0]
    assert one.body.faces == 1
    assert "open faces" in whats(one)


def test_the_cover_is_that_of_all() -> None:
    cover = CoverState("pe_50", None, None, ())
    assert asked(facts(OAK, IRON, ROPE), cover)[1].body.cover is cover


def test_a_stop_leaves_the_whole_object_out() -> None:
    stop = Hazard("mercury", "stop", "object", "Silver liquid: out.", (), 5.0, "fire brigade")
    (one,) = left(facts(), plan(hazards=(stop,)))
    assert (one.part, one.why) == ("", "stop")
    assert "Silver liquid" in one.say
    assert not [each for each in bodies_of(facts(), plan(hazards=(stop,)), AS_OF) if isinstance(each, Asked)]


@pytest.mark.parametrize("route", ["hold_wet", "freeze", "wait_for_conservator"])
def test_another_route_leaves_it_out_with_its_reason(route: str) -> None:
    (one,) = left(facts(), plan(route))
    assert one.why == route
    assert "It holds salt." in one.say


def test_an_open_conflict_leaves_it_out() -> None:
    conflict = Conflict("c1", "limit:rh_percent", ("p1",), {}, "open", None, None, "Ask.", ())
    (one,) = left(facts(), plan(conflicts=(conflict,)))
    assert one.why == "conflict"


@pytest.mark.parametrize(
    ("words", "key", "known_by"),
    [
        ("oak", "oak", "family"),
        ("English oak", "european_oak", "stated"),
        ("european_oak", "european_oak", "stated"),
        ("hardwood", "hardwood", "family"),
        ("timber", "timber", "family"),
        ("leather", "leather", "stated"),
        ("low-fired pottery", "ceramic_low_fired", "stated"),
        ("baleen", "baleen", "stated"),
        ("sail canvas", "cotton_linen", "stated"),
        ("cotton_linen", "cotton_linen", "stated"),
        ("chipboard", "board_composite", "family"),
    ],
)
def test_words_name_a_kind(words: str, key: str, known_by: str) -> None:
    kind = kind_of_words(words)
    assert (kind.key, kind.known_by) == (key, known_by)


def test_every_name_that_is_suggested_is_understood_and_stands_for_something() -> None:
    """Whatever a word leads to, the forecast knows it too."""
    names = known_names()
    assert len(names) > 150
    for name in names:
        assert not isinstance(stuff_of(kind_of_words(name).key), Nothing), name


@pytest.mark.parametrize(
    ("words", "why", "said"),
    [
        ("mahogeny", "kind", "near it are: mahogany"),
        ("qqq", "kind", "is no wood, material or body"),
        ("bronze and iron", "kind", "one body at a time"),
        ("iron", "dry", "takes up no water"),
        ("waterlogged oak", "not_dried", "kept wet"),
    ],
)
def test_words_that_name_nothing_that_dries(words: str, why: str, said: str) -> None:
    with pytest.raises(NoKind, match=said) as found:
        kind_of_words(words)
    assert found.value.why == why


def test_a_family_alone_is_no_kind_but_wood_is() -> None:
    assert kind_of_part(Part("p1", "", "wood_unknown", "wood")).key == "timber"
    with pytest.raises(NoKind) as skin:
        kind_of_part(Part("p1", "", "skin_unknown", "skin"))
    assert skin.value.why == "kind"
    with pytest.raises(NoKind) as metal:
        kind_of_part(Part("p1", "", "metal_unknown", "metal"))
    assert metal.value.why == "dry"


def test_the_list_says_more_closely_what_some_materials_are() -> None:
    sandstone = Part("p1", "", "soft_stone", "stone", species="sandstone", span="sandstone")
    assert kind_of_part(sandstone).key == "sandstone"
    assert kind_of_part(replace(sandstone, species="")).key == "soft_stone"


def test_what_sound_wood_does_not_hold_for_keeps_its_material() -> None:
    board = Part("p1", "", "board_composite", "wood", species="oak", span="oak-faced board")
    assert kind_of_part(board).key == "board_composite"


SIZED = {"thickness_mm": None, "length_mm": 900.0, "width_mm": 300.0, "height_mm": 200.0}


@pytest.mark.parametrize(
    "title",
    ["Tankard", "Tea box", "Sea chest", "Drum of the band", "Accordion", "Half-boat", "Barrel, small", "Cups",
     "Bowl", "Jar", "Case for a sextant", "Writing slope", "Lantern", "Baskets", "Toolbox", "Bookcase",
     "Bench"],
)  # fmt: skip
def test_the_outer_size_of_what_is_hollow_is_no_thickness(title: str) -> None:
    (one,) = unmeasured(facts(title=title, **SIZED))
    assert (one.why, one.title) == ("thickness", title)
    assert f"({title})" in one.say
    assert one.say.endswith("give thickness_mm.")


@pytest.mark.parametrize(
    "title", ["Board", "Figurehead, woman's head", "Post", "Boxwood block", "Canister lid"]
)
def test_the_outer_size_of_a_solid_thing_of_one_part_counts(title: str) -> None:
    assert asked(facts(title=title, **SIZED))[0].body.thickness_mm == 200.0


def test_the_outer_size_of_several_parts_is_the_thickness_of_none() -> None:
    parts = (OAK, replace(OAK, id="p2", species="beech", span="beech"))
    assert [one.why for one in unmeasured(facts(*parts, **SIZED))] == ["thickness", "thickness"]


@pytest.mark.parametrize("feature", ["hollow", "hinged_lid", "stopper", "sealed_contents"])
def test_a_feature_of_what_is_hollow_counts_as_a_word(feature: str) -> None:
    assert unmeasured(facts(features=(feature,), **SIZED))[0].why == "thickness"


def test_only_timber_bone_stone_and_plaster_are_solid() -> None:
    plaster = Part("p1", "", "plaster", "ceramic", span="plaster")
    bone = Part("p1", "", "bone", "bone", span="bone")
    assert asked(facts(plaster, **SIZED))[0].body.thickness_mm == 200.0
    assert asked(facts(bone, **SIZED))[0].body.thickness_mm == 200.0
    for material, family in (("cork", "plant"), ("composition", "ceramic"), ("leather", "skin")):
        one = facts(Part("p1", "", material, family, span=material), **SIZED)
        assert unmeasured(one)[0].why == "thickness"


def test_a_weight_alone_in_a_list_is_said_not_to_tell_how_wet_it_is() -> None:
    assert whats(asked(facts(mass_g=900.0))[0])["weight"] == "900 g not used for how wet it is"
    assert "weight" not in whats(asked(facts(mass_g=900.0, dry_mass_g=700.0))[0])


BARE = {"thickness_mm": None}


@pytest.mark.parametrize(
    ("title", "part", "row"),
    [
        ("Sea chest", OAK, "wood_chest"),
        ("Toolchest", OAK, "wood_chest"),
        ("Boxes, two", OAK, "wood_box"),
        ("Long bench", OAK, "wood_bench"),
        ("Oars, pair", OAK, "wood_oar"),
        ("Bilge pump", replace(OAK, name="handle", span="oak handle"), "wood_stick"),
        ("Thing", OAK, "timber"),
        ("Sea chest", replace(OAK, material="veneer"), "veneer"),
        ("Sea boots", Part("p1", "", "leather", "skin", span="leather"), "leather_boot"),
        ("Coil", replace(ROPE, id="p1"), "rope"),
        ("Comb", Part("p1", "", "horn", "bone", span="tortoiseshell"), "bone_small"),
        ("Fish basket", Part("p1", "", "basketry", "plant", span="willow"), "basketry"),
        ("Ledger", Part("p1", "", "paper", "paper", span="paper"), "paper_block"),
        ("Chart", Part("p1", "", "paper", "paper", span="paper"), "paper"),
        ("Bait jar", Part("p1", "", "earthenware_low_fired", "ceramic", span="pottery"), "ware_jar"),
    ],
)
def test_a_thickness_nobody_gave_is_what_such_things_have(title: str, part: Part, row: str) -> None:
    """By a word of its own, of the object, or by what it is made of; and it is said, with a source."""
    (one,) = asked(facts(part, title=title, **BARE))
    tables = thicknesses()
    wanted = {**tables["thing"], **tables["kind"]}[row]
    assert one.body.thickness_band_mm == wanted.band_mm
    assert one.body.shape == wanted.shape
    (told,) = (each for each in one.assumed if each.what == "thickness")
    assert told.why.startswith(f"it was not given; usual for {wanted.name}")
    assert f"{wanted.band_mm[0]:.3g} to {wanted.band_mm[2]:.3g} mm" in told.value
    assert (told.source, told.confidence) == (wanted.source, wanted.confidence)


def test_a_word_counts_only_for_what_such_a_thing_is_made_of() -> None:
    """The leather on an oar is no loom, and the wool in a chest no board."""
    leather = Part("p1", "", "leather", "skin", span="leather")
    assert band_of(facts(leather, title="Sea chest", **BARE)) == thicknesses()["kind"]["leather"].band_mm
    wool = Part("p1", "", "wool", "textile", span="wool")
    assert band_of(facts(wool, title="Sea chest", **BARE)) == thicknesses()["kind"]["cloth"].band_mm


def test_of_several_words_the_widest_counts() -> None:
    chest, bench = (band_of(facts(title=title, **BARE)) for title in ("Chest", "Bench"))
    both = band_of(facts(title="Chest and bench", **BARE))
    assert (both[0], both[2]) == (min(chest[0], bench[0]), max(chest[2], bench[2]))
    assert min(chest[1], bench[1]) <= both[1] <= max(chest[1], bench[1])


def test_what_is_said_of_the_part_goes_before_what_is_said_of_the_object() -> None:
    case = replace(OAK, name="case", span="oak case")
    assert band_of(facts(case, title="Mast", **BARE)) == band_of(facts(title="Case", **BARE))


@pytest.mark.parametrize(
    ("title", "sizes", "most"),
    [
        ("Bench", {"length_mm": 900.0, "height_mm": 40.0}, 40.0),
        ("Chest", {"length_mm": 200.0, "height_mm": 40.0, "width_mm": 90.0}, 20.0),
        ("Tub", {"diameter_mm": 30.0}, 15.0),
        ("Chest", {"length_mm": 2.0}, 1.0),
    ],
)
def test_no_wall_is_thicker_than_the_outer_size_leaves_room_for(
    title: str, sizes: dict[str, float], most: float
) -> None:
    """The smallest size, of what is hollow half of it; the band stays a band."""
    (one,) = asked(facts(title=title, thickness_mm=None, **sizes))
    band = one.body.thickness_band_mm
    assert band is not None
    assert band[2] == most
    assert band[2] >= LEAST_FACTOR * band[0] * (1 - 1e-12)
    assert band[0] < band[1] < band[2]
    assert f"{min(sizes.values()):g} mm" in one.assumed[0].why


def test_an_outer_size_above_the_usual_thickness_changes_nothing() -> None:
    given = facts(title="Chest", thickness_mm=None, length_mm=900.0, height_mm=420.0)
    assert band_of(given) == band_of(facts(title="Chest", **BARE))


def test_a_hollow_object_of_several_parts_does_not_halve_what_lies_in_it() -> None:
    """Pieces in a box may be as thick as the box is deep, its walls half of that at most."""
    pieces = Part("p1", "", "ivory", "bone", span="ivory")
    box = replace(OAK, id="p2", name="box", span="oak box")
    found = asked(
        facts(pieces, box, title="Whatnots in a box", thickness_mm=None, height_mm=30.0, length_mm=90.0)
    )
    bands = {one.body.part: one.body.thickness_band_mm for one in found}
    assert bands["p1"] is not None
    assert bands["p2"] is not None
    assert (bands["p1"][2], bands["p2"][2]) == (30.0, 15.0)


def test_weights_are_no_size_where_the_thickness_is_not_measured() -> None:
    """Outer sizes of a solid thing go in, and its weight alone still tells nothing."""
    sizes = {"length_mm": 330.0, "width_mm": 40.0, "thickness_mm": None}
    one = asked(facts(replace(OAK, species="pine"), title="Rib", mass_g=90.0, **sizes))[0]
    assert (one.body.length_mm, one.body.width_mm) == (330.0, 40.0)
    assert one.body.thickness_band_mm is not None
    assert one.body.thickness_band_mm[2] <= 40.0
    assert whats(one)["weight"] == "90 g not used for how wet it is"


def test_a_thickness_that_was_given_is_no_band() -> None:
    assert asked(facts())[0].body.thickness_band_mm is None
    assert (
        asked(facts(thickness_mm=None, length_mm=900.0, width_mm=200.0, height_mm=60.0))[
            0
        ].body.thickness_band_mm
        is None
    )


COLLAR = Part("p2", "collar", "leather", "skin", span="leather collar", column="materials")


def test_an_objects_thickness_above_what_a_part_can_have_is_another_parts() -> None:
    """An oar of 50 mm with a leather collar: the ash has the 50 mm, the collar what leather has."""
    wood, collar = asked(facts(OAK, COLLAR, title="Oar", thickness_mm=50.0))
    assert (wood.body.thickness_mm, wood.body.thickness_band_mm) == (50.0, None)
    assert collar.body.thickness_band_mm is not None
    assert collar.body.thickness_band_mm[2] < 50.0
    (out,) = unmeasured(facts(OAK, COLLAR, title="Oar", thickness_mm=50.0))
    assert (out.part, out.why) == ("p2", "thickness")
    assert "50 mm are more than is usual" in out.say


def test_an_objects_thickness_below_what_a_part_can_have_is_another_parts() -> None:
    """The 3 mm of an oar with a collar are the collar's: the wood has what oars have."""
    wood, collar = asked(facts(OAK, COLLAR, title="Oar", thickness_mm=3.0))
    assert collar.body.thickness_mm == 3.0
    assert wood.body.thickness_band_mm is not None
    assert wood.body.thickness_band_mm[0] > 3.0


def test_an_objects_thickness_that_a_part_can_have_counts_for_it() -> None:
    """Thin wood with a collar; and a thing of one part, however thick it is said to be."""
    parts = asked(facts(OAK, COLLAR, title="Panel", thickness_mm=6.0))
    assert [one.body.thickness_mm for one in parts] == [6.0, 6.0]
    assert asked(facts(COLLAR, thickness_mm=50.0))[0].body.thickness_mm == 50.0


SIZES = st.one_of(st.none(), st.floats(0.5, 3000.0))
WORDS = sorted({word for row in thicknesses()["thing"].values() for word in row.words})
MADE_OF = [
    OAK, ROPE, *(Part("p1", "", material, family) for material, family in (
        ("leather", "skin"), ("ivory", "bone"), ("wool", "textile"), ("cork", "plant"), ("marble", "stone"),
        ("paper", "paper"), ("earthenware_glazed", "ceramic"), ("wood_unknown", "wood"),
    )),
]  # fmt: skip


def law_a_usual_thickness_fits_in_the_thing(
    part: Part, words: list[str], sizes: tuple[float | None, ...]
) -> None:
    """It rises, is as wide as any, and no thicker than the smallest size given."""
    length, width, diameter = sizes
    given = facts(
        replace(part, id="p1"), title=" and ".join(words), thickness_mm=None, length_mm=length,
        width_mm=width, diameter_mm=diameter,
    )  # fmt: skip
    for one in asked(given):
        band = one.body.thickness_band_mm
        if band is None:
            continue
        assert band[0] < band[1] < band[2]
        assert band[2] >= LEAST_FACTOR * band[0] * (1 - 1e-12)
        assert band[2] <= min([one for one in sizes if one is not None], default=math.inf)


@given(st.sampled_from(MADE_OF), st.lists(st.sampled_from(WORDS), max_size=4), st.tuples(SIZES, SIZES, SIZES))
def test_a_usual_thickness_fits_in_the_thing(
    part: Part, words: list[str], sizes: tuple[float | None, ...]
) -> None:
    law_a_usual_thickness_fits_in_the_thing(part, words, sizes)


@pytest.mark.parametrize(
    "broken",
    [
        lambda band, most: band,
        lambda band, most: (band[0], band[1], min(band[2], most)),
        lambda band, most: (0.9 * most, 0.95 * most, most) if most < band[2] else band,
    ],
    ids=["no cap", "only the high end", "a band too narrow"],
)
def test_a_cap_that_is_wrong_is_seen(
    monkeypatch: pytest.MonkeyPatch, broken: Callable[[Band, float], Band]
) -> None:
    monkeypatch.setattr(drying_sizes, "capped", broken)
    with pytest.raises(AssertionError):
        law_a_usual_thickness_fits_in_the_thing(OAK, ["chest"], (4.0, None, None))
