"""What answers for the rows of ``drying_times.csv``: red oak in a kiln, by the fitted equation."""

from strandline.knowledge.kiln import schedule
from strandline.physics import kiln
from strandline.physics.air import saturation_pressure_pa
from strandline.physics.sorption import equilibrium_moisture


def saturation_mmhg(temp_f: float) -> float:
    """Saturation pressure in the unit of the equation."""
    return saturation_pressure_pa(kiln.celsius(temp_f)) / kiln.PA_PER_MMHG


def time_at_d(
    temp_f: float, rh: float, thickness_in: float, moisture_start: float, moisture_end: float
) -> float:
    """Days in unchanging air; below the range of the fit too."""
    temp_c = kiln.celsius(temp_f)
    constant_d = kiln.red_oak_time_constant_extended_d(thickness_in * kiln.INCH_M, temp_c)
    return kiln.drying_time_d(constant_d, moisture_start, moisture_end, equilibrium_moisture(temp_c, rh))


def longer_share(thickness_in: float, more_in: float) -> float:
    """Share by which a board takes longer that is a little thicker."""
    return kiln.thickness_time_factor((thickness_in + more_in) / thickness_in) - 1.0


def thickness_time_factor(thickness_ratio: float) -> float:
    """How many times longer a thicker board takes."""
    return kiln.thickness_time_factor(thickness_ratio)


def schedule_time_d(species: str, thickness_in: float, moisture_start: float, moisture_end: float) -> float:
    """Days through the schedule of a species, with the time constants of red oak."""
    steps = schedule(species.replace("_", " ")).steps
    return kiln.red_oak_schedule_time_d(steps, thickness_in * kiln.INCH_M, moisture_start, moisture_end)


def time_constant_d(temp_f: float, thickness_in: float) -> float:
    """Time constant of the fit."""
    return kiln.red_oak_time_constant_extended_d(thickness_in * kiln.INCH_M, kiln.celsius(temp_f))
