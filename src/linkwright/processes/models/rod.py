"""Rod as it comes in: coils and their joints, and a skin that has lost carbon.

- `coils_of_rod`: coils for an order, joints between them, what is cut out
- `needed_mass`: steel in tonnes, to hold against the stock
- `receiving_time`: hours in which a heat is checked
- `drawn_depth`, `decarburised_strength_share`, `weakened_factor`: the weak skin
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DENSITY_KG_PER_M3 = 7850.0


class Coils(NamedTuple):
    """Results of `coils_of_rod`; the length lost is measured on the rod."""

    coils_count: Values
    joints_count: Values
    rod_lost_m: Values
    steel_kg: Values


@calculation(
    source="balance of mass; lengths cut out are the works' own, defaults common practice, no "
    "source; density 7850 kg/m3: EN 1993-1-2:2005, 3.2.2",
    basis="common practice",
    needs={
        "steel_kg": POSITIVE,
        "coil_mass_kg": POSITIVE,
        "rod_diameter_mm": POSITIVE,
        "joint_loss_m": NOT_NEGATIVE,
        "pointing_loss_m": NOT_NEGATIVE,
    },
)
def coils_of_rod(
    *,
    steel_kg: Values,
    coil_mass_kg: Values,
    rod_diameter_mm: Values,
    joint_loss_m: Values = 1.0,
    pointing_loss_m: Values = 1.5,
) -> Coils:
    """Coils that an order takes, joints between them, rod cut out, steel taken in all.

    Each joint and each point is cut out of the wire before links are made of it. Coils are
    whole and counted after what is lost of each: n = ceil(m/(m_coil - m_lost)); n - 1 joints.

    Raises nothing of its own; a coil lighter than its losses counts as one kilogram.

    References: balance of mass.

    Example:
        >>> print(coils_of_rod(steel_kg=4500.0, coil_mass_kg=2000.0, rod_diameter_mm=8.5)[:3])
        (3.0, 2.0, 6.5)
    """
    per_metre = np.pi / 4.0 * rod_diameter_mm**2 * _DENSITY_KG_PER_M3 * 1e-6
    lost = (joint_loss_m + pointing_loss_m) * per_metre
    useful = np.maximum(coil_mass_kg - lost, 1.0)
    coils = np.ceil(np.asarray(steel_kg) / useful - 1e-9)[()]
    joints = coils - 1.0
    length = joints * joint_loss_m + coils * pointing_loss_m
    return Coils(coils, joints, length, steel_kg + length * per_metre)


@calculation(source="1 t = 1000 kg", gives="steel_needed_t", basis="computed")
def needed_mass(*, steel_kg: Values) -> Values:
    """Steel that an order takes, in tonnes.

    References: none needed.
    """
    return steel_kg / 1000.0


@calculation(
    source="constancy of volume: a skin thins with the radius",
    gives="decarburised_depth_mm",
    basis="computed",
    needs={
        "decarburised_depth_mm": NOT_NEGATIVE,
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
    },
)
def drawn_depth(
    *, decarburised_depth_mm: Values, start_diameter_mm: Values, final_diameter_mm: Values
) -> Values:
    """Depth of the decarburised skin after drawing, t d1/d0: its share of the section stays.

    References: constancy of volume.

    Example:
        >>> print(drawn_depth(decarburised_depth_mm=0.1, start_diameter_mm=10.0,
        ...                   final_diameter_mm=8.0))
        0.08
    """
    return decarburised_depth_mm * final_diameter_mm / start_diameter_mm


@calculation(
    source="sum of the forces of skin and core; ferrite against tempered martensite: common "
    "practice, no source",
    gives="strength_share",
    basis="common practice",
    needs={
        "decarburised_depth_mm": NOT_NEGATIVE,
        "wire_diameter_mm": POSITIVE,
        "skin_strength_ratio": (0.0, 1.0),
    },
)
def decarburised_strength_share(
    *,
    decarburised_depth_mm: Values,
    wire_diameter_mm: Values,
    skin_strength_ratio: Values = 0.4,
) -> Values:
    """Force that a section with a weak skin bears, over that of a whole one.

    1 - (1 - s) [1 - (1 - 2 t/d)^2], s the strength of the skin over that of the core. The
    whole depth counts as decarburised through, which is on the safe side for a depth that was
    measured to the core's structure.

    References: statics.

    Example:
        >>> print(round(decarburised_strength_share(decarburised_depth_mm=0.08,
        ...                                         wire_diameter_mm=8.0), 4))
        0.9762
    """
    core = np.maximum(1.0 - 2.0 * np.asarray(decarburised_depth_mm) / wire_diameter_mm, 0.0) ** 2
    return (1.0 - (1.0 - skin_strength_ratio) * (1.0 - core))[()]


@calculation(
    source="factor of a sound link times the share of a weak skin",
    gives="breaking_force_factor",
    basis="computed",
    needs={"breaking_force_factor": POSITIVE, "strength_share": POSITIVE},
)
def weakened_factor(*, breaking_force_factor: Values, strength_share: Values) -> Values:
    """The works' own factor on the breaking force, with the loss of a weak skin.

    References: see `decarburised_strength_share`.
    """
    return breaking_force_factor * strength_share


@calculation(
    source="definition of the hour", gives="machine_time_h", basis="computed",
    needs={"time_min": NOT_NEGATIVE},
)  # fmt: skip
def receiving_time(*, time_min: Values) -> Values:
    """Hours in which one heat is checked as it comes in.

    References: definition.
    """
    return time_min / 60.0
