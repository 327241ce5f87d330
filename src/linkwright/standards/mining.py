"""Round link chain for conveyors and coal ploughs (`mining_chain_breaking_force`)."""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.en818 import load_on_two_sections_N


@calculation(
    source="ISO 610, High-tensile steel chains (round link) for chain conveyors and coal "
    "ploughs; DIN 22252, grade C",
    gives="breaking_force_kN",
    needs={"nominal_diameter_mm": POSITIVE, "mean_stress_break_MPa": POSITIVE},
    valid={"nominal_diameter_mm": (10.0, 42.0)},
    basis="memory",
)
def mining_chain_breaking_force(
    *, nominal_diameter_mm: Values, mean_stress_break_MPa: Values = 800.0
) -> Values:
    """Least breaking force of mining chain, 2 (pi d^2 / 4) sigma.

    Rounded to 10 kN from 14 mm on, as the tables print it; not rounded below.

    Args:
        nominal_diameter_mm: Nominal size.
        mean_stress_break_MPa: Mean stress at break: 800 (grade C; 630 grade B).

    References:
        ISO 610; DIN 22252, grade C table; rounding found by recomputation.

    Example:
        >>> float(mining_chain_breaking_force(nominal_diameter_mm=26))
        850.0
    """
    force_kN = load_on_two_sections_N(nominal_diameter_mm, mean_stress_break_MPa) / 1000.0
    return np.where(np.asarray(nominal_diameter_mm) < 14.0, force_kN, np.round(force_kN, -1))[()]
