"""How the values in mould.csv are asked of our own functions, where a name alone does not do."""

from __future__ import annotations

from strandline.physics import mould


def constant(surface: str, temp_c: float, rh: float, days: float) -> float:
    """Index after some days of one climate."""
    return mould.advance(mould.MouldState(), temp_c, rh, 24.0 * days, surface).index


def cycle(
    surface: str,
    temp_c: float,
    wet_rh: float,
    wet_h: int,
    dry_rh: float,
    dry_h: int,
    days: int,
) -> float:
    """Index after some days of damp and dry spells in turn, by steps of an hour."""
    one = [(temp_c, wet_rh)] * wet_h + [(temp_c, dry_rh)] * dry_h
    climates = (one * (24 * days // len(one) + 1))[: 24 * days]
    return mould.index_after(climates, 1.0, surface).index


def early_factor(surface: str) -> float:
    """Growth factor below index 1."""
    return mould.SURFACES[surface].early_factor


def rh_least(surface: str) -> float:
    """Least critical humidity."""
    return mould.SURFACES[surface].rh_least


def days_to(index: float, temp_c: float, rh: float, surface: str) -> float:
    """Days until an index that is reached."""
    found = mould.days_to(index, temp_c, rh, surface)
    return -1.0 if found is None else found


def decline_share(kind: str) -> float:
    """Multiplier of the decline."""
    return mould.DECLINES[kind]


def practice_limit_h() -> float:
    """Hours from emergence in which the rule of practice asks nothing."""
    return mould.practice_rule([], 1.0, ["soiled"]).limit_h


def practice_hours_against(temp_c: float, rh: float, hours: int) -> float:
    """Hours against the rule of practice in one climate, never looked at."""
    return mould.practice_rule([(temp_c, rh)] * hours, 1.0, ["soiled"]).hours_against
