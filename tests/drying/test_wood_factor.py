"""A forecast reckons with the diffusivity measured on its wood, says so, and tells how long boards took."""

from __future__ import annotations

import pytest

from strandline.drying import forecast as forecasting
from strandline.drying import members as membering
from strandline.knowledge import timbers
from strandline.knowledge.wood_diffusivities import factor_of, wood_diffusivities
from strandline.things.drying import DryingForecast
from tests.drying.cast import PINE, ask, body, dried, flags, hours
from tests.reference.calls.measured_curves import time_d
from tests.reference.outside import FOLDER, Row, read_file

LONG = ask(days=288.0)
OAK = "northern_red_oak"
CURVES = [row for row in read_file(FOLDER / "measured_curves.csv") if row.inputs["quantity"] == "time_d"]
IN_OPEN_AIR = [row for row in CURVES if "schedule" not in row.inputs]


def said(found: DryingForecast, key: str) -> str:
    """The sentence of a flag."""
    return next(one.say for one in found.flags if one.key == key)


@pytest.mark.parametrize("kind", [OAK, "european_oak", "oak", "norway_spruce", "spruce", PINE, "hardwood"])
def test_the_factor_of_the_wood_is_reckoned_with(kind: str) -> None:
    """Among the numbers, with its sources, and in words."""
    found = dried(body(kind=kind), ask(days=1.0))
    several = timbers.envelope(kind) if kind == "hardwood" else timbers.find(kind.replace("_", " "))
    assert several
    factor = factor_of(several)
    assert found.numbers["diffusivity_factor"] == factor.band
    assert set(factor.source) <= set(found.sources)
    told = next(one for one in found.assumed if one.what == "diffusivity")
    assert told.why == factor.told
    assert f"likely {factor.band[1]:.2g}" in told.value
    assert told.source == factor.source


def test_other_bodies_are_silent_about_it() -> None:
    """No wood, no factor of a wood."""
    found = dried(body(kind="bone", thickness_mm=4.0), ask(days=1.0))
    assert "diffusivity" not in {one.what for one in found.assumed}
    assert "fast_side" not in flags(found)


def law_a_slow_wood_dries_later() -> None:
    """Red oak with its own factor, and taken as a wood that nobody measured."""
    own = hours(body(kind=OAK), LONG)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(membering, "factor_of", lambda timber: wood_diffusivities().general)
        unmeasured = hours(body(kind=OAK), LONG)
    assert own[1] > 1.2 * unmeasured[1]


def test_a_slow_wood_dries_later() -> None:
    law_a_slow_wood_dries_later()


def test_a_factor_that_is_not_used_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(membering, "_scaled", lambda form, factor: form)
    with pytest.raises(AssertionError):
        law_a_slow_wood_dries_later()


def test_sources_without_the_factor_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A forecast that names only the law."""
    monkeypatch.setattr(forecasting, "factor_of", lambda timber: wood_diffusivities().general)
    with pytest.raises(AssertionError):
        test_the_factor_of_the_wood_is_reckoned_with(OAK)


def ends(rows: list[Row]) -> str:
    """Published times over our likely ones, from the least to the most."""
    over = sorted(row.value / time_d(row.inputs) for row in rows)
    return " to ".join(dict.fromkeys(f"{one:.1f}" for one in (over[0], over[-1])))


def by_sentence() -> dict[str, list[Row]]:
    """Rows of published times by what a forecast of their wood says of boards."""
    found: dict[str, list[Row]] = {}
    for row in CURVES:
        wood = timbers.find(str(row.inputs["species"]).replace("_", " "))
        assert wood
        found.setdefault(factor_of(wood).boards, []).append(row)
    return found


def law_what_is_said_of_boards_is_so(sentences: dict[str, list[Row]]) -> None:
    """Each sentence holds the factors by which its woods' published times are missed, kilns and open air."""
    for say, rows in sentences.items():
        air = [row for row in rows if row in IN_OPEN_AIR]
        kilns = [row for row in rows if row not in IN_OPEN_AIR]
        assert air
        if kilns:
            told = f" {ends(kilns)} times the likely one here in kilns and {ends(air)} times in open air"
            assert told in say
        else:
            assert f" {ends(air)} times the likely one here in open air" in say


def test_what_is_said_of_boards_is_so() -> None:
    """Of oak, and of woods that nobody measured."""
    sentences = by_sentence()
    assert len(sentences) == 2
    law_what_is_said_of_boards_is_so(sentences)


def test_a_sentence_that_is_out_of_date_is_seen() -> None:
    """What was said before red oak had its factor."""
    rows = next(iter(by_sentence().values()))
    with pytest.raises(AssertionError):
        law_what_is_said_of_boards_is_so({"longer than the likely one here, up to four times": rows})


@pytest.mark.parametrize("kind", [OAK, "european_oak", "norway_spruce", "sugar_maple", PINE])
def test_the_forecast_says_it(kind: str) -> None:
    """What is held of the wood's boards, as its flag."""
    say = said(dried(body(kind=kind), ask(days=1.0)), "fast_side")
    assert say == factor_of(timbers.timber(kind)).boards
    assert say in by_sentence()
