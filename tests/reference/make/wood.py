"""Makes the rows of tests/reference/sorption.csv that two independent root finders agree on.

The two-hydrate equation is written out again here, from its constants in degrees Celsius; Brent's method and
TOMS 748 of SciPy (any 1.x) look for the humidity that goes with a moisture. A row is printed only where the
two agree to 1e-10.

Run: python tests/reference/make/wood.py (needs scipy).
"""

from __future__ import annotations

from scipy.optimize import brentq, toms748

POINTS = ((20.0, 0.06), (20.0, 0.12), (20.0, 0.18), (20.0, 0.25), (5.0, 0.10), (5.0, 0.28), (30.0, 0.15))
FURTHER = ((43.3, 0.08), (60.0, 0.20), (90.0, 0.02))


def moisture(temp_c: float, rh: float) -> float:
    """Moisture by the two-hydrate equation [kg/kg]."""
    w = 349 + 1.29 * temp_c + 0.0135 * temp_c**2
    k = 0.805 + 0.000736 * temp_c - 0.00000273 * temp_c**2
    k1 = 6.27 - 0.00938 * temp_c - 0.000303 * temp_c**2
    k2 = 1.91 + 0.0407 * temp_c - 0.000293 * temp_c**2
    free = k * rh / (1 - k * rh)
    above = k1 * k * rh + 2 * k1 * k2 * k**2 * rh**2
    return 18 / w * (free + above / (1 + k1 * k * rh + k1 * k2 * k**2 * rh**2))


def main() -> None:
    """Print the rows."""
    for temp_c, wanted in POINTS + FURTHER:

        def gap(rh: float, temp_c: float = temp_c, wanted: float = wanted) -> float:
            return moisture(temp_c, rh) - wanted

        one, two = brentq(gap, 0.0, 1.0, xtol=1e-13), toms748(gap, 0.0, 1.0, xtol=1e-13)
        if abs(one - two) > 1e-10:
            raise SystemExit(f"the finders differ at {temp_c}, {wanted}")
        print(
            f"sorption.equilibrium_rh,temp_c={temp_c:g};moisture={wanted:g},{one:.8f},1,1e-7,"
            "own-solvers,tests/reference/make/wood.py,solvers,two root finders,"
        )


if __name__ == "__main__":
    main()
