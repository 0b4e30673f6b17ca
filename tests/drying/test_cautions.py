"""Flags and assumptions: each stands where it must, and not where it need not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from strandline.drying import cautions
from strandline.things.drying import DryingQuestion, Gap, Stretch, WetBody
from tests.drying.cast import FOREVER_H, PINE, ask, assumed, body, cover, dried, flags

DAY = ask(days=1.0, members=8, target_rh=0.85)
COLD = Stretch(FOREVER_H, 3.0, 0.6)
HOT = Stretch(FOREVER_H, 44.0, 0.5)

FLAGGED: tuple[tuple[str, WetBody, DryingQuestion], ...] = (
    ("collapse", body(kind="red_oak"), DAY),
    ("sapwood", body(), DAY),
    ("no_schedule", body(kind="european_oak"), DAY),
    ("product_rule", body(thickness_mm=60.0, width_mm=60.0, length_mm=60.0), DAY),
    ("salts", body(kind="brick"), DAY),
    ("material", body(kind="leather_vegetable", thickness_mm=3.0), DAY),
    (
        "too_warm",
        body(kind="leather_vegetable", thickness_mm=3.0),
        replace(DAY, room=(replace(COLD, temp_c=31.0),)),
    ),
    ("too_warm", body(), replace(DAY, room=(replace(COLD, temp_c=26.0),))),
    ("too_warm", body(kind="brick"), replace(DAY, room=(replace(HOT, temp_c=70.0),))),
    ("painted", body(painted=True), DAY),
    ("painted", body(coating="lacquer"), DAY),
    ("opening", body(cover=cover(Gap("hole", 6.0, 6.0, "side", 2))), DAY),
    ("dew", body(cover=cover()), replace(DAY, room=(Stretch(12.0, 20.0, 0.5), COLD))),
    ("more_than_full", body(wet_mass_g=1500.0, dry_mass_g=300.0), DAY),
    ("more_than_full", body(moisture=4.0), DAY),
    ("draught", body(cover=cover()), replace(DAY, moving_air=True)),
    ("soiled", body(surfaces=("soiled",)), DAY),
    ("soiled", body(kind="brick", surfaces=("sewage_wet",)), DAY),
    ("room_too_damp", body(), ask(rh=0.8, target_rh=0.6, days=2.0)),
    ("room_too_damp", body(kind="brick", thickness_mm=5.0), ask(rh=0.8, target_rh=0.6, days=2.0)),
    ("not_in_time", body(thickness_mm=60.0), ask(days=2.0)),
    ("isotherm_range", body(), ask(rh=0.98, days=1.0)),
    ("isotherm_range", body(), ask(days=1.0, target_rh=0.02)),
    ("isotherm_range", body(kind="bone", thickness_mm=3.0), ask(rh=0.93, days=1.0)),
    ("mould_range", body(), replace(DAY, room=(COLD,))),
    ("mould_range", body(), replace(DAY, room=(HOT,))),
    ("mould_range", body(), replace(DAY, room=(Stretch(12.0, 20.0, 0.5), COLD))),
    ("two_stage", body(kind="brick"), DAY),
    ("untried", body(), DAY),
)
FORTHRIGHT = {"fast_side", "sapwood", "untried"}


@pytest.mark.parametrize(("key", "wet", "question"), FLAGGED)
def test_flag_stands(key: str, wet: WetBody, question: DryingQuestion) -> None:
    """Where it must, and with a sentence."""
    found = dried(wet, question)
    assert key in flags(found)
    assert all(len(one.say) > 10 for one in found.flags)
    assert len(found.flags) == len(flags(found))


def test_a_plain_board_in_a_plain_room_has_no_more_than_it_must() -> None:
    """Bare pine that arrives in time: nothing was tried, it is early, and sapwood."""
    assert flags(dried(body(thickness_mm=5.0), ask())) == FORTHRIGHT


def test_a_flag_that_is_forgotten_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A room that is never too warm, cold or damp."""
    monkeypatch.setattr(cautions, "_of_room", lambda wet, stuff, question: [])
    missing = [key for key, wet, question in FLAGGED if key not in flags(dried(wet, question))]
    assert set(missing) == {"too_warm", "isotherm_range", "mould_range"}


ASSUMED: tuple[tuple[str, WetBody, DryingQuestion], ...] = (
    ("kind", body(kind="hardwood", known_by="family", kind_words="hard wood"), DAY),
    ("kind", body(known_by="assumed", kind_words=""), DAY),
    ("kind", body(kind="brick", known_by="assumed", kind_words=""), DAY),
    ("schedule", body(kind="european_beech"), DAY),
    ("before", body(out_h=30.0), DAY),
    ("room", body(), ask(days=4.0, room=(Stretch(48.0, 20.0, 0.5),))),
    ("profile", body(moisture=0.5), DAY),
    ("start_moisture", body(), DAY),
    ("start_moisture", body(under_water_h=3.0), DAY),
    ("start_moisture", body(wet_mass_g=600.0), DAY),
    ("start_moisture", body(kind="brick"), DAY),
    ("dry_mass_g", body(wet_mass_g=600.0, dry_mass_g=400.0), DAY),
    ("thickness_mm", body(thickness_mm=None), DAY),
    ("size", body(length_mm=None), DAY),
)


@pytest.mark.parametrize(("what", "wet", "question"), ASSUMED)
def test_assumption_is_said(what: str, wet: WetBody, question: DryingQuestion) -> None:
    """What was taken, as what, why, and how sure."""
    found = next(one for one in dried(wet, question).assumed if one.what == what)
    assert found.value
    assert found.why
    assert found.confidence in ("v", "m", "c")


def test_what_was_stated_is_not_assumed() -> None:
    """A board of known kind, size and moisture, even throughout, just out, in a room known to the end:
    nothing but how fast water moves in it."""
    assert assumed(dried(body(moisture=1.6), DAY)) == {"diffusivity"}


def test_words_of_an_open_kind_are_repeated() -> None:
    """So that people see which of their words were too wide; nothing is quoted where nothing was said."""
    found = dried(body(kind="hardwood", known_by="family", kind_words="some hard wood"), DAY)
    said = next(one for one in found.assumed if one.what == "kind")
    assert "'some hard wood'" in said.why
    assert "one of" in said.value
    said = next(one for one in dried(body(known_by="assumed"), DAY).assumed if one.what == "kind")
    assert said.why == "nothing names the kind"


@pytest.mark.parametrize("kind", ["iron", "glass", "porcelain_glazed", "shell", "moonstone dust"])
def test_what_holds_no_water_says_so(kind: str) -> None:
    """No model, no numbers, and one flag with the reason."""
    found = dried(body(kind=kind), DAY)
    assert found.model == "none"
    assert (found.series, found.target, found.mould, found.start_moisture) == (None, None, None, None)
    assert (found.strain, found.assumed, found.sources) == ((), (), ())
    assert len(found.flags) == 1
    assert len(found.flags[0].say) > 20


def test_sources_are_named() -> None:
    """Of wood, of another body, of pores, each with its mould."""
    assert {"siau-1984", "hukka-viitanen-1999"} <= set(dried(body(kind=PINE), DAY).sources)
    assert "hukka-viitanen-1999" in dried(body(kind="bone", thickness_mm=3.0), DAY).sources
    assert {"limestone-crds", "ojanen-2010"} <= set(dried(body(kind="sandstone"), DAY).sources)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"room": ()}, "needs a room"),
        ({"members": 3}, "at least 4 members"),
        ({"days": 0.0}, "days is 0 d"),
        ({"days": float("nan")}, "days is nan d"),
        ({"target_rh": 1.2}, r"target_rh is 1\.2"),
        ({"room": (Stretch(10.0, 20.0, 1.5),)}, r"rh is 1\.5"),
        ({"room": (Stretch(10.0, 20.0, 0.5), Stretch(10.0, 9.0, 0.5))}, "end later"),
        ({"room": (Stretch(0.0, 20.0, 0.5),)}, "end later"),
        ({"room": (Stretch(10.0, 150.0, 0.5),)}, "temp_c is 150 degC"),
    ],
)
def test_what_cannot_be_asked_is_refused(told: dict[str, Any], said: str) -> None:
    """With its name and number."""
    with pytest.raises(ValueError, match=said):
        dried(body(), ask(**told))


def test_mould_to_be_expected_is_said_first() -> None:
    """Under a shut cover, where strain stays low; not in the open."""
    shut = dried(body(cover=cover(), thickness_mm=40.0), ask(days=60.0))
    assert shut.flags[0].key == "mould"
    assert "mould" not in flags(dried(body(), ask(days=60.0)))


def test_years_under_water_and_a_coat_on_one_side_are_said() -> None:
    assert "long_under_water" in flags(dried(body(under_water_h=9e4), DAY))
    assert "long_under_water" not in flags(dried(body(under_water_h=300.0), DAY))
    assert "coated_all_over" in flags(dried(body(coating="paint"), DAY))
    assert "coated_all_over" not in flags(dried(body(), DAY))
