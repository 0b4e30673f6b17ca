"""What of the bodies a row of bodies.csv asks for."""

from __future__ import annotations

from strandline.knowledge import bodies


def moisture(key: str, rh: float) -> float:
    """Moisture of a body in balance with the air, the likely one [kg/kg]."""
    return bodies.body(key).moisture(rh).mid


def covers(key: str, field: str, value: float) -> float:
    """1 if the band of a field holds a published value, else 0."""
    return float(getattr(bodies.body(key), field).holds(value))


def covers_moisture(key: str, rh: float, value: float) -> float:
    """1 if the band of the moisture at a humidity holds a published value, else 0."""
    return float(bodies.body(key).moisture(rh).holds(value))
