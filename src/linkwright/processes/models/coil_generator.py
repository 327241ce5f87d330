"""What a coil asks of its generator: frequency, loss in the copper, efficiency.

- `eddy_depth`: depth in which most of the eddy current flows
- `frequency_for_wire`: frequency at which a hot wire is so many skin depths thick
- `within_range`: the frequency that a generator gives nearest to the one wanted
- `coil_copper_loss`: power that heats the water of the coil, from its field
- `efficiency_of_coil`, `supply_power`: the way from metal to mains
- `pyrometer_reading`: what a one-colour pyrometer shows at a surface temperature

Caution: coil and busbars are live and their magnetic field can disturb implants; local codes
and the maker's instructions come first.
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.electric import frequency_for_depth, skin_depth

COPPER_OHM_M = 2.0e-8
"""Water-cooled copper near 60 °C: 1.72e-8 (1 + 0.0039 40) (handbook values, memory)."""
_DAVIES = "E. J. Davies & P. G. Simpson, Induction Heating Handbook (1979)"
_SECOND_RADIATION_UM_K = 14_388.0


@calculation(
    source=f"{_DAVIES}: depth = sqrt(rho/(pi mu0 mu_r f))",
    gives="skin_depth_mm",
    needs={
        "frequency_kHz": POSITIVE,
        "resistivity_microohm_m": POSITIVE,
        "relative_permeability": POSITIVE,
    },
)
def eddy_depth(
    *,
    frequency_kHz: Values,
    resistivity_microohm_m: Values,
    relative_permeability: Values = 1.0,
) -> Values:
    """Depth at which the eddy current has fallen to 1/e: `skin_depth` in the units of a line.

    References: as the source.

    Example: steel above the Curie point at 10 kHz.
    >>> round(float(eddy_depth(frequency_kHz=10.0, resistivity_microohm_m=1.15)), 2)
    5.4
    """
    return skin_depth(
        resistivity_ohm_m=np.asarray(resistivity_microohm_m) * 1e-6,
        frequency_Hz=np.asarray(frequency_kHz) * 1e3,
        relative_permeability=relative_permeability,
    )


@calculation(
    source=f"{_DAVIES}: a bar takes power well from some 3.5 skin depths",
    gives="frequency_kHz",
    needs={
        "wire_diameter_mm": POSITIVE,
        "resistivity_microohm_m": POSITIVE,
        "wire_over_skin_depth_ratio": POSITIVE,
    },
    valid={"wire_over_skin_depth_ratio": (2.0, 8.0)},
    basis="memory",
)
def frequency_for_wire(
    *,
    wire_diameter_mm: Values,
    resistivity_microohm_m: Values,
    wire_over_skin_depth_ratio: Values,
) -> Values:
    """Frequency at which a wire above the Curie point is so many skin depths thick.

    f = rho (n/d)^2/(pi mu0), n the ratio of wire to skin depth. Below about 3.5 the eddy
    currents of the two sides cancel and the metal hardly takes heat; far above, the skin is
    heated and the centre lags.

    References: as the source; `frequency_for_depth`.

    Example:
    >>> round(float(frequency_for_wire(wire_diameter_mm=8.0, resistivity_microohm_m=1.15,
    ...     wire_over_skin_depth_ratio=4.0)), 1)
    72.8
    """
    depth_m = np.asarray(wire_diameter_mm) * 1e-3 / np.asarray(wire_over_skin_depth_ratio)
    resistivity = np.asarray(resistivity_microohm_m) * 1e-6
    return frequency_for_depth(resistivity_ohm_m=resistivity, depth_m=depth_m) / 1e3


@calculation(source="nearest value of a range", gives="frequency_kHz", basis="computed")
def within_range(*, frequency_kHz: Values, least_kHz: Values, greatest_kHz: Values) -> Values:
    """The frequency of a generator's range that lies nearest to the one wanted.

    References: none needed.
    """
    return np.clip(frequency_kHz, least_kHz, greatest_kHz)[()]


@calculation(
    source=f"{_DAVIES}: loss of a long coil, pi D L H^2 rho/(2 depth fill)",
    gives="coil_loss_kW",
    needs={
        "coil_field_kA_per_m": NOT_NEGATIVE,
        "frequency_kHz": POSITIVE,
        "coil_inner_diameter_mm": POSITIVE,
        "coil_length_mm": POSITIVE,
        "winding_fill_factor": (0.05, 1.0),
    },
    basis="memory",
)
def coil_copper_loss(
    *,
    coil_field_kA_per_m: Values,
    frequency_kHz: Values,
    coil_inner_diameter_mm: Values,
    coil_length_mm: Values,
    winding_fill_factor: Values = 0.85,
) -> Values:
    """Power lost in the copper of a long coil at the peak field inside it.

    P = pi D L H^2 rho/(2 delta fill), rho = 2.0e-8 ohm m (water-cooled copper), delta its skin
    depth; ``winding_fill_factor`` (copper over coil length) is common practice, no source. The
    loss goes with the square root of the frequency and the square of the field, so a frequency
    too low for the wire, which needs more field, costs efficiency.

    References: as the source.

    Example:
    >>> round(float(coil_copper_loss(coil_field_kA_per_m=40.0, frequency_kHz=100.0,
    ...     coil_inner_diameter_mm=50.0, coil_length_mm=1200.0)), 1)
    15.8
    """
    depth = 1e-3 * skin_depth(
        resistivity_ohm_m=COPPER_OHM_M, frequency_Hz=np.asarray(frequency_kHz) * 1e3
    )
    square = (np.asarray(coil_field_kA_per_m) * 1e3) ** 2
    flux = square * COPPER_OHM_M / (2.0 * depth * winding_fill_factor)
    area = np.pi * np.asarray(coil_inner_diameter_mm) * np.asarray(coil_length_mm) * 1e-6
    return (area * flux / 1e3)[()]


@calculation(
    source="definition of efficiency",
    gives="coil_efficiency",
    needs={"metal_power_kW": NOT_NEGATIVE, "coil_loss_kW": NOT_NEGATIVE},
    basis="computed",
)
def efficiency_of_coil(*, metal_power_kW: Values, coil_loss_kW: Values) -> Values:
    """Share of the coil's power that heats the metal: P/(P + loss).

    References: definition of efficiency.
    """
    return metal_power_kW / (metal_power_kW + coil_loss_kW)


@calculation(
    source="definition of efficiency",
    gives="generator_power_kW",
    needs={
        "metal_power_kW": NOT_NEGATIVE,
        "coil_loss_kW": NOT_NEGATIVE,
        "generator_efficiency": (0.05, 1.0),
    },
    basis="computed",
)
def supply_power(
    *, metal_power_kW: Values, coil_loss_kW: Values, generator_efficiency: Values
) -> Values:
    """Power that the generator takes from the mains: (metal + coil)/efficiency.

    References: definition of efficiency.
    """
    return (metal_power_kW + coil_loss_kW) / generator_efficiency


@calculation(
    source="Wien's law of radiation: 1/T_shown = 1/T + (wavelength/c2) ln(e_set/e_true), "
    "c2 = 14 388 um K",
    gives="temperature_degC",
    needs={
        "surface_temperature_degC": (0.0, 2000.0),
        "set_emissivity": (0.05, 1.0),
        "surface_emissivity": (0.05, 1.0),
        "wavelength_um": POSITIVE,
    },
    valid={"wavelength_um": (0.5, 3.0)},
    basis="published",
)
def pyrometer_reading(
    *,
    surface_temperature_degC: Values,
    set_emissivity: Values,
    surface_emissivity: Values,
    wavelength_um: Values = 1.0,
) -> Values:
    """What a one-colour pyrometer shows at a surface temperature.

    1/T_shown = 1/T + (lambda/c2) ln(e_set/e_true), T in K: set too high, it reads too low.
    With e_set = e_true it shows the surface. Wien's law is within 1 % of Planck's while
    lambda T is below 3000 um K.

    References: as the source.

    Example: set 0.9 on a surface of 0.8, at 1 um.
    >>> round(float(pyrometer_reading(surface_temperature_degC=940.0, set_emissivity=0.9,
    ...     surface_emissivity=0.8)), 1)
    928.1
    """
    kelvin = np.asarray(surface_temperature_degC) + 273.15
    shift = np.asarray(wavelength_um) / _SECOND_RADIATION_UM_K
    shift = shift * np.log(np.asarray(set_emissivity) / np.asarray(surface_emissivity))
    return (1.0 / (1.0 / kelvin + shift) - 273.15)[()]
