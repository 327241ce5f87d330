"""Sums of a pin's end that holds its plate by a cotter.

- `cottered_projection`, `cottered_pin_length`: how far it stands beyond the plate
- `hole_clearance`: room between hole and plate
- `hole_net_section`: what the hole leaves of the section
- `cotter_retention`: what cotter and pin end hold
- `plate_walk`: how far the plate can move before the cotter stops it
- `needed_cotter_length`, `cotter_mass`, `cottered_mass_per_length`: cotters bought
- `cross_drilled`: force and time of the hole
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DENSITY = 7850.0
"""Steel, EN 1993-1-2:2005, 3.2.2."""
_MISES = np.sqrt(3.0)


@calculation(
    source="geometry", gives="cotter_projection_mm", basis="computed",
    needs={"cotter_hole_mm": POSITIVE, "clearance_mm": NOT_NEGATIVE, "end_distance_mm": POSITIVE},
)  # fmt: skip
def cottered_projection(
    *, cotter_hole_mm: Values, clearance_mm: Values, end_distance_mm: Values
) -> Values:
    """What of a pin stands beyond the plate on its cotter's side: c + d1/2 + e.

    c from the plate to the edge of the hole, d1 hole, e from its middle to the end of the pin.

    References: geometry.

    Example:
        >>> cottered_projection(cotter_hole_mm=5.0, clearance_mm=1.0, end_distance_mm=8.0)
        11.5
    """
    return clearance_mm + np.asarray(cotter_hole_mm, float)[()] / 2.0 + end_distance_mm


@calculation(
    source="a head less and a cottered end more", gives="pin_length_mm", basis="computed",
    needs={"riveted_length_mm": POSITIVE, "rivet_projection_mm": NOT_NEGATIVE,
           "cotter_projection_mm": POSITIVE},
)  # fmt: skip
def cottered_pin_length(
    *, riveted_length_mm: Values, rivet_projection_mm: Values, cotter_projection_mm: Values
) -> Values:
    """Length of a pin that is riveted at one end and cottered at the other: l - a + a_c.

    References: geometry.
    """
    return riveted_length_mm - rivet_projection_mm + np.asarray(cotter_projection_mm, float)[()]


@calculation(
    source="geometry", gives="hole_clearance_mm", basis="computed",
    needs={"cotter_projection_mm": POSITIVE, "hole_from_end_mm": POSITIVE,
           "cotter_hole_mm": POSITIVE},
)  # fmt: skip
def hole_clearance(
    *, cotter_projection_mm: Values, hole_from_end_mm: Values, cotter_hole_mm: Values
) -> Values:
    """From the plate to the edge of the hole: a_c - e - d1/2; below zero no cotter enters.

    References: geometry.
    """
    return cotter_projection_mm - np.asarray(hole_from_end_mm, float)[()] - cotter_hole_mm / 2.0


class NetSection(NamedTuple):
    """Results of `hole_net_section`."""

    net_area_mm2: Values
    net_percent: Values
    """Of the whole section."""


@calculation(
    source="geometry: two segments of a circle", basis="computed",
    needs={"pin_diameter_mm": POSITIVE, "cotter_hole_mm": NOT_NEGATIVE},
)  # fmt: skip
def hole_net_section(*, pin_diameter_mm: Values, cotter_hole_mm: Values) -> NetSection:
    """Section of a pin beside a hole through its middle: d^2/2 (arccos k - k sqrt(1 - k^2)).

    k = d1/d, at most 1.

    References: geometry.

    Example:
        >>> print(round(hole_net_section(pin_diameter_mm=8.28, cotter_hole_mm=2.5).net_percent, 1))
        62.1
    """
    share = np.minimum(np.asarray(cotter_hole_mm, float) / pin_diameter_mm, 1.0)
    left = np.arccos(share) - share * np.sqrt(1.0 - share**2)
    net = np.square(pin_diameter_mm) / 2.0 * left
    return NetSection(net[()], (100.0 * left * 2.0 / np.pi)[()])


class CotterRetention(NamedTuple):
    """Results of `cotter_retention`."""

    cotter_force_kN: Values
    """At which the cotter shears off on both sides of the pin."""
    pin_end_force_kN: Values
    """At which the end of the pin gives way: torn out behind the hole, or across it."""
    pin_end_ratio: Values
    """Of the two; above 1 the cotter goes first."""


@calculation(
    source="shear by von Mises in two planes; the section beside the hole at its yield stress",
    basis="computed",
    needs={
        "cotter_diameter_mm": POSITIVE, "cotter_strength_MPa": POSITIVE,
        "cotter_hole_mm": POSITIVE, "pin_diameter_mm": POSITIVE, "hole_from_end_mm": POSITIVE,
        "pin_yield_strength_MPa": POSITIVE,
    },
)  # fmt: skip
def cotter_retention(
    *,
    cotter_diameter_mm: Values,
    cotter_strength_MPa: Values,
    cotter_hole_mm: Values,
    pin_diameter_mm: Values,
    hole_from_end_mm: Values,
    pin_yield_strength_MPa: Values,
) -> CotterRetention:
    """Push along the pin that its cotter bears, and that the pin's end bears behind the hole.

        cotter:   2 (pi/4) d_c^2 R_m/sqrt 3
        torn out: 2 (e - d1/2) sqrt(d^2 - d1^2) R_e/sqrt 3
        across:   A_net R_e

    The two half rounds of a cotter count as one round of its least diameter. Bending of the
    cotter in its play and the case, if the end has one, are left out.

    References: statics.

    Example:
        >>> held = cotter_retention(cotter_diameter_mm=4.4, cotter_strength_MPa=400.0,
        ...     cotter_hole_mm=5.0, pin_diameter_mm=17.81, hole_from_end_mm=8.0,
        ...     pin_yield_strength_MPa=800.0)
        >>> print(round(held.cotter_force_kN, 2), round(held.pin_end_force_kN, 1))
        7.02 86.8
    """
    hole, pin = np.asarray(cotter_hole_mm, float), np.asarray(pin_diameter_mm, float)
    cotter = np.pi / 2.0 * np.square(cotter_diameter_mm) * cotter_strength_MPa / _MISES
    behind = np.maximum(hole_from_end_mm - hole / 2.0, 0.0)
    planes = 2.0 * behind * np.sqrt(np.maximum(pin**2 - hole**2, 0.0))
    across = hole_net_section(pin_diameter_mm=pin, cotter_hole_mm=hole).net_area_mm2
    end = np.minimum(planes / _MISES, across) * pin_yield_strength_MPa
    return CotterRetention((cotter / 1000.0)[()], (end / 1000.0)[()], (end / cotter)[()])


@calculation(
    source="geometry: the cotter lies at the outer side of its hole", gives="plate_walk_percent",
    basis="computed",
    needs={"cotter_hole_mm": POSITIVE,
           "least_cotter_mm": POSITIVE, "plate_thickness_mm": POSITIVE},
)  # fmt: skip
def plate_walk(
    *, clearance_mm: Values, cotter_hole_mm: Values, least_cotter_mm: Values,
    plate_thickness_mm: Values,
) -> Values:  # fmt: skip
    """How far a plate that came loose moves until the cotter stops it: 100 (c + d1 - d_c)/t.

    In per cent of the plate's thickness. A clearance below zero is that of a hole which the plate
    covers in part.

    References: geometry.
    """
    room = clearance_mm + np.asarray(cotter_hole_mm, float) - least_cotter_mm
    return (100.0 * room / plate_thickness_mm)[()]


@calculation(
    source="through the pin, and two legs to be bent", gives="least_length_mm", basis="computed",
    needs={"pin_diameter_mm": POSITIVE, "leg_mm": NOT_NEGATIVE},
)  # fmt: skip
def needed_cotter_length(*, pin_diameter_mm: Values, leg_mm: Values) -> Values:
    """Length below the eye that a cotter needs: d + leg.

    References: geometry.
    """
    return pin_diameter_mm + np.asarray(leg_mm, float)[()]


@calculation(
    source="volume of a bent half round times density", gives="cotter_kg", basis="computed",
    needs={"cotter_diameter_mm": POSITIVE, "cotter_length_mm": POSITIVE,
           "eye_width_mm": POSITIVE, "eye_length_mm": POSITIVE},
)  # fmt: skip
def cotter_mass(
    *, cotter_diameter_mm: Values, cotter_length_mm: Values, eye_width_mm: Values,
    eye_length_mm: Values,
) -> Values:  # fmt: skip
    """Mass of a cotter: two half rounds as its shank, one bent to an eye.

    rho (pi d^2/4) [l + (1/2) (pi/2) (b + c - d)]; b, c length and width of the eye, 7850 kg/m3.

    References: geometry; EN 1993-1-2:2005, 3.2.2, for the density.

    Example:
        >>> mass = cotter_mass(cotter_diameter_mm=4.5, cotter_length_mm=36.0, eye_width_mm=9.2,
        ...     eye_length_mm=10.0)
        >>> round(1000.0 * float(mass), 1)
        5.9
    """
    wire = np.asarray(cotter_diameter_mm, float)
    eye = np.pi / 4.0 * (eye_length_mm + eye_width_mm - wire)
    return (_DENSITY * 1e-9 * np.pi / 4.0 * wire**2 * (cotter_length_mm + eye))[()]


@calculation(
    source="a cotter more and a hole less a pitch", gives="chain_mass_kg_per_m", basis="computed",
    needs={"chain_mass_kg_per_m": POSITIVE, "cotter_kg": NOT_NEGATIVE,
           "cotter_hole_mm": NOT_NEGATIVE, "pin_diameter_mm": POSITIVE, "pitch_mm": POSITIVE},
)  # fmt: skip
def cottered_mass_per_length(
    *,
    chain_mass_kg_per_m: Values,
    cotter_kg: Values,
    cotter_hole_mm: Values,
    pin_diameter_mm: Values,
    pitch_mm: Values,
) -> Values:
    """Mass of a metre with a cotter in every pin: m + (m_c - rho pi d1^2 d/4) 1000/p.

    References: counting; the hole as a cylinder.
    """
    hole = _DENSITY * 1e-9 * np.pi / 4.0 * np.square(cotter_hole_mm) * pin_diameter_mm
    return (chain_mass_kg_per_m + (cotter_kg - hole) * 1000.0 / np.asarray(pitch_mm, float))[()]


class DrilledHole(NamedTuple):
    """Results of `cross_drilled`."""

    torque_Nm: Values
    drilling_power_kW: Values
    spindle_speed_rpm: Values
    drilling_time_s: Values


@calculation(
    source="O. Kienzle (1952) on both lips of a drill: M = k f d^2/8, remembered; time by feed",
    basis="memory",
    needs={
        "pin_diameter_mm": POSITIVE, "hole_diameter_mm": POSITIVE, "feed_mm": POSITIVE,
        "cutting_speed_m_per_min": POSITIVE, "specific_cutting_force_MPa": POSITIVE,
        "kienzle_exponent": (0.0, 0.6),
    },
)  # fmt: skip
def cross_drilled(
    *,
    pin_diameter_mm: Values,
    hole_diameter_mm: Values,
    feed_mm: Values,
    cutting_speed_m_per_min: Values,
    specific_cutting_force_MPa: Values,
    kienzle_exponent: Values = 0.25,
) -> DrilledHole:
    """Torque, power, speed and time of a hole drilled through the middle of a pin.

        k = k_c1.1 h^-m, h = (f/2) sin 59°, M = k f d^2/8, P = M 2 pi n
        n = v/(pi d), t = (D + 0.6 d)/(f n): the pin, and approach and run-out of the point

    References: as the source; a point of 118°.

    Example:
        >>> hole = cross_drilled(pin_diameter_mm=8.4, hole_diameter_mm=2.5, feed_mm=0.05,
        ...     cutting_speed_m_per_min=25.0, specific_cutting_force_MPa=2100.0)
        >>> print(round(hole.torque_Nm, 2), round(hole.drilling_time_s, 1))
        0.21 3.7
    """
    drill, feed = np.asarray(hole_diameter_mm, float), np.asarray(feed_mm, float)
    thickness = feed / 2.0 * np.sin(np.radians(59.0))
    cutting = specific_cutting_force_MPa * thickness ** -np.asarray(kienzle_exponent)
    torque = cutting * feed * drill**2 / 8000.0
    speed = np.asarray(cutting_speed_m_per_min, float) * 1000.0 / (np.pi * drill)
    way = pin_diameter_mm + 0.6 * drill
    return DrilledHole(
        torque[()],
        (torque * 2.0 * np.pi * speed / 60000.0)[()],
        speed[()],
        (way / (feed * speed) * 60.0)[()],
    )
