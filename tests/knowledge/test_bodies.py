"""Bodies other than timber: whole, in order, found by name, one for every material, refused when wrong."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from strandline.knowledge import base, bodies
from strandline.knowledge.bodies import BodyError
from strandline.knowledge.science_sources import science_sources
from strandline.physics.capillary import Segment, forecast_band, vapour_front_m2_s
from strandline.physics.porous import suction_diffusivity_m2_s

WANTED = """
leather_vegetable leather_chrome rawhide_parchment bone antler ivory horn baleen tortoiseshell
cotton linen hemp jute_sisal wool silk felt rope basketry paper board papier_mache gypsum_plaster
lime_plaster ceramic_low_fired ceramic_high_fired porcelain_glazed brick clay_unfired sandstone
limestone_porous limestone_dense marble alabaster cork shell
""".split()
GOOD = """
[[body]]
key = "chalk"
names = ["chalk"]
family = "stone"
model = "capillary"
source = ["hall-hoff"]
confidence = "m"
[body.density]
dry_kg_m3 = [1500, 1600, 1700]
source = ["hall-hoff"]
confidence = "m"
[body.isotherm]
m0 = 0.002
c = 30
k = 0.88
spread = [0.5, 1, 2]
source = ["hall-hoff"]
confidence = "m"
[body.soaked]
moisture = [0.1, 0.2, 0.25]
source = ["hall-hoff"]
confidence = "m"
[body.pores]
mu = [10, 20, 30]
porosity = [0.3, 0.4, 0.45]
absorption_kg_m2_s05 = [0.05, 0.1, 0.2]
free_saturation_kg_m3 = [250, 300, 350]
critical_kg_m3 = [80, 120, 150]
source = ["hall-hoff"]
confidence = "m"
[body.second]
diffusivity_m2_s = [1e-9, 2e-9, 4e-9]
activation_kj_mol = [25, 30, 46]
confidence = "c"
[body.cap]
temp_c = 40
confidence = "c"
"""


def test_every_wanted_kind_is_there() -> None:
    """The list of kinds, each with names, family, model and evidence for every group."""
    assert set(WANTED) == set(bodies.bodies())
    for one in bodies.bodies().values():
        assert one.names
        assert {"density", "isotherm", "soaked", "pores", "cap"} <= set(one.evidence)
        assert ("diffusion" in one.evidence) == (one.model == "sorbing")


@pytest.mark.parametrize("key", WANTED)
def test_a_body_is_physically_possible(key: str) -> None:
    """Soaked holds at least what damp air gives; less dense than water-free mineral; orders; mild caps."""
    one = bodies.body(key)
    assert one.soaked.mid >= one.moisture(1.0).mid
    assert one.dry_kg_m3.low > 50.0
    assert one.dry_kg_m3.high <= 2900.0
    assert 20.0 <= one.cap_c <= 40.0
    humid = [one.moisture(rh).mid for rh in (0.0, 0.2, 0.4, 0.6, 0.8, 0.95)]
    assert humid == sorted(humid)
    assert humid[0] == 0.0
    assert one.moisture(0.6).low <= humid[3] <= one.moisture(0.6).high
    if one.rises_m2_s is not None:
        assert one.d_low_m2_s is not None
        assert one.d_low_m2_s > 0.0
        assert all(rise >= 0.0 for rise in one.rises_m2_s)


@pytest.mark.parametrize("key", [one.key for one in bodies.bodies().values() if one.model == "capillary"])
def test_a_capillary_body_can_be_forecast(key: str) -> None:
    """Its mid numbers make a slab that dries, and suck water in faster when wet than when dry."""
    one = bodies.body(key)
    assert one.free_saturation_kg_m3 is not None
    assert one.absorption_kg_m2_s05 is not None
    held, a = one.free_saturation_kg_m3.mid, one.absorption_kg_m2_s05.mid
    band = forecast_band(one.slabs(0.02, 2), [Segment(24.0, 20.0, 0.5, 0.003)])
    hours = [course.hours_until(0.05) for course in band]
    assert 0.0 < hours[0] < hours[1] < hours[2]
    assert hours[1] < 24.0 * 90.0
    assert suction_diffusivity_m2_s(held, a, held) > suction_diffusivity_m2_s(0.5 * held, a, held)
    assert one.soaked.mid == pytest.approx(held / one.dry_kg_m3.mid, rel=0.35)


CREEPING = [one.key for one in bodies.bodies().values() if one.model == "capillary"]


@pytest.mark.parametrize("key", CREEPING)
def test_the_second_stage_is_measured_or_between_vapour_and_the_measured(key: str) -> None:
    """The middle of the six stones where they were measured; else the mean that the file states."""
    one = bodies.body(key)
    assert one.second_m2_s is not None
    assert one.critical_kg_m3 is not None
    stones = bodies.body("limestone_porous").second_m2_s
    assert stones is not None
    assert (stones.low, stones.mid, stones.high) == (3.0e-9, 4.75e-9, 6.5e-9)
    if one.evidence["second"].confidence == "v":
        assert one.second_m2_s == stones
        return
    vapour = vapour_front_m2_s(one.mu.mid, one.critical_kg_m3.mid, 25.0)
    assert one.second_m2_s.low == pytest.approx(vapour, rel=0.03)
    assert one.second_m2_s.mid == one.second_m2_s.low
    assert one.second_m2_s.high == stones.high


@pytest.mark.parametrize("key", CREEPING)
def test_the_slow_reading_leaves_the_second_stage_to_vapour(key: str) -> None:
    """And the other two do not: water creeps."""
    fast, middle, slow = bodies.body(key).slabs(0.02, 2)
    assert slow.second_stage_m2_s(25.0) == vapour_front_m2_s(slow.mu, slow.front_kg_m3, 25.0)
    for one in (fast, middle):
        assert one.second_stage_m2_s(25.0) >= one.measured_m2_s > 0.0
    assert fast.measured_m2_s > middle.measured_m2_s


def test_a_body_that_dries_otherwise_makes_no_slab() -> None:
    """It is named, with its model."""
    with pytest.raises(BodyError, match=r"leather_chrome.*sorbing"):
        bodies.body("leather_chrome").slabs(0.002, 2)


def test_salt_carriers_are_marked() -> None:
    """Low-fired clay, brick, sandstone and plaster; not ivory or marble."""
    carriers = {one.key for one in bodies.bodies().values() if one.salts}
    assert {"ceramic_low_fired", "brick", "sandstone", "gypsum_plaster", "lime_plaster"} <= carriers
    assert not carriers & {"ivory", "marble", "paper", "porcelain_glazed"}


def test_the_order_of_the_fibres_is_that_of_their_regains() -> None:
    """At 65 % RH: cotton, hemp, silk, jute, wool."""
    order = ["cotton", "hemp", "silk", "jute_sisal", "wool"]
    found = [bodies.body(key).moisture(0.65).mid for key in order]
    assert found == sorted(found)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Low-fired pottery jar", "ceramic_low_fired"),
        ("drumskin of RAWHIDE", "rawhide_parchment"),
        ("limestone_porous", None),
        ("porous limestone head", "limestone_porous"),
        ("glazed porcelain cup", "porcelain_glazed"),
        ("an ivory-handled knife", "ivory"),
        ("nothing we know", None),
        ("clotted", None),
    ],
)
def test_a_text_finds_its_body(text: str, key: str | None) -> None:
    """By whole words, the longest name first."""
    found = bodies.find(text)
    assert (found[0].key if found else None) == key


def test_every_material_of_the_knowledge_has_a_body_or_a_reason() -> None:
    """All of them, and none that is not there; glass and metals have none."""
    known = base.shipped().materials
    assert set(known) == set(bodies.standings())
    for key, material in known.items():
        standing = bodies.for_material(key)
        assert (standing.body is None) == bool(standing.why) == bool(standing.because)
        if material.family in {"glass", "metal"}:
            assert standing.body is None, key
        if material.organic and standing.body is None:
            assert standing.why in {"parts", "timber", "not_dried", "dry"}, key
    assert bodies.for_material("soft_stone").body == bodies.body("limestone_porous")
    with pytest.raises(KeyError, match="no body is stated"):
        bodies.for_material("kryptonite")


def test_a_family_gives_the_envelope_of_its_members() -> None:
    """Lowest low, highest high, mildest cap; only what all of them have."""
    for family in bodies.families():
        span = bodies.unknown(family)
        for key in span.members:
            one = bodies.body(key)
            assert span.bands["mu"][0] <= one.mu.low
            assert one.mu.high <= span.bands["mu"][1]
            assert span.cap_c <= one.cap_c
    assert "absorption_kg_m2_s05" in bodies.unknown("stone").bands
    assert "absorption_kg_m2_s05" not in bodies.unknown("ceramic").bands
    with pytest.raises(KeyError, match="family 'cheese'"):
        bodies.unknown("cheese")


def test_every_source_is_known() -> None:
    """Of each group."""
    known = science_sources()
    for one in bodies.bodies().values():
        for group, held in one.evidence.items():
            assert set(held.source) <= set(known), (one.key, group)


def test_the_example_is_read() -> None:
    """A good row gives its body."""
    [one] = bodies.read_bodies(GOOD, "test.toml")
    assert (one.key, one.mu.mid, one.cap_c) == ("chalk", 20.0, 40.0)
    assert one.d_low_m2_s is None
    assert one.rises_m2_s is None


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('model = "capillary"', 'model = "sponge"', "model: 'sponge'"),
        ('model = "capillary"', 'model = "sorbing"', "diffusion.dry_m2_s: is missing"),
        ("mu = [10, 20, 30]", "mu = [10, 40, 30]", "pores.mu: .* does not rise"),
        ("mu = [10, 20, 30]", "mu = 10", "pores.mu: is not"),
        ("mu = [10, 20, 30]", "mew = [10, 20, 30]", "mew: is not a field"),
        ("critical_kg_m3 = [80, 120, 150]", "critical_kg_m3 = [80, 320, 350]", "critical_kg_m3: lies above"),
        ("porosity = [0.3, 0.4, 0.45]", "porosity = [0.1, 0.2, 0.45]", "more than the pores hold"),
        ("diffusivity_m2_s = [1e-9, 2e-9, 4e-9]\n", "", "second.diffusivity_m2_s: is missing"),
        ("k = 0.88", "k = 1.2", "isotherm, cap: k is 1.2"),
        ("m0 = 0.002\n", "", "isotherm, cap: 'm0'"),
        ('key = "chalk"\n', "", "key: is missing"),
        ("[body.soaked]\nmoisture", "[body.soaked]\nother", "other: is not a field"),
        (
            'source = ["hall-hoff"]\nconfidence = "m"\n[body.second]',
            'confidence = "m"\n[body.second]',
            "source: is missing",
        ),
        ('temp_c = 40\nconfidence = "c"', 'temp_c = 40\nconfidence = "sure"', "cap: confidence: 'sure'"),
        ("[[body]]", "[[thing]]", "write .*body"),
        ("[[body]]", "[[body", "not valid TOML"),
        ('family = "stone"', 'family = "stone"\ncolour = "white"', "colour: is not a field"),
    ],
)
def test_a_wrong_row_is_refused_with_its_place(old: str, new: str, said: str) -> None:
    """File, row, field and reason."""
    assert old in GOOD
    with pytest.raises(BodyError, match=rf"^test.toml.*{said}"):
        bodies.read_bodies(GOOD.replace(old, new, 1), "test.toml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[stands_for]]\nbody = "cheese"\nmaterials = ["a"]', "body: 'cheese'"),
        ('[[none]]\nwhy = "because"\nmaterials = ["a"]', "why, because"),
        ('[[none]]\nwhy = "dry"\nbecause = "x"\nmaterials = ["a", "a"]', "'a' stands twice"),
        ("[[other]]\nx = 1", "write .*stands_for"),
    ],
)
def test_a_wrong_standing_is_refused(text: str, said: str) -> None:
    """With its row."""
    with pytest.raises(BodyError, match=said):
        bodies.read_standings(text, "test.toml", bodies.bodies())


def test_no_row_of_the_files_is_without_confidence() -> None:
    """Each body and each group of it."""
    folder = Path(bodies.__file__).parent / "numbers"
    for name in bodies.FILES:
        for row in tomllib.loads((folder / name).read_text(encoding="utf-8"))["body"]:
            assert re.fullmatch("[vmc]", row["confidence"])


def test_an_unknown_body_is_named_with_those_known() -> None:
    """So that the reader can choose."""
    with pytest.raises(KeyError, match="ivory"):
        bodies.body("ivry")
