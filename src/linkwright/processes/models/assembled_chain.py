"""Sums of the assembly of roller chain: fits, rams, heads of pins, play, what breaks first.

- `diametral_interference`: what the member is larger than its hole
- `sizing_springback`, `sizing_ball`: the ball that leaves a bore as wanted
- `ram_force`: joints pressed at one stroke, with a reserve
- `joint_friction_torque`: what tries to turn a pin or bushing in its plate
- `rivet_heading`: force and size of the head of a riveted pin
- `side_play`: room between two widths
- `chain_breaking_force`: the weakest of inner plates, outer plates and pins
- `yield_share`, `force_share`: stresses and forces as per cent of others
- `strand_mass_per_length`, `chain_surface_area`: of a metre
- `cranked_links`, `cranked_force`: what closes a chain of an odd number of pitches
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_CAN_LIE_LOOSE = "a member smaller than its hole lies loose: 0"


@calculation(
    source="difference of two sizes", gives="diametral_interference_mm", basis="computed",
    needs={"member_diameter_mm": POSITIVE, "hole_diameter_mm": POSITIVE},
)  # fmt: skip
def diametral_interference(*, member_diameter_mm: Values, hole_diameter_mm: Values) -> Values:
    """What the member is larger than its hole: max(d - D, 0); loose ones have none.

    References: definition.

    Example:
        >>> round(diametral_interference(member_diameter_mm=8.28, hole_diameter_mm=8.24), 3)
        0.04
    """
    return np.maximum(np.asarray(member_diameter_mm, float) - hole_diameter_mm, 0.0)[()]


@calculation(
    source="share of the bore that a sized hole springs back, held by the works",
    gives="sizing_springback_um", basis="computed",
    needs={"bore_mm": POSITIVE, "springback_percent": NOT_NEGATIVE},
)  # fmt: skip
def sizing_springback(*, bore_mm: Values, springback_percent: Values) -> Values:
    """By how much a bore closes again behind the ball that sized it: 1000 d q/100.

    References: definition; the share is the works' own.
    """
    return (10.0 * np.asarray(bore_mm, float) * springback_percent)[()]


@calculation(
    source="the bore wanted and what it springs back", gives="sizing_ball_mm", basis="computed",
    needs={"bore_mm": POSITIVE, "sizing_springback_um": NOT_NEGATIVE},
)  # fmt: skip
def sizing_ball(*, bore_mm: Values, sizing_springback_um: Values) -> Values:
    """Diameter of the ball that leaves a bore as wanted: d + s/1000.

    References: as `pressed_bore`, solved for the ball.
    """
    return (np.asarray(bore_mm, float) + sizing_springback_um / 1000.0)[()]


@calculation(
    source="sum of the joints of one stroke with a reserve", gives="ram_force_kN",
    basis="computed",
    needs={"joint_force_kN": NOT_NEGATIVE, "joints": POSITIVE, "reserve_percent": NOT_NEGATIVE},
)  # fmt: skip
def ram_force(*, joint_force_kN: Values, joints: Values, reserve_percent: Values = 0.0) -> Values:
    """Force of the ram that presses several joints at once: n F (1 + r/100).

    References: sum of forces.

    Example:
        >>> ram_force(joint_force_kN=5.0, joints=2.0, reserve_percent=50.0)
        15.0
    """
    return joint_force_kN * joints * (1.0 + np.asarray(reserve_percent, float) / 100.0)


@calculation(
    source="Coulomb friction on a journal, M = mu F d/2", gives="torque_Nm", basis="computed",
    needs={
        "chain_pull_kN": NOT_NEGATIVE,
        "friction": NOT_NEGATIVE,
        "pin_diameter_mm": POSITIVE,
        "strands": (1.0, 12.0),
    },
)  # fmt: skip
def joint_friction_torque(
    *, chain_pull_kN: Values, friction: Values, pin_diameter_mm: Values, strands: Values = 1.0
) -> Values:
    """Torque by which a joint under its pull tries to turn pin or bushing: mu (F/n) d/2.

    F pull of the whole chain, n strands. A fit that holds less lets the part turn in its plate,
    which wears the hole and breaks the plate by fatigue.

    References: as the source.

    Example:
        >>> round(joint_friction_torque(chain_pull_kN=10.0, friction=0.2, pin_diameter_mm=8.28), 2)
        8.28
    """
    return friction * np.asarray(chain_pull_kN, float) / strands * pin_diameter_mm / 2.0


class RivetHead(NamedTuple):
    """Results of `rivet_heading`."""

    head_diameter_mm: Values
    head_force_kN: Values
    """Of one end."""
    head_ratio: Values
    """Head over pin."""


@calculation(
    source="volume kept; E. Siebel, upsetting of a cylinder, p = k (1 + mu d/(3 h)), remembered",
    basis="memory",
    needs={
        "pin_diameter_mm": POSITIVE,
        "projection_mm": POSITIVE,
        "head_share": (0.2, 0.99),
        "yield_strength_MPa": POSITIVE,
        "friction": NOT_NEGATIVE,
    },
)  # fmt: skip
def rivet_heading(
    *,
    pin_diameter_mm: Values,
    projection_mm: Values,
    head_share: Values,
    yield_strength_MPa: Values,
    friction: Values = 0.15,
) -> RivetHead:
    """Head of a riveted pin and the force that upsets it.

    The end stands out by a; upset to s a it is D = d/sqrt(s) wide (volume kept, s the share of
    its height that is left). At the end of the stroke

        F = (pi/4) D^2 k (1 + mu D/(3 s a))

    k flow stress of the soft end, taken as its yield stress and so without hardening. A tool that
    rolls or spins the head touches a part of it and needs a part of this force.

    Validity: soft ends; a head that is case-hardened cracks.

    References: as the source.

    Example:
        >>> head = rivet_heading(pin_diameter_mm=8.28, projection_mm=1.0, head_share=0.8,
        ...     yield_strength_MPa=700.0)
        >>> print(round(head.head_diameter_mm, 2), round(head.head_force_kN, 1))
        9.26 74.4
    """
    share = np.asarray(head_share, float)
    head = pin_diameter_mm / np.sqrt(share)
    pressure = yield_strength_MPa * (1.0 + friction * head / (3.0 * share * projection_mm))
    force = np.pi / 4.0 * head**2 * pressure / 1000.0
    return RivetHead(head[()], force[()], (1.0 / np.sqrt(share))[()])


@calculation(
    source="difference of two widths", gives="side_play_mm", basis="computed",
    needs={"opening_mm": POSITIVE, "width_mm": POSITIVE},
)  # fmt: skip
def side_play(*, opening_mm: Values, width_mm: Values) -> Values:
    """Room of a part in an opening; below zero it sticks.

    References: definition.
    """
    return np.asarray(opening_mm, float)[()] - width_mm


class ChainBreaking(NamedTuple):
    """Results of `chain_breaking_force`, of the whole chain."""

    inner_plates_force_kN: Values
    outer_plates_force_kN: Values
    pins_force_kN: Values
    breaking_force_kN: Values
    """The least of the three."""


@calculation(
    source="a chain breaks at its weakest part; two plates a strand carry alike",
    basis="computed",
    needs={
        "inner_plate_force_kN": POSITIVE,
        "outer_plate_force_kN": POSITIVE,
        "pin_force_kN": POSITIVE,
        "strands": (1.0, 12.0),
    },
)
def chain_breaking_force(
    *,
    inner_plate_force_kN: Values,
    outer_plate_force_kN: Values,
    pin_force_kN: Values,
    strands: Values = 1.0,
) -> ChainBreaking:
    """Breaking force of a chain from that of one plate and of the pin: min(2 n F_i, 2 n F_o, F_p).

    n strands share the pull evenly; F_p of the pin is that of the whole chain (all its sections).
    Middle plates between strands are as strong as the outer ones.

    References: as the source.

    Example:
        >>> chain_breaking_force(inner_plate_force_kN=45.0, outer_plate_force_kN=36.0,
        ...     pin_force_kN=80.0).breaking_force_kN
        72.0
    """
    inner = 2.0 * strands * np.asarray(inner_plate_force_kN, float)
    outer = 2.0 * strands * np.asarray(outer_plate_force_kN, float)
    least = np.minimum(np.minimum(inner, outer), pin_force_kN)
    return ChainBreaking(inner[()], outer[()], pin_force_kN, least[()])


@calculation(
    source="ratio of two forces", gives="share_percent", basis="computed",
    needs={"force_kN": NOT_NEGATIVE, "whole_force_kN": POSITIVE},
)  # fmt: skip
def force_share(*, force_kN: Values, whole_force_kN: Values) -> Values:
    """A force as per cent of another.

    References: definition.
    """
    return 100.0 * force_kN / whole_force_kN


@calculation(
    source="masses of the parts of two pitches over their length",
    gives="chain_mass_kg_per_m",
    basis="computed",
    needs={
        "pitch_mm": POSITIVE, "strands": (1.0, 12.0), "inner_plate_kg": POSITIVE,
        "outer_plate_kg": POSITIVE, "bushing_kg": POSITIVE, "pin_kg": POSITIVE,
        "roller_kg": NOT_NEGATIVE,
    },
)  # fmt: skip
def strand_mass_per_length(
    *,
    pitch_mm: Values,
    strands: Values,
    inner_plate_kg: Values,
    outer_plate_kg: Values,
    bushing_kg: Values,
    pin_kg: Values,
    roller_kg: Values = 0.0,
) -> Values:
    """Mass of a metre of chain: an inner and an outer link are two pitches long.

        m = (2 n (m_i + m_o + m_b + m_r) + 2 m_p) 1000/(2 p)

    n strands; middle plates weigh as much as outer ones; a pin goes through all strands.

    References: counting, as `parts_of_strand`.

    Example:
        >>> round(strand_mass_per_length(pitch_mm=25.4, strands=1.0, inner_plate_kg=0.020,
        ...     outer_plate_kg=0.015, bushing_kg=0.009, pin_kg=0.015, roller_kg=0.012), 2)
        2.8
    """
    strand = np.asarray(inner_plate_kg, float) + outer_plate_kg + bushing_kg + roller_kg
    return ((2.0 * strands * strand + 2.0 * pin_kg) * 1000.0 / (2.0 * pitch_mm))[()]


@calculation(
    source="surfaces of plates, rollers and pin ends of two pitches over their length",
    gives="surface_area_m2_per_m",
    basis="computed",
    needs={
        "pitch_mm": POSITIVE, "strands": (1.0, 12.0), "inner_plate_mm2": POSITIVE,
        "outer_plate_mm2": POSITIVE, "turning_diameter_mm": POSITIVE, "turning_length_mm": POSITIVE,
    },
)  # fmt: skip
def chain_surface_area(
    *,
    pitch_mm: Values,
    strands: Values,
    inner_plate_mm2: Values,
    outer_plate_mm2: Values,
    turning_diameter_mm: Values,
    turning_length_mm: Values,
) -> Values:
    """Surface that a metre of chain shows: faces of plates and rollers (or bushings).

        A = 2 n (2 S_i + 2 S_o + pi D L)/(2 p) mm

    S area of one face of a plate. Edges of plates and the overlap of faces, which hides about as
    much, are left out of the sum.

    References: geometry.

    Example:
        >>> round(chain_surface_area(pitch_mm=25.4, strands=1.0, inner_plate_mm2=650.0,
        ...     outer_plate_mm2=550.0, turning_diameter_mm=15.88, turning_length_mm=16.5), 3)
        0.127
    """
    faces = 2.0 * (np.asarray(inner_plate_mm2, float) + outer_plate_mm2)
    turned = np.pi * turning_diameter_mm * np.asarray(turning_length_mm, float)
    return (strands * (faces + turned) / pitch_mm / 1000.0)[()]


@calculation(source="counting", gives="cranked_links", basis="computed",
             needs={"pitches": POSITIVE})  # fmt: skip
def cranked_links(*, pitches: Values) -> Values:
    """Cranked links of an endless chain: one where the number of pitches is odd.

    References: inner and outer links alternate.
    """
    return np.mod(np.round(pitches), 2.0)


@calculation(
    source="share of the strength that a cranked link keeps: common practice, no source",
    gives="cranked_force_kN",
    basis="common practice",
    needs={"breaking_force_kN": POSITIVE, "strength_share_percent": (1.0, 100.0)},
)
def cranked_force(*, breaking_force_kN: Values, strength_share_percent: Values = 80.0) -> Values:
    """Breaking force of a chain with a cranked link, whose plates bend.

    References: common practice, no source.
    """
    return breaking_force_kN * np.asarray(strength_share_percent, float)[()] / 100.0


@calculation(
    source="ratio of two stresses", gives="yield_share_percent", basis="computed",
    needs={"yield_strength_MPa": POSITIVE},
)  # fmt: skip
def yield_share(*, stress_MPa: Values, yield_strength_MPa: Values) -> Values:
    """A stress of either sign as per cent of the yield stress.

    References: definition.
    """
    return (100.0 * np.abs(stress_MPa) / yield_strength_MPa)[()]


@calculation(
    source="strength over safety", gives="chain_pull_kN", basis="computed",
    needs={"breaking_force_kN": POSITIVE, "safety": (1.0, None)},
)  # fmt: skip
def safe_pull(*, breaking_force_kN: Values, safety: Values) -> Values:
    """Greatest pull of a chain in service at a safety against breaking: F/S.

    References: definition.
    """
    return breaking_force_kN / np.asarray(safety, float)[()]


@calculation(
    source="two plates a strand", gives="plates", basis="computed", needs={"strands": (1.0, 12.0)}
)
def plates_across(*, strands: Values) -> Values:
    """Plates side by side that carry the pull: 2 n.

    References: counting.
    """
    return 2.0 * strands
