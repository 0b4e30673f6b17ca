"""Bodies and rooms that the tests of the drying forecast dry."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import pytest

from strandline.drying.draws import Draws, Floats
from strandline.drying.forecast import forecast
from strandline.things.drying import (
    Band,
    CoverState,
    DryingForecast,
    DryingQuestion,
    Gap,
    Reached,
    Series,
    Stretch,
    WetBody,
)

FOREVER_H = 1e6
PINE = "eastern_white_pine"


def body(**told: Any) -> WetBody:
    """A pine board of 20 x 100 x 500 mm, of which nothing else is known unless told."""
    given: dict[str, Any] = {
        "tag": "0001", "title": "a board", "part": "whole", "kind": PINE, "kind_words": "pine",
        "known_by": "stated", "shape": "plane", "thickness_mm": 20.0, "width_mm": 100.0, "length_mm": 500.0,
    }  # fmt: skip
    return WetBody(**{**given, **told})


def ask(temp_c: float = 20.0, rh: float = 0.5, **told: Any) -> DryingQuestion:
    """A room that stays as it is, looked at for thirty days by sixteen members, unless told."""
    given: dict[str, Any] = {
        "room": (Stretch(FOREVER_H, temp_c, rh),), "days": 30.0, "target_rh": 0.6, "members": 16,
    }  # fmt: skip
    return DryingQuestion(**{**given, **told})


def cover(*gaps: Gap, sheet: str = "pe_100") -> CoverState:
    """A bag of polyethylene around a board, with openings."""
    return CoverState(sheet, 0.3, 5.0, gaps)


WIDE_OPEN = Gap("slit", 400.0, 100.0, "top", 2)


def dried(wet: WetBody, question: DryingQuestion | None = None) -> DryingForecast:
    """The forecast of one body."""
    return next(forecast([wet], question or ask()))


def series(wet: WetBody, question: DryingQuestion | None = None) -> Series:
    """Its courses."""
    found = dried(wet, question).series
    assert found is not None
    return found


def target(wet: WetBody, question: DryingQuestion | None = None) -> Reached:
    """When it reaches the target."""
    found = dried(wet, question).target
    assert found is not None
    return found


def hours(wet: WetBody, question: DryingQuestion | None = None) -> Band:
    """Hours to the target; half of the members must get there."""
    found = target(wet, question).hours
    assert found is not None, "fewer than half get there"
    return found


def flags(found: DryingForecast) -> set[str]:
    """Keys of its flags."""
    return {one.key for one in found.flags}


def assumed(found: DryingForecast) -> set[str]:
    """What it takes for want of knowledge."""
    return {one.what for one in found.assumed}


def strain_of(found: DryingForecast, criterion: str) -> Band:
    """Index against one criterion."""
    return next(one.index for one in found.strain if one.criterion == criterion)


def all_sure(monkeypatch: pytest.MonkeyPatch, *but: str) -> None:
    """Every number at its middle, so that all members are one; those named are drawn as ever."""
    plain = Draws.of

    def sure(self: Draws, what: str, band: Band, least: float = 0.0, most: float = math.inf) -> Floats:
        return plain(self, what, band if what in but else (band[1], band[1], band[1]), least, most)

    monkeypatch.setattr(Draws, "of", sure)


def draws(members: int = 16, seed: int = 1, name: str = "0001|whole") -> Draws:
    """Draws of one body."""
    return Draws(members, seed, name)


def all_rise(bands: Iterable[Band]) -> bool:
    """Whether low, mid and high stand in order in all of them."""
    return all(low <= mid <= high for low, mid, high in bands)
