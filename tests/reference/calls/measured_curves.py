"""What answers for the measured drying curves in ``measured_curves.csv``: the drying engine, end to end.

Boards run through a kiln schedule, or stand in the air the row names; leather hangs in a stream of air;
bricks and
stones dry in two stages. What a row leaves out is filled in here with middle numbers and nothing is tuned.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from strandline.knowledge.bodies import body as kind_of_body
from strandline.knowledge.kiln import schedule
from strandline.knowledge.timbers import find
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.capillary import STILL, PorousSlab, Segment, two_stage
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.engine import FOREVER_H, Body, Piece, dry
from strandline.physics.isotherm import moisture_at
from strandline.physics.kiln import Step
from strandline.physics.schedule_run import Board, kiln_piece, run_schedule
from strandline.physics.sorption import equilibrium_moisture
from strandline.physics.surface import (
    cooled_evaporation_kg_m2_s,
    cooling_factor,
    heat_from_conductance_w_m2_k,
    plate_conductance_m_s,
    radiative_w_m2_k,
)

Row = Mapping[str, float | str]

OPEN_AIR_M_S = 0.005
"""Film of a stacked board in a light wind."""
STILL_AIR_M_S = 0.003
QUARTER_MM = 6.35
SHRINKAGE, EASING = 0.1, 0.01
"""Of the boards; they move the strain and not the time."""
LONGEST_H = 20_000.0
SHEET_M, SPEEDS_M_S = 0.3, (2.0, 7.8)
GAS_J_MOL_K = 8.314
WARM_C, COLD_C = 30.0, 20.0
DRY_AIR_RH = 0.4
"""Where a row about leather does not say."""
STONES = {"brick": "brick", "limestone": "limestone_porous", "sandstone": "sandstone"}
DEPTH_M, EMISSIVITY, LEFT_SHARE = 0.05, 0.9, 0.02


def drying_curve(**conditions: float | str) -> float:
    """The quantity that a row asks for, under the row's conditions."""
    return QUANTITIES[str(conditions["quantity"])](conditions)


def number(row: Row, name: str) -> float:
    """A number of a row."""
    return float(row[name])


def board_days(row: Row, thickness_mm: float) -> float:
    """Days until a board's mean moisture has come down, in a schedule or in air that stays.

    Its diffusivity is the law's times the middle factor that the forecast takes for the wood.
    """
    wood = find(str(row["species"]).replace("_", " "))
    assert wood is not None
    factor = factor_of(wood).band[1]
    board = Board(
        0.5e-3 * thickness_mm, number(row, "basic_density_kg_m3"), SHRINKAGE, diffusivity_factor=factor
    )
    start, end = number(row, "moisture_start"), number(row, "moisture_end")
    if "schedule" in row:
        steps = schedule(str(row["schedule"]).replace("_", " "), round(thickness_mm / QUARTER_MM)).steps
        return run_schedule(board, steps, [EASING], start, moisture_end=end).hours / 24.0
    temp_c, rh = number(row, "temp_c"), number(row, "rh")
    board = replace(board, surface_m_s=OPEN_AIR_M_S)
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


def likely(row: Row, thickness_m: float, faces: int) -> PorousSlab:
    """The middle reading of a soaked slab; a share at the start counts of all its pores."""
    stone = kind_of_body(next(key for word, key in STONES.items() if word in str(row["body"])))
    (_, slab, _) = stone.slabs(thickness_m, faces)
    if "start_share" not in row:
        return slab
    assert stone.porosity is not None
    return replace(slab, start_kg_m3=number(row, "start_share") * 1000.0 * stone.porosity.mid)


def heat_w_m2_k(film_m_s: float, temp_c: float) -> float:
    """Heat that reaches a face, by the air and by radiation."""
    return heat_from_conductance_w_m2_k(film_m_s, temp_c) + radiative_w_m2_k(temp_c, temp_c, EMISSIVITY)


def front_h(row: Row) -> float:
    """Hours of the first stage, after which the front goes inwards, in a stream along a small face."""
    temp_c, face_m = number(row, "temp_c"), number(row, "face_m")
    speed_m_s = number(row, "flow_l_min") / 60_000.0 / (math.pi / 4.0 * face_m**2)
    film = plate_conductance_m_s(speed_m_s, face_m, temp_c)
    rate = cooled_evaporation_kg_m2_s(film, heat_w_m2_k(film, temp_c), temp_c, number(row, "rh"))
    slab = likely(row, number(row, "thickness_m"), int(number(row, "faces")))
    return (slab.start_kg_m3 - slab.front_kg_m3) * slab.depth_m / rate / 3600.0


def dry_h(row: Row) -> float:
    """Hours until no more than a fiftieth of the water is left, in still air that cools the face."""
    temp_c = number(row, "temp_c")
    film = STILL_AIR_M_S * cooling_factor(STILL_AIR_M_S, heat_w_m2_k(STILL_AIR_M_S, temp_c), temp_c)
    slab = likely(row, number(row, "thickness_m"), int(number(row, "faces")))
    return two_stage(slab, [Segment(1.0, temp_c, number(row, "rh"), film)]).hours_until(LEFT_SHARE)


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
    """Diffusivity of the second stage without a film: the square of the depth over the time it takes."""
    return second_stage_at(row, number(row, "temp_c"), number(row, "rh"))


def second_stage_at(row: Row, temp_c: float, rh: float) -> float:
    """The same at a temperature and humidity."""
    slab = likely(row, DEPTH_M, 1)
    course = two_stage(replace(slab, start_kg_m3=slab.front_kg_m3), [Segment(1.0, temp_c, rh, STILL)])
    return DEPTH_M**2 / (3600.0 * course.hours_until(0.0))


def activation_kj_mol(row: Row) -> float:
    """Energy with which the second stage quickens with temperature, in dry air."""
    warm, cold = (second_stage_at(row, temp_c, 0.0) for temp_c in (WARM_C, COLD_C))
    between = 1.0 / (COLD_C + 273.15) - 1.0 / (WARM_C + 273.15)
    return 1e-3 * GAS_J_MOL_K * math.log(warm / cold) / between


QUANTITIES: Mapping[str, Callable[[Row], float]] = {
    "time_d": time_d,
    "time_ratio": time_ratio,
    "front_h": front_h,
    "dry_h": dry_h,
    "speed_exponent": speed_exponent,
    "second_stage_m2_s": second_stage_m2_s,
    "activation_kj_mol": activation_kj_mol,
}
