"""What answers for the measured drying curves in ``measured_curves.csv``: the drying engine, end to end.

Boards run through a kiln schedule, or stand in the air the row names; leather hangs in a stream of air;
bricks and
stones dry in two stages. What a row leaves out is filled in here with middle numbers and nothing is tuned.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from strandline.knowledge.bodies import body as kind_of_body
from strandline.knowledge.kiln import schedule
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.capillary import first_stage_rate_kg_m2_s, front_rate_kg_m2_s
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.engine import FOREVER_H, Body, Piece, dry
from strandline.physics.isotherm import moisture_at
from strandline.physics.kiln import Step
from strandline.physics.schedule_run import Board, kiln_piece, run_schedule
from strandline.physics.sorption import equilibrium_moisture
from strandline.physics.surface import plate_conductance_m_s

Row = Mapping[str, float | str]

OPEN_AIR_M_S = 0.005
"""Film of a stacked board in a light wind."""
STILL_AIR_M_S = 0.003
QUARTER_MM = 6.35
SHRINKAGE, EASING = 0.1, 0.01
"""Of the boards; they move the strain and not the time."""
LONGEST_H = 20_000.0
BRICK_M = 0.065
SHEET_M, SPEEDS_M_S = 0.3, (2.0, 7.8)
GAS_J_MOL_K = 8.314
WARM_C, COLD_C = 30.0, 20.0
DRY_AIR_RH = 0.4
"""Where a row about leather and stone does not say."""


def drying_curve(**conditions: float | str) -> float:
    """The quantity that a row asks for, under the row's conditions."""
    return QUANTITIES[str(conditions["quantity"])](conditions)


def number(row: Row, name: str) -> float:
    """A number of a row."""
    return float(row[name])


def board_days(row: Row, thickness_mm: float) -> float:
    """Days until a board's mean moisture has come down, in a schedule or in air that stays."""
    board = Board(0.5e-3 * thickness_mm, number(row, "basic_density_kg_m3"), SHRINKAGE)
    start, end = number(row, "moisture_start"), number(row, "moisture_end")
    if "schedule" in row:
        steps = schedule(str(row["schedule"]).replace("_", " "), round(thickness_mm / QUARTER_MM)).steps
        return run_schedule(board, steps, [EASING], start, moisture_end=end).hours / 24.0
    temp_c, rh = number(row, "temp_c"), number(row, "rh")
    board = Board(board.half_m, board.basic_density_kg_m3, SHRINKAGE, surface_m_s=OPEN_AIR_M_S)
    piece = kiln_piece(board, Step(math.inf, temp_c, rh, equilibrium_moisture(temp_c, rh)))
    body = Body("plane", board.half_m, board.basic_density_kg_m3, (piece,), start, ((0.0, rh),))
    return hours_until(body, end) / 24.0


def hours_until(body: Body, end: float) -> float:
    """Hours until the mean moisture has come down to `end`."""
    hours = [LONGEST_H * (tick / 4000.0) ** 2 for tick in range(1, 4001)]
    means = dry([body], hours, tolerance=1e-5).mean[0]
    after = next(place for place, mean in enumerate(means) if mean <= end)
    share = (means[after - 1] - end) / (means[after - 1] - means[after])
    return float(hours[after - 1] + share * (hours[after] - hours[after - 1]))


def time_d(row: Row) -> float:
    """Days of a board."""
    return board_days(row, number(row, "thickness_mm"))


def time_ratio(row: Row) -> float:
    """How many times longer the thicker of two boards takes, each in the schedule for its thickness."""
    return time_d(row) / board_days(row, number(row, "other_thickness_mm"))


def front_h(row: Row) -> float:
    """Hours of the first stage of a brick, after which its front goes inwards."""
    (_, slab, _) = kind_of_body("brick").slabs(BRICK_M, int(number(row, "faces")))
    rate = first_stage_rate_kg_m2_s(number(row, "temp_c"), number(row, "rh"), STILL_AIR_M_S)
    return (slab.start_kg_m3 - slab.front_kg_m3) * slab.depth_m / rate / 3600.0


def speed_exponent(row: Row) -> float:
    """Power of the speed of the air with which the time of a hung leather goes."""
    leather = kind_of_body("leather_chrome")
    low, top, wet = leather.dry_m2_s, leather.top_m2_s, leather.wet_m2_s
    assert low is not None
    assert top is not None
    assert wet is not None
    law = Diffusivity(
        moisture_at(leather.isotherm, 1.0), (low.mid, top.mid - low.mid, 0.0, 0.0, 0.0), wet.mid - top.mid
    )

    def hours(speed_m_s: float) -> float:
        film = plate_conductance_m_s(speed_m_s, SHEET_M, COLD_C)
        piece = Piece(FOREVER_H, leather.isotherm, law, saturation_density_kg_m3(COLD_C), film)
        half_m = 0.5e-3 * number(row, "thickness_mm")
        body = Body(
            "plane",
            half_m,
            leather.dry_kg_m3.mid,
            (piece,),
            number(row, "moisture_start"),
            ((0.0, DRY_AIR_RH),),
        )
        return hours_until(body, number(row, "moisture_end"))

    slow, quick = SPEEDS_M_S
    return math.log(hours(quick) / hours(slow)) / math.log(quick / slow)


def second_stage_m2_s(row: Row) -> float:
    """Diffusivity of the second stage: half the square of the depth of the front over its time."""
    stone = kind_of_body("limestone_porous")
    (_, slab, _) = stone.slabs(0.1, 1)
    depth = 0.05
    speed = front_rate_kg_m2_s(depth, slab.mu, number(row, "temp_c"), DRY_AIR_RH) / slab.front_kg_m3
    return speed * depth


def activation_kj_mol(row: Row) -> float:
    """Energy with which the speed of the front rises with temperature."""
    stone = kind_of_body("sandstone" if str(row["body"]).startswith("sandstone") else "limestone_porous")
    warm, cold = (front_rate_kg_m2_s(0.05, stone.mu.mid, temp_c, DRY_AIR_RH) for temp_c in (WARM_C, COLD_C))
    between = 1.0 / (COLD_C + 273.15) - 1.0 / (WARM_C + 273.15)
    return 1e-3 * GAS_J_MOL_K * math.log(warm / cold) / between


QUANTITIES: Mapping[str, Callable[[Row], float]] = {
    "time_d": time_d,
    "time_ratio": time_ratio,
    "front_h": front_h,
    "speed_exponent": speed_exponent,
    "second_stage_m2_s": second_stage_m2_s,
    "activation_kj_mol": activation_kj_mol,
}
