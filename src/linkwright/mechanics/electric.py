"""Currents in metal: where they flow when they alternate, and what a contact does to them.

- `skin_depth`, `frequency_for_depth`, `surface_power`, `heat_within_depth`: eddy currents
- `contact_resistance`, `contact_temperature`, `current_density`: a contact, a conductor
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_MU0 = 4e-7 * np.pi  # H/m; CODATA 2018 differs in the tenth digit


@calculation(
    source="plane-wave eddy-current result; V. Rudnev et al., Handbook of Induction Heating (2003)",
    gives="skin_depth_mm",
    needs={
        "resistivity_ohm_m": POSITIVE,
        "relative_permeability": POSITIVE,
        "frequency_Hz": POSITIVE,
    },
)
def skin_depth(
    *, resistivity_ohm_m: Values, frequency_Hz: Values, relative_permeability: Values = 1.0
) -> Values:
    """Reference depth, where the current density has fallen to 1/e: sqrt[rho/(pi mu0 mur f)].

    >>> round(float(skin_depth(resistivity_ohm_m=1.72e-8, frequency_Hz=60.0)), 2)
    8.52

    References: Rudnev et al. (2003), reference depth.
    """
    permeability = _MU0 * relative_permeability
    return 1e3 * np.sqrt(resistivity_ohm_m / (np.pi * permeability * frequency_Hz))


@calculation(
    source="plane-wave eddy-current result, reference depth solved for the frequency",
    gives="frequency_Hz",
    needs={"resistivity_ohm_m": POSITIVE, "relative_permeability": POSITIVE, "depth_m": POSITIVE},
)
def frequency_for_depth(
    *, resistivity_ohm_m: Values, depth_m: Values, relative_permeability: Values = 1.0
) -> Values:
    """Frequency that gives a wanted reference depth: rho/(pi mu0 mur depth^2).

    References: inverse of `skin_depth`.
    """
    return resistivity_ohm_m / (np.pi * _MU0 * relative_permeability * depth_m**2)


@calculation(
    source="plane-wave eddy-current result",
    gives="surface_power_W_per_m2",
    needs={
        "field_peak_A_per_m": NOT_NEGATIVE,
        "resistivity_ohm_m": POSITIVE,
        "relative_permeability": POSITIVE,
        "frequency_Hz": POSITIVE,
    },
)
def surface_power(
    *,
    field_peak_A_per_m: Values,
    resistivity_ohm_m: Values,
    frequency_Hz: Values,
    relative_permeability: Values = 1.0,
) -> Values:
    """Power into a thick body per area of surface: H^2 rho/(2 depth), H the peak field.

    For bars thicker than about eight reference depths.

    References: plane-wave eddy-current result.
    """
    depth_mm = skin_depth(
        resistivity_ohm_m=resistivity_ohm_m,
        frequency_Hz=frequency_Hz,
        relative_permeability=relative_permeability,
    )
    return field_peak_A_per_m**2 * resistivity_ohm_m / (2e-3 * depth_mm)


@calculation(
    source="plane-wave eddy-current result",
    gives="heat_fraction",
    needs={"depth_over_skin_depth": NOT_NEGATIVE},
)
def heat_within_depth(*, depth_over_skin_depth: Values) -> Values:
    """Share of the eddy-current heat set free within a depth: 1 - exp(-2 x/depth).

    References: plane-wave eddy-current result; 86 % in one reference depth.
    """
    return -np.expm1(-2.0 * depth_over_skin_depth)


class Contact(NamedTuple):
    """Results of `contact_resistance`."""

    spot_radius_mm: Values
    resistance_microohm: Values


@calculation(
    source="R. Holm, Electric Contacts, 4th ed. (1967), constriction resistance",
    needs={"force_N": POSITIVE, "hardness_MPa": POSITIVE, "resistivity_ohm_m": POSITIVE},
)
def contact_resistance(
    *, force_N: Values, hardness_MPa: Values, resistivity_ohm_m: Values
) -> Contact:
    """Constriction resistance of one round spot, both bodies of one metal, no film.

        a = sqrt[F/(pi H)],  R = rho/(2 a)

    H is the contact pressure of full plastic flow (about three times the yield stress).

    References: Holm (1967).
    """
    radius_m = np.sqrt(force_N / (np.pi * hardness_MPa * 1e6))
    return Contact(1e3 * radius_m, 1e6 * resistivity_ohm_m / (2.0 * radius_m))


@calculation(
    source="F. Kohlrausch; R. Holm, Electric Contacts, 4th ed. (1967)",
    gives="contact_temperature_K",
    needs={"bulk_temperature_K": POSITIVE, "lorenz_V2_per_K2": POSITIVE},
)
def contact_temperature(
    *,
    contact_voltage_V: Values,
    bulk_temperature_K: Values = 293.15,
    lorenz_V2_per_K2: Values = 2.44e-8,
) -> Values:
    """Hottest temperature in a contact from its voltage: T^2 = T0^2 + V^2/(4 L).

    Steady state, Wiedemann-Franz law with the Lorenz number L, voltage drop at the contact only.

    References: Holm (1967).
    """
    return np.sqrt(bulk_temperature_K**2 + contact_voltage_V**2 / (4.0 * lorenz_V2_per_K2))


@calculation(
    source="definition of current density, round conductor",
    gives="current_density_A_per_mm2",
    needs={"diameter_mm": POSITIVE},
)
def current_density(*, current_A: Values, diameter_mm: Values) -> Values:
    """Mean current density of a round conductor: I/(pi d^2/4).

    References: definition.
    """
    return current_A / (np.pi / 4.0 * diameter_mm**2)
