"""Film, coating and cover: in series, with the cover passing what it can and no more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strandline.drying import around as surrounding
from strandline.drying import forecast as forecasting
from strandline.drying.around import around, cover_at, with_changes
from strandline.drying.draws import band_of
from strandline.drying.shape import Size, size_of
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.vapour import diffusivity_schirmer_m2_s
from strandline.things.drying import CoverChange, CoverState, Gap, Stretch, WetBody
from tests.drying.cast import FOREVER_H, all_sure, ask, body, cover, draws, dried, hours, series

TIGHT = cover()
SHEET_SD_M = 25.0
BLOCKS = (
    body(cover=TIGHT, moisture=1.2),
    body(cover=TIGHT, moisture=1.2, thickness_mm=60.0, width_mm=60.0, length_mm=120.0),
    body(cover=TIGHT, moisture=1.2, shape="sphere", thickness_mm=60.0, width_mm=None, length_mm=None),
    body(cover=TIGHT, moisture=1.2, shape="cylinder", thickness_mm=60.0, width_mm=None, length_mm=80.0),
    body(cover=TIGHT, moisture=1.2, faces=1),
)


def law_a_shut_cover_passes_what_its_sheet_does(wet: WetBody) -> None:
    """Day 2 to 4 of a soaked body in a shut bag of 0.3 m2: grams lost are D A / s_d rho (1 - 0.5) t, whatever
    its shape."""
    found = series(wet, ask(days=4.0, members=4))
    assert found.mass_g is not None
    first, last = found.hours.index(48.0), found.hours.index(96.0)
    lost = found.mass_g[first][1] - found.mass_g[last][1]
    by_hand = diffusivity_schirmer_m2_s(20.0) * 0.3 / SHEET_SD_M * saturation_density_kg_m3(20.0) * 0.5
    assert lost == pytest.approx(1000.0 * by_hand * 48 * 3600, rel=0.02)


@pytest.mark.parametrize("wet", BLOCKS, ids=["board", "block", "ball", "short rod", "one face"])
def test_a_shut_cover_passes_what_its_sheet_does(wet: WetBody, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every number at its middle."""
    all_sure(monkeypatch)
    law_a_shut_cover_passes_what_its_sheet_does(wet)


def test_a_cover_shared_out_over_the_wrong_area_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Over the whole surface of a block, of which the plane that stands for it has less."""

    def wrong(wet: WetBody, along: float) -> Size:
        found = size_of(wet, along)
        return replace(found, open_m2=found.area_m2)

    all_sure(monkeypatch)
    law_a_shut_cover_passes_what_its_sheet_does(BLOCKS[1])
    monkeypatch.setattr(forecasting, "size_of", wrong)
    with pytest.raises(AssertionError):
        law_a_shut_cover_passes_what_its_sheet_does(BLOCKS[1])


def law_coat_and_film_in_series() -> None:
    """Half the members of a varnished board: 1 / (1/h + s_d / D)."""
    wet = body(coating="varnish")
    found = around(wet, ask(), size_of(wet, 4.0), draws(400))
    by_hand = 1.0 / (1.0 / 0.0025 + 1.0 / diffusivity_schirmer_m2_s(20.0))
    assert band_of(found.surface_m_s[0])[1] == pytest.approx(by_hand, rel=0.05)
    assert found.regime == "open"


def test_coat_and_film_in_series() -> None:
    law_coat_and_film_in_series()


def test_a_coat_in_the_wrong_unit_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Air that lets a thousand times as much through."""
    monkeypatch.setattr(
        surrounding, "diffusivity_schirmer_m2_s", lambda temp_c: 1e3 * diffusivity_schirmer_m2_s(temp_c)
    )
    with pytest.raises(AssertionError):
        law_coat_and_film_in_series()


def test_a_fan_reaches_what_is_open_and_not_what_is_covered() -> None:
    """The film is thinner in the open; under a cover it is that of still air."""
    plain, covered = body(), body(cover=TIGHT)
    for wet, same in ((plain, False), (covered, True)):
        still, moved = (
            around(wet, ask(moving_air=moving), size_of(wet, 4.0), draws()).surface_m_s[0]
            for moving in (False, True)
        )
        assert np.array_equal(still, moved) is same
        assert np.median(moved) >= np.median(still)


def test_a_cover_is_one_cover_for_all_stretches() -> None:
    """The member that has the loosest cover today has it tomorrow too."""
    wet = body(cover=cover(Gap("hole", 6.0, 6.0, "side", 4)))
    room = (Stretch(48.0, 8.0, 0.7), Stretch(96.0, 20.0, 0.4), Stretch(FOREVER_H, 15.0, 0.5))
    found = around(wet, ask(room=room), size_of(wet, 4.0), draws()).outer_m_s
    assert len(found) == 3
    order = np.argsort(found[0])
    assert all(np.array_equal(np.argsort(one), order) for one in found[1:])


def test_what_is_not_said_of_a_cover_is_assumed() -> None:
    """Its area and its air; neither if both were given."""
    given = dried(body(cover=TIGHT)).assumed
    assert not {"sheet_area_m2", "air_litres"} & {one.what for one in given}
    taken = dried(body(cover=CoverState("pe_100", None, None, ()))).assumed
    assert {"sheet_area_m2", "air_litres"} <= {one.what for one in taken}


def test_what_is_not_known_is_named() -> None:
    """Coating and sheet, with those there are; a gap that is none."""
    with pytest.raises(KeyError, match="coating 'tar' is not known; there are none, wax"):
        dried(body(coating="tar"))
    with pytest.raises(KeyError, match="cover 'foil' is not known; there are pe_25"):
        dried(body(cover=CoverState("foil", None, None, ())))
    with pytest.raises(ValueError, match="an opening is a"):
        dried(body(cover=cover(Gap("door", 10.0, 10.0, "side", 1))))


SHUT = cover()
CLIPS = (Gap("slit", 60.0, 20.0, "top", 2), Gap("slit", 60.0, 20.0, "side", 2))


def later(*changes: CoverChange) -> CoverState:
    """A shut cover that is changed later."""
    return replace(SHUT, later=changes)


def test_a_cover_that_is_changed_has_a_stretch_for_each_state() -> None:
    """In a room of two stretches; a change at a stretch's end, and one beyond the last, need no other."""
    room = (Stretch(100.0, 8.0, 0.7), Stretch(200.0, 20.0, 0.4))
    changes = (CoverChange(40.0, CLIPS), CoverChange(100.0, CLIPS[:1]), CoverChange(500.0, None))
    found = with_changes(ask(room=room), later(*changes)).room
    assert [one.until_h for one in found[:-1]] == [40.0, 100.0, 500.0]
    assert [one.temp_c for one in found] == [8.0, 8.0, 20.0, 20.0]
    begins = [0.0, *(one.until_h for one in found[:-1])]
    states = [cover_at(later(*changes), begin) for begin in begins]
    assert [None if one is None else one.gaps for one in states] == [(), CLIPS, CLIPS[:1], None]
    assert with_changes(ask(room=room), SHUT).room == room


def law_the_course_goes_on_in_the_new_cover() -> None:
    """A cover opened after four days: until then as if shut for good, then ever drier; the same as two runs,
    the second from what the first one left; taken off, it is as the open one in the end."""
    opened = series(body(cover=later(CoverChange(96.0, CLIPS))), ask(days=40.0))
    shut, off = (series(body(cover=one), ask(days=40.0)) for one in (SHUT, later(CoverChange(96.0, None))))
    until = opened.hours.index(96.0)
    for one in (opened, off):
        np.testing.assert_allclose(one.mean[:until], shut.mean[:until], atol=2e-4)
        np.testing.assert_allclose(one.cover_rh[1:until], shut.cover_rh[1:until], atol=2e-3)
    assert np.all(np.array(shut.mean)[-1] > np.array(opened.mean)[-1] + 0.01)
    assert np.all(np.array(opened.mean)[-1] > np.array(off.mean)[-1] - 1e-4)
    np.testing.assert_allclose(off.surface_rh[-1], 0.5, atol=0.03)


def test_the_course_goes_on_in_the_new_cover() -> None:
    law_the_course_goes_on_in_the_new_cover()


@pytest.mark.parametrize("wrong", ["forgets", "at once"])
def test_a_change_at_the_wrong_hour_is_seen(monkeypatch: pytest.MonkeyPatch, wrong: str) -> None:
    """One that is forgotten, and one made today."""
    right = surrounding.cover_at
    monkeypatch.setattr(
        surrounding, "cover_at", lambda state, hour: right(state, 0.0 if wrong == "forgets" else hour + 96.0)
    )
    with pytest.raises(AssertionError):
        law_the_course_goes_on_in_the_new_cover()


def test_pores_follow_the_cover_too() -> None:
    """A soaked brick under a cover taken off on the third day is dry before one that stays covered."""
    brick, loose = body(kind="brick", thickness_mm=30.0), cover(*CLIPS)
    covers = (None, replace(loose, later=(CoverChange(72.0, None),)), loose)
    found = [hours(replace(brick, cover=one), ask(days=600.0)) for one in covers]
    assert all(a < b < c for a, b, c in zip(*found, strict=True))


def test_a_fan_reaches_what_the_cover_was_taken_off() -> None:
    """From then on the film is that of moved air, member for member the stiller of the still."""
    wet = body(cover=later(CoverChange(48.0, None)))
    question = with_changes(ask(moving_air=True), wet.cover)
    found = around(wet, question, size_of(wet, 4.0), draws()).surface_m_s
    assert np.all(found[1] > found[0])
    assert np.array_equal(np.argsort(found[0]), np.argsort(found[1]))


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ((CoverChange(0.0, CLIPS),), "after now"),
        ((CoverChange(50.0, CLIPS), CoverChange(20.0, ())), "later than the one before"),
        ((CoverChange(20.0, None), CoverChange(50.0, CLIPS)), "taken off is changed no more"),
    ],
)
def test_changes_that_cannot_be_are_refused(changes: tuple[CoverChange, ...], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        dried(body(cover=later(*changes)))
