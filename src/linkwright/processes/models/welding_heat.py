"""Heat of a weld by balance: what is made, what melts, what is lost.

- `spot_weld_heat`: a resistance spot weld between electrodes
- `unit_melting_energy`, `weld_travel_speed`, `power_density`: welding with a heat source

The transient of an upset weld is another matter and stands elsewhere.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


class SpotWeld(NamedTuple):
    """Results of `spot_weld_heat`."""

    heat_generated_J: Values
    weld_mass_g: Values
    heat_to_melt_J: Values
    heat_lost_J: Values


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Ch. 31, example on heat generated in spot welding",
    needs={
        "current_A": NOT_NEGATIVE,
        "resistance_ohm": NOT_NEGATIVE,
        "time_s": NOT_NEGATIVE,
        "electrode_diameter_mm": POSITIVE,
        "stack_thickness_mm": POSITIVE,
        "density_kg_per_m3": POSITIVE,
    },
    basis="memory",
)
def spot_weld_heat(
    *,
    current_A: Values,
    resistance_ohm: Values,
    time_s: Values,
    electrode_diameter_mm: Values,
    stack_thickness_mm: Values,
    density_kg_per_m3: Values = 8000.0,
    melt_energy_J_per_g: Values = 1400.0,
) -> SpotWeld:
    """Heat made in a spot weld, heat to melt it, and the rest, lost into metal and electrodes.

        made = I^2 R t;  weld = disc of electrode diameter through the stack;
        to melt = mass times melt energy;  lost = made - to melt

    A negative loss says that the current cannot melt so large a weld.

    References: Kalpakjian & Schmid, 6th ed., Ch. 31.
    """
    made = current_A**2 * resistance_ohm * time_s
    volume_mm3 = np.pi / 4.0 * electrode_diameter_mm**2 * stack_thickness_mm
    mass_g = volume_mm3 * density_kg_per_m3 * 1e-6
    melting = mass_g * melt_energy_J_per_g
    return SpotWeld(made, mass_g, melting, made - melting)


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), eq. 28.2",
    gives="unit_energy_J_per_mm3",
    needs={"melting_temperature_K": POSITIVE},
)
def unit_melting_energy(*, melting_temperature_K: Values) -> Values:
    """Energy to heat a metal from room temperature and melt it: 3.33e-6 Tm^2 (J/mm3, K).

    >>> round(float(unit_melting_energy(melting_temperature_K=1760.0)), 1)
    10.3

    References: Groover, 5th ed., eq. 28.2.
    """
    return 3.33e-6 * melting_temperature_K**2


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Example 28.2",
    gives="speed_mm_per_s",
    needs={
        "power_W": NOT_NEGATIVE,
        "heat_transfer_factor": (0.0, 1.0),
        "melting_factor": (0.0, 1.0),
        "unit_energy_J_per_mm3": POSITIVE,
        "weld_area_mm2": POSITIVE,
    },
)
def weld_travel_speed(
    *,
    power_W: Values,
    heat_transfer_factor: Values,
    melting_factor: Values,
    unit_energy_J_per_mm3: Values,
    weld_area_mm2: Values,
) -> Values:
    """Travel speed at which a source melts a weld of given section: f1 f2 P/(Um A).

    References: Groover, 5th ed., Example 28.2.
    """
    useful = heat_transfer_factor * melting_factor * power_W
    return useful / (unit_energy_J_per_mm3 * weld_area_mm2)


class PowerDensity(NamedTuple):
    """Results of `power_density`."""

    area_mm2: Values
    power_density_W_per_mm2: Values


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Example 28.1",
    needs={"power_W": NOT_NEGATIVE, "share": (0.0, 1.0), "diameter_mm": POSITIVE},
)
def power_density(*, power_W: Values, diameter_mm: Values, share: Values = 1.0) -> PowerDensity:
    """Power density of a source of which a share goes into a circle: share P/(pi d^2/4).

    References: Groover, 5th ed., Example 28.1.
    """
    area = np.pi / 4.0 * diameter_mm**2
    return PowerDensity(area, share * power_W / area)
