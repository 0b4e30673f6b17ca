"""Our films asked for single numbers."""

from strandline.physics import films


def film_drying_isothermal_h(film_m: float, conductance_m_s: float, temp_c: float, rh: float) -> float:
    """The fast end of the bracket."""
    return films.film_drying_time(film_m, conductance_m_s, temp_c, rh).isothermal_h


def film_drying_adiabatic_h(film_m: float, conductance_m_s: float, temp_c: float, rh: float) -> float:
    """The slow end of the bracket."""
    return films.film_drying_time(film_m, conductance_m_s, temp_c, rh).adiabatic_h


def slot_meniscus_radius_m(rh: float, temp_c: float) -> float:
    """Radius of a meniscus curved one way only: half the gap it spans."""
    return films.kelvin_slot_gap_m(rh, temp_c) / 2.0


def rise_in_tube_m(radius_m: float, temp_c: float) -> float:
    """A tube lifts as high as a slot as wide as its radius: both are 2 sigma / (rho g r)."""
    return films.capillary_rise_slot_m(radius_m, temp_c)
