"""The elastic link against ring theory."""

import numpy as np
import pytest

from linkwright.mechanics.link_elastic import link_axial_stiffness
from linkwright.quantities import ArgumentError


def test_thin_ring():
    """A thin ring under two forces: deflection (pi/4 - 2/pi) F R^3/(E I), moment F R/pi.

    S. Timoshenko, Strength of Materials, Part II, thin ring under two opposite forces (0.149 and
    0.318).
    """
    radius = 100.0
    ring = link_axial_stiffness(
        wire_diameter_mm=1.0, pitch_mm=2 * radius - 1, outer_width_mm=2 * radius + 1
    )
    inertia = np.pi / 64
    deflection = (np.pi / 4 - 2 / np.pi) * 1000 * radius**3 / (205e3 * inertia)
    assert 1 / ring.axial_stiffness_kN_per_mm == pytest.approx(deflection, rel=1e-3)
    assert ring.crown_moment_Nm == pytest.approx(1000 * radius / np.pi / 1000, rel=1e-3)


def test_moments_are_in_equilibrium():
    """Crown moment less leg moment is half the force times the mean radius."""
    link = link_axial_stiffness(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8)
    assert link.crown_moment_Nm - link.leg_moment_Nm == pytest.approx(500 * 9.4 / 1000, rel=1e-6)


def test_long_legs_become_two_bars():
    """With very long legs the extension is that of two straight bars."""
    pitch = 1e5
    link = link_axial_stiffness(wire_diameter_mm=8.0, pitch_mm=pitch, outer_width_mm=26.8)
    bars = 2 * np.pi * 16 * 205 / pitch
    assert link.axial_stiffness_kN_per_mm == pytest.approx(bars, rel=1e-2)


def test_spread_contact_lowers_the_crown_moment():
    """The wider the neighbour presses, the less the crown bends."""
    angles = np.array([0.0, 15.0, 30.0, 45.0])
    link = link_axial_stiffness(
        wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8, contact_half_angle_deg=angles
    )
    assert np.all(np.diff(link.crown_moment_Nm) < 0)
    assert np.all(np.diff(link.axial_stiffness_kN_per_mm) > 0)
    assert link.crown_moment_Nm.shape == (4,)


def test_neighbour_must_fit():
    """An inner width of less than a wire diameter is refused."""
    with pytest.raises(ArgumentError, match="outer_width_mm"):
        link_axial_stiffness(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=23.0)
