"""How the values in corrosion.csv are asked of our own functions, where a name alone does not do."""

from __future__ import annotations

from strandline.knowledge import metals
from strandline.physics import corrosion


def wetness_limit_h(number: int) -> float:
    """Most hours a year of one class, found by asking for the class on both sides."""
    inside = [h for h in range(0, 8785) if corrosion.wetness_class(float(h)) == number]
    return float(inside[-1])


def range_end(quantity: str, end: str) -> float:
    """One end of the range of the dose-response functions."""
    held = {
        "temp_c": corrosion.RANGE_TEMP_C,
        "rh": corrosion.RANGE_RH,
        "sulphur": corrosion.RANGE_SULPHUR,
        "chloride": corrosion.RANGE_CHLORIDE,
    }[quantity]
    return held[0 if end == "low" else 1]


def category_limit_um(metal: str, name: str) -> float:
    """Largest first-year loss of a category, found by bisection."""
    number = corrosion.CATEGORIES.index(name)
    low, high = 0.0, 1000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if corrosion.CATEGORIES.index(corrosion.category(metal, middle)) <= number:
            low = middle
        else:
            high = middle
    return low


def critical_rh(key: str) -> float:
    """Critical humidity of a metal in one condition."""
    return metals.critical_rh(key)


def constant(metal: str, name: str) -> float:
    """One constant of a dose-response function."""
    return float(getattr(corrosion.DOSE_RESPONSE[metal], name))


def flash_rust_possible(rh: float, chloride: int) -> float:
    """1 where flash rust may come."""
    return float(corrosion.flash_rust(rh, bool(chloride)).possible)
