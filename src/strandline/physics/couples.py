"""Two metals that touch in the wet: which of them suffers, and whether their difference is allowed.

The anodic index is a specification's grouping by potential in sea water, in steps of 0.05 V. It tells which
couples to part; it gives no rate, and in fresh or foul water the order of near neighbours may turn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from strandline.physics.ranges import within

ALLOWED_V: Mapping[str, float] = MappingProxyType({"harsh": 0.15, "normal": 0.25, "controlled": 0.50})
"""Largest difference by environment (mil-std-889, read in couples-page-vk6ysf)."""
HARSH = "harsh"
"""What is wet, salty, outdoors or in damp air: every object that came out of a flood."""
SLACK_V = 1e-9
LARGE_CATHODE, SMALL_CATHODE = 3.0, 1.0 / 3.0


@dataclass(frozen=True, slots=True)
class Couple:
    """What is said of two metals in contact."""

    difference_v: float
    allowed_v: float
    environment: str
    part: bool
    suffers: str
    area_caution: str


def difference_v(first_index_v: float, second_index_v: float) -> float:
    """Difference of two anodic indices.

    Equation: |first - second|.
    Source: mil-std-889 (table of the index); mil-dtl-14072f (its use, read).
    Range: indices from 0 (gold) to 1.85 V (beryllium).
    Doubt: grouped in steps of 0.05 V by potential in sea water.
    Raises: OutOfRange.

    >>> round(difference_v(0.0, 0.15), 2)
    0.15
    """
    within("first_index_v", first_index_v, 0.0, 2.0, "V")
    return abs(first_index_v - within("second_index_v", second_index_v, 0.0, 2.0, "V"))


def allowed_v(environment: str) -> float:
    """Largest difference of indices that is allowed in an environment.

    Rule: 0.15 V harsh (outdoors, damp, salt, wet), 0.25 V normal (stores without control of the climate),
    0.50 V controlled.
    Source: mil-std-889 (read in couples-page-vk6ysf).
    Range: three environments.
    Doubt: a rule of design for years of service; a wet object calls for harsh.
    Raises: ValueError for an environment that is not known.

    >>> allowed_v("harsh")
    0.15
    """
    if environment not in ALLOWED_V:
        raise ValueError(f"environment: '{environment}' is not one of {', '.join(ALLOWED_V)}")
    return ALLOWED_V[environment]


def suffering(first_index_v: float, second_index_v: float) -> int:
    """Which of two metals corrodes for the other: 1 the first, 2 the second, 0 neither.

    Rule: the one with the higher anodic index.
    Source: mil-dtl-14072f, 3.13.1 b (read).
    Range: indices from 0 to 1.85 V.
    Doubt: near neighbours may change places in another water; lead, tin and galvanising are known to.
    Raises: OutOfRange.

    >>> suffering(0.85, 0.40)
    1
    """
    if difference_v(first_index_v, second_index_v) <= SLACK_V:
        return 0
    return 1 if first_index_v > second_index_v else 2


def area_caution(anode_area: float, cathode_area: float) -> str:
    """What the areas that touch the water mean for the metal that suffers.

    Rule: the attack grows with cathode area over anode area; a small anode beside a large cathode is worst.
    Source: mil-dtl-14072f, 3.13.1 b (read); mil-std-1250a, 5.6 f (read).
    Range: areas in one unit, above 0; the bounds of 3 and 1/3 are ours.
    Doubt: in a thin film or a drop only the areas near the joint count.
    Raises: OutOfRange.

    >>> area_caution(anode_area=1.0, cathode_area=100.0)
    'worse: small anode beside a large cathode (1:100)'
    """
    ratio = within("cathode_area", cathode_area, 1e-12, 1e12) / within("anode_area", anode_area, 1e-12, 1e12)
    if ratio > LARGE_CATHODE:
        return f"worse: small anode beside a large cathode (1:{ratio:.3g})"
    if ratio < SMALL_CATHODE:
        return f"milder: large anode beside a small cathode ({1.0 / ratio:.3g}:1)"
    return "areas of the same order"


def couple(
    first: str,
    first_index_v: float,
    second: str,
    second_index_v: float,
    environment: str = HARSH,
    areas: tuple[float, float] | None = None,
) -> Couple:
    """Whether two metals in contact should be parted or dried first, and which of them suffers.

    Rule: part them if the difference of their indices passes what the environment allows.
    Source: mil-std-889 (read in couples-page-vk6ysf); mil-dtl-14072f.
    Range: indices from 0 to 1.85 V; ``areas`` are of the first and the second metal.
    Doubt: that of the index; parting may be impossible or worse than the corrosion, then dry the joint first.
    Raises: OutOfRange; ValueError for an environment that is not known.

    >>> couple("iron", 0.85, "brass", 0.40).suffers
    'iron'
    """
    limit = allowed_v(environment)
    difference = difference_v(first_index_v, second_index_v)
    which = suffering(first_index_v, second_index_v)
    caution = "areas not given"
    if areas is not None and which:
        anode, cathode = areas if which == 1 else areas[::-1]
        caution = area_caution(anode, cathode)
    suffers = ("", first, second)[which]
    return Couple(difference, limit, environment, difference > limit + SLACK_V, suffers, caution)
