"""What of the two-stage drying a row of capillary.csv asks for."""

from __future__ import annotations

from strandline.physics.capillary import PorousSlab, Segment, two_stage


def hours_until(
    thickness_m: float,
    faces: int,
    start_kg_m3: float,
    critical_kg_m3: float,
    mu: float,
    hours: float,
    temp_c: float,
    rh: float,
    transfer_m_s: float,
    later_c: float,
    later_rh: float,
    later_m_s: float,
    share_left: float,
    measured_m2_s: float = 0.0,
    activation_kj_mol: float = 0.0,
) -> float:
    """Hours until the share is left, through a first climate and a later one."""
    slab = PorousSlab(thickness_m, faces, start_kg_m3, critical_kg_m3, mu, measured_m2_s, activation_kj_mol)
    course = [Segment(hours, temp_c, rh, transfer_m_s), Segment(1.0, later_c, later_rh, later_m_s)]
    return two_stage(slab, course).hours_until(share_left)
