"""What a link plate carries: section beside the hole, waist, tearing out, and the stress peak.

- `link_plate_force`: force at which a plate breaks, and where
- `strength_for_plate`: tensile strength that a plate needs for a force
- `eye_proportion`, `eye_stress_concentration`: peak over mean stress beside a hole that a pin pulls
- `eye_peak_stress`: the peak under the pull of a plate
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_PETERSON = (
    "W. D. Pilkey, Peterson's Stress Concentration Factors, 2nd ed. (1997), Chart 4.67: tension "
    "of a lug by a closely fitting pin, after M. M. Frocht & H. N. Hill, J. Appl. Mech. 7 (1940)"
)
_SHEAR = 1.0 / np.sqrt(3.0)
_PLATE = {
    "plate_height_mm": POSITIVE,
    "waist_height_mm": POSITIVE,
    "hole_diameter_mm": POSITIVE,
    "plate_thickness_mm": POSITIVE,
}


class PlateForce(NamedTuple):
    """Results of `link_plate_force`, of one plate."""

    net_section_force_kN: Values
    waist_force_kN: Values
    tear_out_force_kN: Values
    plate_breaking_force_kN: Values
    """The least of the three."""


@calculation(
    source="mean stress over the section that breaks; shear strength by von Mises, Rm/sqrt(3)",
    basis="computed",
    needs={**_PLATE, "tensile_strength_MPa": POSITIVE},
)
def link_plate_force(
    *,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    tensile_strength_MPa: Values,
) -> PlateForce:
    """Force at which a tough plate breaks: beside the hole, in the waist, or before the pin.

    Net section t (h - D) Rm, waist t w Rm, tearing out 2 t sqrt(R^2 - D^2/4) Rm/sqrt(3): two planes
    that touch the hole and run to the round end, R = h/2. Plates that yield before they break even
    out the peak at the hole, so the mean stress counts. Two plates carry a strand.

    Validity: tough plates; a brittle one (case-hardened through, cracked at the hole) breaks
    sooner. Tearing out is taken on straight planes, which is on the safe side.

    Raises `ArgumentError` for a hole as large as the plate.

    References: mean stress; von Mises.

    Example:
        >>> got = link_plate_force(plate_height_mm=20.87, waist_height_mm=15.65,
        ...     hole_diameter_mm=8.28, plate_thickness_mm=3.05, tensile_strength_MPa=1200.0)
        >>> print(round(got.net_section_force_kN, 1), round(got.tear_out_force_kN, 1))
        46.1 40.5
    """
    net = np.asarray(plate_height_mm, float) - hole_diameter_mm
    if np.any(net <= 0.0):
        raise ArgumentError("hole_diameter_mm", hole_diameter_mm, "mm", "below the plate height")
    unit = plate_thickness_mm * tensile_strength_MPa / 1000.0
    planes = np.sqrt(np.square(plate_height_mm) - np.square(hole_diameter_mm))
    forces = (net * unit, waist_height_mm * unit, _SHEAR * planes * unit)
    least = np.minimum(np.minimum(forces[0], forces[1]), forces[2])
    return PlateForce(forces[0][()], forces[1], forces[2][()], least[()])


@calculation(
    source="`link_plate_force` is proportional to the strength",
    gives="tensile_strength_MPa",
    basis="computed",
    needs={**_PLATE, "chain_force_kN": NOT_NEGATIVE, "plates": (1.0, None), "margin": POSITIVE},
)
def strength_for_plate(
    *,
    chain_force_kN: Values,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    plates: Values = 2.0,
    margin: Values = 1.0,
) -> Values:
    """Tensile strength that plates need so that they carry a chain pull times a margin.

    References: as `link_plate_force`.

    Example:
        >>> print(round(strength_for_plate(chain_force_kN=60.0, plate_height_mm=20.87,
        ...     waist_height_mm=15.65, hole_diameter_mm=8.28, plate_thickness_mm=3.05)))
        889
    """
    one = link_plate_force(
        plate_height_mm=plate_height_mm,
        waist_height_mm=waist_height_mm,
        hole_diameter_mm=hole_diameter_mm,
        plate_thickness_mm=plate_thickness_mm,
        tensile_strength_MPa=1.0,
    ).plate_breaking_force_kN
    return margin * chain_force_kN / plates / one


@calculation(
    source="definition of a ratio",
    gives="hole_over_height",
    basis="computed",
    needs={"hole_diameter_mm": POSITIVE, "plate_height_mm": POSITIVE},
)
def eye_proportion(*, hole_diameter_mm: Values, plate_height_mm: Values) -> Values:
    """Hole of an eye over its height.

    Raises `ArgumentError` for a hole as large as the plate.

    References: definition.
    """
    if np.any(np.asarray(hole_diameter_mm) >= plate_height_mm):
        raise ArgumentError("hole_diameter_mm", hole_diameter_mm, "mm", "below the plate height")
    return hole_diameter_mm / plate_height_mm


class EyeConcentration(NamedTuple):
    """Results of `eye_stress_concentration`."""

    net_stress_factor: Values
    """Peak over F/((h - D) t)."""
    bearing_stress_factor: Values
    """Peak over F/(D t)."""


@calculation(
    source=_PETERSON,
    basis="memory",
    needs={"hole_over_height": (0.01, 0.99)},
    valid={"hole_over_height": (0.15, 0.75)},
)
def eye_stress_concentration(*, hole_over_height: Values) -> EyeConcentration:
    """Peak stress beside a hole that a close pin pulls, over the mean and over the bearing stress.

    With x = D/h:

        K_nd = 12.882 - 52.714 x + 89.762 x^2 - 51.667 x^3
        K_nb = 0.2880 + 8.820 x - 23.196 x^2 + 29.167 x^3

    Two fits of one set of tests, remembered apart: K_nd x = K_nb (1 - x) holds within 4 % for
    0.2 <= x <= 0.6 (tested). They are for a head that is long before the pin (c/h >= 1.5); the
    round end of a link plate (c/h = 0.5) has a greater peak, and a pressed pin one that hardly
    changes with the load. So this compares plates and does not rate them.

    References: as the source.

    Example:
        >>> print(round(eye_stress_concentration(hole_over_height=0.5).net_stress_factor, 2))
        2.51
    """
    x = np.asarray(hole_over_height, float)
    net = 12.882 - 52.714 * x + 89.762 * x**2 - 51.667 * x**3
    bearing = 0.2880 + 8.820 * x - 23.196 * x**2 + 29.167 * x**3
    return EyeConcentration(net[()], bearing[()])


@calculation(
    source="factor times mean stress of the net section",
    gives="peak_stress_MPa",
    basis="computed",
    needs={
        "plate_force_kN": NOT_NEGATIVE,
        "net_stress_factor": POSITIVE,
        "plate_height_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
    },
)
def eye_peak_stress(
    *,
    plate_force_kN: Values,
    net_stress_factor: Values,
    plate_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
) -> Values:
    """Elastic peak beside the hole of a plate under its pull: K F/(t (h - D)).

    References: as `eye_stress_concentration`.

    Example:
        >>> print(round(eye_peak_stress(plate_force_kN=5.0, net_stress_factor=3.0,
        ...     plate_height_mm=20.0, hole_diameter_mm=8.0, plate_thickness_mm=3.0)))
        417
    """
    net = (np.asarray(plate_height_mm, float) - hole_diameter_mm) * plate_thickness_mm
    return (net_stress_factor * 1000.0 * plate_force_kN / net)[()]
