"""Prints the rows of porous.csv and capillary.csv that others' programs computed.

Run in an environment of its own: pip install fronts==1.2.13 scipy==1.17.1; python porous_and_capillary.py

* Sorptivity of a body whose diffusivity rises exponentially: fronts 1.2.13, which solves the non-linear
  diffusion equation in the variable of Boltzmann; nothing of it is in our closed form.
* Times of the two-stage drying: two solvers that share only the equation. One is Radau of scipy on the water
  left; the other empties thin layers one by one, each with the resistance in front of its middle. Saturation
  pressure is the international equation of 1992, diffusivity Schirmer's.
"""

from __future__ import annotations

import math
from typing import Any

STEEPNESS = (3.0, 4.0, 5.0, 6.0, 6.907755, 8.0, 9.0, 10.0, 12.0)
CRITICAL_K, CRITICAL_PA = 647.096, 22.064e6
WAGNER = ((1.0, -7.85951783), (1.5, 1.84408259), (3.0, -11.7866497), (3.5, 22.6807411), (4.0, -15.9618719),
          (7.5, 1.80122502))  # fmt: skip

CASES = (
    # thickness, faces, start, critical, mu, hours of the first climate, (temp, rh, transfer) twice, share
    (0.010, 1, 250.0, 250.0, 10.0, 1000.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.0),
    (0.010, 1, 250.0, 100.0, 10.0, 1000.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.0),
    (0.010, 1, 250.0, 100.0, 10.0, 1000.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.5),
    (0.020, 2, 250.0, 100.0, 10.0, 1000.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.1),
    (0.020, 1, 250.0, 100.0, 10.0, 1000.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.1),
    (0.030, 1, 400.0, 160.0, 8.0, 48.0, (20.0, 0.80, 0.002), (25.0, 0.40, 0.005), 0.05),
    (0.030, 2, 400.0, 160.0, 8.0, 24.0, (10.0, 0.70, 0.002), (20.0, 0.50, 0.005), 0.2),
    (0.050, 1, 160.0, 60.0, 25.0, 240.0, (20.0, 0.60, 0.003), (30.0, 0.30, 0.003), 0.1),
    (0.050, 2, 160.0, 60.0, 25.0, 120.0, (15.0, 0.75, 0.002), (20.0, 0.45, 0.008), 0.1),
    (0.008, 2, 300.0, 120.0, 12.0, 6.0, (20.0, 0.50, 0.001), (20.0, 0.50, 0.010), 0.05),
    (0.006, 1, 300.0, 90.0, 6.0, 12.0, (5.0, 0.80, 0.003), (18.0, 0.55, 0.003), 0.3),
    (0.100, 2, 200.0, 80.0, 30.0, 720.0, (20.0, 0.50, 0.003), (20.0, 0.65, 0.003), 0.2),
    (0.015, 1, 60.0, 100.0, 15.0, 30.0, (20.0, 0.50, 0.003), (40.0, 0.20, 0.010), 0.1),
    (0.004, 2, 350.0, 140.0, 9.0, 3.0, (20.0, 0.90, 0.003), (20.0, 0.50, 0.003), 0.25),
    (0.040, 1, 120.0, 40.0, 40.0, 500.0, (18.0, 0.55, 0.004), (22.0, 0.50, 0.004), 0.15),
    (0.025, 2, 450.0, 200.0, 7.0, 10.0, (20.0, 0.50, 0.010), (15.0, 0.60, 0.002), 0.4),
    (0.012, 1, 220.0, 80.0, 18.0, 20.0, (30.0, 0.40, 0.006), (20.0, 0.50, 0.003), 0.02),
)

CREEPING = (
    # the same, and the diffusivity of the second stage at 25 degC in dry air, and its energy in J/mol
    (0.005, 1, 200.0, 80.0, 25.0, 1000.0, (25.0, 0.00, 0.010), (25.0, 0.00, 0.010), 0.0, 4.75e-9, 30700.0),
    (0.050, 2, 200.0, 80.0, 25.0, 100.0, (15.0, 0.60, 0.003), (25.0, 0.40, 0.003), 0.02, 4.75e-9, 30700.0),
    (0.030, 1, 130.0, 60.0, 25.0, 48.0, (10.0, 0.70, 0.002), (20.0, 0.50, 0.005), 0.10, 3.00e-9, 27100.0),
    (0.065, 2, 230.0, 90.0, 12.0, 200.0, (20.0, 0.50, 0.003), (30.0, 0.30, 0.006), 0.05, 2.30e-9, 29500.0),
    (0.020, 1, 40.0, 90.0, 12.0, 24.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.05, 2.30e-9, 29500.0),
    (0.020, 1, 230.0, 90.0, 12.0, 24.0, (20.0, 0.50, 0.003), (20.0, 0.50, 0.003), 0.05, 0.50e-9, 29500.0),
)


def rim_resistance(case: tuple[Any, ...], temp_c: float) -> float:
    """Resistance of a metre of dry rim: vapour's, or the lower one that a measured second stage means."""
    full, spread = drive_and_diffusivity(temp_c, 0.0)
    vapour = case[4] / spread
    if len(case) == 9:
        return vapour
    warmer = math.exp(case[10] / 8.314 * (1.0 / 298.15 - 1.0 / (temp_c + 273.15)))
    return min(vapour, 2.0 * full / (min(case[2], case[3]) * case[9] * warmer))


def drive_and_diffusivity(temp_c: float, rh: float) -> tuple[float, float]:
    """Vapour difference between a wet face and the room [kg/m3]; diffusivity of vapour in air [m2/s]."""
    kelvin = temp_c + 273.15
    tau = 1.0 - kelvin / CRITICAL_K
    full_pa = CRITICAL_PA * math.exp(CRITICAL_K / kelvin * sum(c * tau**power for power, c in WAGNER))
    return full_pa * (1.0 - rh) / (461.52 * kelvin), 2.306e-5 * (kelvin / 273.15) ** 1.81


def by_layers(case: tuple[Any, ...], layers: int = 20000) -> float:
    """Hours until the share is left, by emptying thin layers one after another."""
    thickness, faces, start, critical, _, switch_h, first, second, share = case[:9]
    depth, front = thickness / faces, min(start, critical)
    surplus, wanted, left, clock = (start - front) * depth, share * start * depth, start * depth, 0.0

    def spend(water: float, rim: float) -> float:
        nonlocal clock
        while water > 0.0:
            climate, end = (first, switch_h * 3600.0) if clock < switch_h * 3600.0 else (second, math.inf)
            drive, _ = drive_and_diffusivity(*climate[:2])
            rate = drive / (1.0 / climate[2] + rim_resistance(case, climate[0]) * rim)
            used = min(water / rate, end - clock)
            clock, water = clock + used, water - rate * used
            if used == end - clock:
                water = max(water, 0.0)
        return clock

    spend(min(surplus, left - wanted), 0.0)
    left -= min(surplus, left - wanted)
    piece = front * depth / layers
    for layer in range(layers):
        if left - wanted <= 1e-12:
            break
        now = min(piece, left - wanted)
        spend(now, (layer + 0.5) * depth / layers)
        left -= now
    return clock / 3600.0


def by_radau(case: tuple[Any, ...]) -> float:
    """Hours until the share is left, by Radau on the water left."""
    from scipy.integrate import solve_ivp  # only here: the other solver needs nothing

    thickness, faces, start, critical, _, switch_h, first, second, share = case[:9]
    depth, front = thickness / faces, min(start, critical)
    wanted, water, clock = share * start * depth, start * depth, 0.0
    for climate, end in ((first, switch_h * 3600.0), (second, 1e10)):
        drive, _ = drive_and_diffusivity(*climate[:2])
        hold = rim_resistance(case, climate[0])

        def slope(
            _t: float, left: Any, film: float = climate[2], drive: float = drive, hold: float = hold
        ) -> Any:
            rim = max(0.0, depth - max(left[0], 0.0) / front) if left[0] < front * depth else 0.0
            return [-drive / (1.0 / film + hold * rim)]

        def there(_t: float, left: Any) -> float:
            return left[0] - wanted

        there.terminal = True
        longest = 7200.0 if end < 1e9 else 36000.0
        found = solve_ivp(
            slope, (clock, end), [water], "Radau", events=there, rtol=1e-9, atol=1e-12, max_step=longest
        )
        clock, water = float(found.t[-1]), float(found.y[0][-1])
        if found.status == 1:
            return clock / 3600.0
    raise ArithmeticError("never dry")


def main() -> None:
    """Print both sets."""
    import fronts  # only here: the solvers are of use without it

    for n in STEEPNESS:
        solved = fronts.solve(D=f"1e-6*exp({n}*(theta-1))", b=1.0, i=0.0, itol=1e-7)
        print(
            f"porous.sorptivity_m_s05,diffusivity_full_m2_s=1e-6;exponent={n:g},{float(solved.sorptivity()):.6e}"
        )
    for case in (*CASES, *CREEPING):
        layers, radau = by_layers(case), by_radau(case)
        thickness, faces, start, critical, mu, switch_h, first, second, share = case[:9]
        inputs = (
            f"thickness_m={thickness};faces={faces};start_kg_m3={start};critical_kg_m3={critical};mu={mu};"
            f"hours={switch_h};temp_c={first[0]};rh={first[1]};transfer_m_s={first[2]};"
            f"later_c={second[0]};later_rh={second[1]};later_m_s={second[2]};share_left={share}"
        )
        if len(case) > 9:
            inputs += f";measured_m2_s={case[9]:g};activation_kj_mol={case[10] / 1000.0:g}"
        print(f"capillary.hours_until,{inputs},{layers:.3f},gap {abs(layers / radau - 1.0):.1e}")


if __name__ == "__main__":
    main()
