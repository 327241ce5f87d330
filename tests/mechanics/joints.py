"""Metals and joints that several tests of the welded joint's transient look at."""

from __future__ import annotations

import warnings
from functools import lru_cache

import numpy as np

from linkwright.catalogue import ValidityWarning
from linkwright.materials.thermal import ec3_enthalpy, ec3_thermal_conductivity
from linkwright.mechanics.joint_heat import JointGeometry, JointMetal, WeldCircuit

CONDUCTIVITY, SPECIFIC_HEAT, DENSITY, OHM_M = 30.0, 600.0, 7850.0, 0.5e-6
DIFFUSIVITY = CONDUCTIVITY / (SPECIFIC_HEAT * DENSITY)
# rows of the table quoted with the adiabatic reference time below
TABLE_DEGC = [20, 100, 200, 400, 600, 700, 800, 900, 1000, 1200]
TABLE_MICROOHM_M = [0.169, 0.219, 0.292, 0.487, 0.758, 0.925, 1.094, 1.136, 1.167, 1.219]
ALONE = np.inf


def even_metal(resistivity: float = OHM_M, stress_MPa: float = 1000.0) -> JointMetal:
    """A metal whose properties do not change and that loses nothing sideways."""
    at = np.array([0.0, 5000.0])
    return JointMetal.from_curves(
        temperature_degC=at,
        enthalpy_kJ_per_kg=SPECIFIC_HEAT * at / 1e3,
        conductivity_W_per_mK=[CONDUCTIVITY] * 2,
        resistivity_microohm_m=[resistivity * 1e6] * 2,
        flow_stress_MPa=[stress_MPa] * 2,
        density_kg_per_m3=DENSITY,
        emissivity=0.0,
        convection_W_per_m2K=0.0,
    )


@lru_cache(maxsize=1)
def carbon_steel() -> JointMetal:
    """Carbon steel with the peak of its specific heat and a strength that falls."""
    grid = np.arange(0.0, 1801.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        enthalpy = ec3_enthalpy(temperature_degC=grid) / 1e3
        conductivity = ec3_thermal_conductivity(temperature_degC=grid)
    return JointMetal.from_curves(
        temperature_degC=grid,
        enthalpy_kJ_per_kg=enthalpy,
        conductivity_W_per_mK=conductivity,
        resistivity_microohm_m=np.interp(grid, TABLE_DEGC, TABLE_MICROOHM_M),
        flow_stress_MPa=np.interp(
            grid, [0, 400, 600, 800, 1000, 1200, 1800], [600, 600, 282, 212, 134, 79, 30]
        ),
    )


LINK = JointGeometry(8.0, 8.0, 8.0, 77.6)


def amperes(*current_kA: float) -> WeldCircuit:
    """A circuit whose control holds these currents."""
    return WeldCircuit(secondary_current_kA=np.array(current_kA))
