"""What answers for the rows of ``kiln.csv``: the kiln in the units of its tables, degrees Fahrenheit."""

from strandline.knowledge.kiln import schedule
from strandline.physics import kiln
from strandline.physics.sorption import equilibrium_moisture


def rh_of_depression(temp_f: float, depression_f: float) -> float:
    """Relative humidity at a dry bulb and a wet-bulb depression."""
    return kiln.rh_of_depression(kiln.celsius(temp_f), depression_f * 5.0 / 9.0)


def rh_of_ventilated_depression(temp_f: float, depression_f: float) -> float:
    """The same by the psychrometer formula that such tables were worked out with."""
    return kiln.rh_of_ventilated_depression(kiln.celsius(temp_f), depression_f * 5.0 / 9.0)


def emc(temp_c: float, rh: float) -> float:
    """Equilibrium moisture of wood at the temperature and humidity of a schedule's step."""
    return equilibrium_moisture(temp_c, rh)


def celsius(temp_f: float) -> float:
    """A temperature in degrees Celsius."""
    return kiln.celsius(temp_f)


def step_rh(species: str, moisture: float) -> float:
    """Humidity of the step of a species' schedule in force at a moisture content."""
    return kiln.step_at(schedule(species.replace("_", " ")).steps, moisture).rh


def step_emc(species: str, moisture: float) -> float:
    """Equilibrium moisture of that step."""
    return kiln.step_at(schedule(species.replace("_", " ")).steps, moisture).emc


def same_rh(temp_c: float, rh: float, other_temp_c: float) -> float:
    """Humidity of the same equilibrium at another temperature."""
    return kiln.rh_for_same_equilibrium(temp_c, rh, other_temp_c)
