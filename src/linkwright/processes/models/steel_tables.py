"""Tables of steel for the heat of the hardening line: heated, quenched, and its resistivity.

Offers

- `heated_steel`: carbon steel of EN 1993-1-2 with the peak of c at 735 °C (heating,
  tempering, slow cooling),
- `quenched_steel`: undercooled austenite that turns to martensite below Ms (quenching;
  nothing but martensite forms, so there is no peak at 735 °C),
- `ResistivityTable` and `carbon_steel_resistivity`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.materials.electrical import resistivity_points
from linkwright.materials.thermal import (
    ec3_enthalpy,
    ec3_specific_heat,
    ec3_thermal_conductivity,
)
from linkwright.mechanics.radial_heat import Array, MetalTable

STEEL_DENSITY_KG_PER_M3 = 7850.0
"""EN 1993-1-2:2005, 3.2.2: density of steel, independent of temperature."""

MARTENSITE_HEAT_J_PER_KG = 80.0e3
"""Heat set free by austenite turning to martensite, about 80 kJ/kg (retrieved in the notes of
a public quench simulation; primary source not seen)."""

KOISTINEN_MARBURGER_PER_K = 0.011
"""Koistinen and Marburger, Acta Metall. 7 (1959) 59-60: 1 - exp(-0.011 (Ms - T))."""

_COVERED_DEGC = (20.0, 1200.0)


def _grid() -> Array:
    return np.arange(0.0, 1401.0)


def _ferritic(t: Array) -> tuple[Array, Array, Array]:
    """Specific heat, conductivity and enthalpy of carbon steel, held beyond 20 and 1200 °C."""
    inside = np.clip(t, *_COVERED_DEGC)
    with not_recording():
        heat = np.asarray(ec3_specific_heat(temperature_degC=inside))
        conductivity = np.asarray(ec3_thermal_conductivity(temperature_degC=inside))
        enthalpy = np.asarray(ec3_enthalpy(temperature_degC=inside)) + heat * (t - inside)
    return heat, conductivity, enthalpy


def _austenitic(t: Array) -> tuple[Array, Array]:
    """Specific heat and conductivity of austenite, EN 1993-1-2:2005, Annex C (stainless)."""
    heat = 450.0 + 0.280 * t - 2.91e-4 * t**2 + 1.34e-7 * t**3
    return heat, 14.6 + 1.27e-2 * t


@lru_cache(maxsize=1)
def heated_steel() -> MetalTable:
    """Carbon steel with its equilibrium peak of specific heat.

    References: EN 1993-1-2:2005, 3.4.1.2 (specific heat), 3.4.1.3 (conductivity).

    >>> table = heated_steel()
    >>> round(float(table.heat_at(950.0) - table.heat_at(20.0)) / 7850e3, 0)
    665.0
    """
    t = _grid()
    heat, conductivity, enthalpy = _ferritic(t)
    return MetalTable.of(t, heat, conductivity, STEEL_DENSITY_KG_PER_M3, enthalpy)


@lru_cache(maxsize=16)
def quenched_steel(martensite_start_degC: float = 390.0) -> MetalTable:
    """Undercooled austenite, turning to martensite below Ms with its heat set free.

    Conductivity and specific heat are mixed by the share of martensite of Koistinen and
    Marburger; the heat of the change is an addition L df/dT to c, so the table stays a
    function of temperature alone. Austenite of low alloy is taken like that of stainless
    steel (their conductivities agree within 5 % at 900 °C by the same standard). Nothing
    is set free by pearlite or bainite: where these form, the true rate is lower.

    References: EN 1993-1-2:2005, 3.4.1 and Annex C; D. P. Koistinen, R. E. Marburger,
    Acta Metallurgica 7 (1959) 59-60.
    """
    t = _grid()
    under = np.maximum(martensite_start_degC - t, 0.0)
    left = np.exp(-KOISTINEN_MARBURGER_PER_K * under)
    (heat_a, k_a), (heat_m, k_m, _) = _austenitic(t), _ferritic(np.minimum(t, 600.0))
    freed = MARTENSITE_HEAT_J_PER_KG * KOISTINEN_MARBURGER_PER_K * left
    heat = left * heat_a + (1.0 - left) * heat_m + np.where(under > 0.0, freed, 0.0)
    return MetalTable.of(t, heat, left * k_a + (1.0 - left) * k_m, STEEL_DENSITY_KG_PER_M3)


@dataclass(frozen=True)
class ResistivityTable:
    """Resistivity in ohm m on a grid of whole kelvins from 0 °C, straight between rows."""

    value_ohm_m: Array

    @classmethod
    def of(cls, temperature_degC: Any, resistivity_ohm_m: Any) -> ResistivityTable:
        """From rows of a table; constant beyond its last row."""
        return cls(np.interp(_grid(), temperature_degC, resistivity_ohm_m))

    def at(self, temperature_degC: Array) -> Array:
        """Resistivity at the nearest whole kelvin (steps of 0.3 % at most)."""
        cell = (np.asarray(temperature_degC) + 0.5).astype(np.intp)
        return self.value_ohm_m.take(cell, mode="clip")


@lru_cache(maxsize=1)
def carbon_steel_resistivity() -> ResistivityTable:
    """Resistivity of 1023 steel, annealed (ASM Metals Handbook, vol. 1; basis memory)."""
    at_degC, values = resistivity_points("1023 steel, annealed")
    return ResistivityTable.of(at_degC, values * 1e-6)
