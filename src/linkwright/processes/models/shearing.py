"""Blanking, punching and cropping: cutting force and work, stripping, punches, press, strip.

- `punching_force`, `round_wire_shear_force`, `stripping_force_donaldson`, `blanking_energy`
- `notched_diameter`: what a notch leaves of a wire
- `shearing_clearance`, `blank_tool_sizes`: clearance of punch and die, and their sizes
- `punch_buckling_length`, `punch_compressive_stress`: what a slender punch stands
- `crank_press_force`: force of a crank press away from bottom dead centre
- `strip_utilisation`: use of strip by round blanks in one row
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

_GROOVER = "M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013)"
_TOOL_DESIGN = "C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed."
_MPA_PER_PSI = 0.45359237 * 9.80665 / 0.0254**2 * 1e-6
_STRIPPING_PSI = 3500.0
_SHARE = (5e-324, 1.0)

CLEARANCE_ALLOWANCES = {
    "1100S and 5052S aluminium": 0.045,
    "2024ST and 6061ST aluminium": 0.060,
    "brass": 0.060,
    "soft cold-rolled steel": 0.060,
    "soft stainless steel": 0.060,
    "half-hard cold-rolled steel": 0.075,
    "half-hard stainless steel": 0.075,
    "full-hard stainless steel": 0.075,
}
"""Clearance per side over thickness, Groover, 5th ed., Table 19.1 (recalled)."""


class ToolSizes(NamedTuple):
    """Results of `blank_tool_sizes`."""

    blank_die_mm: Values
    blank_punch_mm: Values
    hole_punch_mm: Values
    hole_die_mm: Values


class StripUse(NamedTuple):
    """Results of `strip_utilisation`."""

    pitch_mm: Values
    strip_width_mm: Values
    utilisation: Values


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Example 16.1",
    gives="force_kN",
    needs={
        "thickness_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "cut_length_mm": POSITIVE,
        "shear_over_tensile": _SHARE,
    },
    basis="memory",
)
def punching_force(
    *,
    thickness_mm: Values,
    tensile_strength_MPa: Values,
    hole_diameter_mm: Values = None,
    cut_length_mm: Values = None,
    shear_over_tensile: Values = 0.7,
) -> Values:
    """Greatest punching force F = 0.7 T L (UTS).

    T thickness, L length of the cut edge: given, or pi times the hole diameter.

    Raises `ArgumentError` if neither diameter nor length is given.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Example 16.1.

    Example:
        >>> print(round(punching_force(thickness_mm=3.175, hole_diameter_mm=25.4,
        ...                            tensile_strength_MPa=965.266), 1))
        171.2
    """
    if cut_length_mm is None:
        if hole_diameter_mm is None:
            accepted = "the length of the cut or the diameter of the hole"
            raise ArgumentError("cut_length_mm", None, "mm", accepted, "is missing")
        cut_length_mm = np.pi * hole_diameter_mm
    return shear_over_tensile * thickness_mm * cut_length_mm * tensile_strength_MPa / 1000.0


@calculation(
    source=_GROOVER + ", Eq. 19.4 applied to a round section",
    gives="force_kN",
    basis="computed",
    needs={
        "diameter_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
        "shear_over_tensile": _SHARE,
    },
)
def round_wire_shear_force(
    *, diameter_mm: Values, tensile_strength_MPa: Values, shear_over_tensile: Values = 0.7
) -> Values:
    """Cropping force of a round wire, F = 0.7 UTS pi d^2/4.

    The whole section counts; for a notched wire take the diameter at the root of the notch.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Eq. 19.4
    (0.7 is its ratio of shear to tensile strength).

    Example:
        >>> print(round(round_wire_shear_force(diameter_mm=10.0, tensile_strength_MPa=600.0), 2))
        32.99
    """
    section = np.pi * diameter_mm**2 / 4.0
    return shear_over_tensile * tensile_strength_MPa * section / 1000.0


@calculation(
    source="geometry of a wire notched on both sides",
    gives="notched_diameter_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "notch_depth_mm": NOT_NEGATIVE},
)
def notched_diameter(*, wire_diameter_mm: Values, notch_depth_mm: Values) -> Values:
    """Diameter that two notches leave of a wire: d - 2 t.

    Raises `ArgumentError` for notches that meet.

    References: geometry.

    Example:
        >>> print(notched_diameter(wire_diameter_mm=8.0, notch_depth_mm=0.8))
        6.4
    """
    left = wire_diameter_mm - 2.0 * notch_depth_mm
    if np.any(np.asarray(left) <= 0.0):
        most = f"below {float(np.min(wire_diameter_mm)) / 2.0:g} mm, half of the wire"
        raise ArgumentError("notch_depth_mm", float(np.max(notch_depth_mm)), "mm", most)
    return left


@calculation(
    source=_TOOL_DESIGN + ", stripping force",
    gives="stripping_force_N",
    basis="memory",
    needs={"cut_length_mm": POSITIVE, "thickness_mm": POSITIVE},
)
def stripping_force_donaldson(*, cut_length_mm: Values, thickness_mm: Values) -> Values:
    """Force to strip the sheet from the punch, 3500 psi times cut length times thickness.

    An upper rule of thumb, independent of the metal.

    References: C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed.

    Example:
        >>> print(round(stripping_force_donaldson(cut_length_mm=79.8, thickness_mm=1.5875)))
        3057
    """
    return _STRIPPING_PSI * _MPA_PER_PSI * cut_length_mm * thickness_mm


@calculation(
    source=_TOOL_DESIGN,
    gives="energy_J",
    basis="computed",
    needs={
        "force_kN": NOT_NEGATIVE,
        "thickness_mm": POSITIVE,
        "penetration_fraction": (0.0, 1.0),
    },
)
def blanking_energy(
    *, force_kN: Values, thickness_mm: Values, penetration_fraction: Values
) -> Values:
    """Cutting work E = F k t, the penetration k being the share of the thickness to fracture.

    References: C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed.

    Example:
        >>> print(blanking_energy(force_kN=100.0, thickness_mm=3.0, penetration_fraction=0.4))
        120.0
    """
    return force_kN * thickness_mm * penetration_fraction


@calculation(
    source=_GROOVER + ", Eq. 19.1 and Table 19.1",
    gives="clearance_mm",
    basis="memory",
    needs={"thickness_mm": POSITIVE, "clearance_allowance": NOT_NEGATIVE},
)
def shearing_clearance(
    *, thickness_mm: Values, clearance_allowance: Values = None, metal_group: str | None = None
) -> Values:
    """Clearance per side of punch and die, c = a t.

    The allowance a is given or looked up for a group of metals.

    Raises `ArgumentError` without allowance and group, `UnknownName` for an unknown group.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Table 19.1.

    Example:
        >>> print(round(shearing_clearance(thickness_mm=3.2,
        ...                                metal_group="half-hard cold-rolled steel"), 2))
        0.24
    """
    if clearance_allowance is None:
        if metal_group is None:
            accepted = "an allowance or a group of metals"
            raise ArgumentError("clearance_allowance", None, "", accepted, "is missing")
        if metal_group not in CLEARANCE_ALLOWANCES:
            raise UnknownName("metal_group", metal_group, CLEARANCE_ALLOWANCES)
        clearance_allowance = CLEARANCE_ALLOWANCES[metal_group]
    return clearance_allowance * thickness_mm


@calculation(
    source=_GROOVER + ", Eqs 19.2",
    needs={
        "blank_diameter_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "clearance_mm": NOT_NEGATIVE,
    },
    basis="computed",
)
def blank_tool_sizes(
    *, clearance_mm: Values, blank_diameter_mm: Values = None, hole_diameter_mm: Values = None
) -> ToolSizes:
    """Punch and die diameters for a blank and for a hole; the clearance is per side.

    Blank: die = blank, punch = blank - 2c. Hole: punch = hole, die = hole + 2c. With one of
    the two diameters only, the other is taken equal.

    Raises `ArgumentError` without a diameter, or if the clearance leaves no punch.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Eqs 19.2.

    Example:
        >>> sizes = blank_tool_sizes(blank_diameter_mm=20.0, clearance_mm=0.15)
        >>> print(round(sizes.blank_punch_mm, 2), round(sizes.hole_die_mm, 2))
        19.7 20.3
    """
    blank = hole_diameter_mm if blank_diameter_mm is None else blank_diameter_mm
    hole = blank if hole_diameter_mm is None else hole_diameter_mm
    if blank is None:
        accepted = "the diameter of a blank or of a hole"
        raise ArgumentError("blank_diameter_mm", None, "mm", accepted, "is missing")
    punch = blank - 2.0 * clearance_mm
    if np.any(np.asarray(punch) <= 0.0):
        raise ArgumentError("clearance_mm", clearance_mm, "mm", "below half of the blank")
    return ToolSizes(blank, punch, hole, hole + 2.0 * clearance_mm)


@calculation(
    source=_TOOL_DESIGN + ", punch length; Euler's pin-ended column",
    gives="max_length_mm",
    basis="computed",
    needs={
        "punch_diameter_mm": POSITIVE,
        "thickness_mm": POSITIVE,
        "E_MPa": POSITIVE,
        "shear_strength_MPa": POSITIVE,
    },
)
def punch_buckling_length(
    *,
    punch_diameter_mm: Values,
    thickness_mm: Values,
    E_MPa: Values,
    shear_strength_MPa: Values,
) -> Values:
    """Largest unguided length of a round punch, L = (pi d/8) sqrt(E d/(tau t)).

    Euler's load pi^2 E I/L^2 of a pin-ended column set equal to the cutting force pi d t tau.

    References: C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed.; Euler.

    Example:
        >>> print(round(punch_buckling_length(punch_diameter_mm=6.0, thickness_mm=3.0,
        ...                                   E_MPa=210000.0, shear_strength_MPa=400.0), 2))
        76.35
    """
    cut = shear_strength_MPa * thickness_mm
    return np.pi * punch_diameter_mm / 8.0 * np.sqrt(E_MPa * punch_diameter_mm / cut)


@calculation(
    source="force balance of a round punch",
    gives="punch_stress_MPa",
    basis="computed",
    needs={
        "shear_strength_MPa": POSITIVE,
        "thickness_mm": POSITIVE,
        "punch_diameter_mm": POSITIVE,
    },
)
def punch_compressive_stress(
    *, shear_strength_MPa: Values, thickness_mm: Values, punch_diameter_mm: Values
) -> Values:
    """Compressive stress in a round punch, 4 tau t/d: cutting force over its section.

    References: force balance, pi d t tau over pi d^2/4.

    Example:
        >>> print(punch_compressive_stress(shear_strength_MPa=400.0, thickness_mm=3.0,
        ...                                punch_diameter_mm=4.0))
        1200.0
    """
    return 4.0 * shear_strength_MPa * thickness_mm / punch_diameter_mm


@calculation(
    source="slider-crank statics with a long connecting rod",
    gives="usable_force_kN",
    basis="computed",
    needs={
        "nominal_force_kN": POSITIVE,
        "rated_angle_deg": (5e-324, 90.0),
        "crank_angle_deg": (0.0, 180.0),
    },
)
def crank_press_force(
    *, nominal_force_kN: Values, crank_angle_deg: Values, rated_angle_deg: Values = 30.0
) -> Values:
    """Usable force of a crank press away from bottom dead centre, limited by its torque.

    F = F_N sin(rated angle)/sin(crank angle), both before bottom dead centre; nearer to it
    than the rated angle the frame limits the force to F_N.

    References: statics of the slider crank with a long connecting rod.

    Example:
        >>> print(round(crank_press_force(nominal_force_kN=1000.0, crank_angle_deg=45.0), 1))
        707.1
    """
    rated = np.sin(np.radians(rated_angle_deg))
    lever = np.maximum(np.sin(np.radians(crank_angle_deg)), rated)
    return nominal_force_kN * rated / lever


@calculation(
    source="geometry",
    basis="computed",
    needs={"blank_diameter_mm": POSITIVE, "bridge_mm": NOT_NEGATIVE, "edge_mm": NOT_NEGATIVE},
)
def strip_utilisation(*, blank_diameter_mm: Values, bridge_mm: Values, edge_mm: Values) -> StripUse:
    """Pitch, strip width and share of the strip used by round blanks in one row.

    Pitch d + bridge, width d + 2 edge, utilisation (pi d^2/4)/(pitch width).

    References: geometry.

    Example:
        >>> print(round(strip_utilisation(blank_diameter_mm=25.0, bridge_mm=2.0,
        ...                               edge_mm=2.5).utilisation, 3))
        0.606
    """
    pitch = blank_diameter_mm + bridge_mm
    width = blank_diameter_mm + 2.0 * edge_mm
    return StripUse(pitch, width, np.pi * blank_diameter_mm**2 / 4.0 / (pitch * width))
