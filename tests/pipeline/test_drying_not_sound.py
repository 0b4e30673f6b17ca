"""What is not dried like a sound thing, by what the list or the words say of it; what damp air alone does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from strandline.pipeline.drying_kinds import NoKind, kind_of_words
from tests.pipeline.test_drying import COLLAR, asked, facts, left, whats


@pytest.mark.parametrize("told", ["dug from the harbour", "from the wreck", "excavated", "dredged up"])
def test_what_was_dug_up_is_not_dried_like_a_sound_thing(told: str) -> None:
    """Nor is it by the words of one body; stone and pottery of a dig have rules of their own."""
    (out,) = left(facts(title=f"Rib, {told}"))
    assert (out.part, out.why) == ("p1", "not_dried")
    assert "until a conservator has seen it" in out.say
    with pytest.raises(NoKind, match="does not dry like sound material"):
        kind_of_words(f"oak {told}")


def test_what_was_dug_up_by_its_feature_is_left_out() -> None:
    (out,) = left(facts(replace(COLLAR, id="p1", features=("archaeological",))))
    assert out.why == "not_dried"


def test_asbestos_is_not_dried() -> None:
    """By no words."""
    with pytest.raises(NoKind, match="call a licensed firm") as refused:
        kind_of_words("asbestos board")
    assert refused.value.why == "asbestos"


@pytest.mark.parametrize("state", ["splashed", "unknown", "damp_now"])
def test_no_hours_under_water_are_no_word_that_it_is_dry(state: str) -> None:
    """A splashed cloth with 0 h is taken as soaked: only damp air, where it is said, leaves it nearly dry."""
    (one,) = asked(facts(wet_state=state, under_water_h=0.0))
    assert one.body.under_water_h is None
    assert whats(one)["hours under water"] == "not known"


def test_damp_air_alone_brings_no_dirt() -> None:
    """What no water touched is neither soaked nor soiled by it."""
    (one,) = asked(facts(wet_state="damp_air_only"))
    assert (one.body.under_water_h, one.body.surfaces) == (0.0, ())
