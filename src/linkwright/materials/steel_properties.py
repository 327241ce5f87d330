"""What is known of a standardised steel, each property by its own published law.

`steel_properties`: transformation, hardenability, hardness, thermal and electrical
properties, and the flow curve, of the usual analysis of a grade. A works' own analysis goes
to the single laws instead.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import Values, calculation
from linkwright.materials.composition import carbon_equivalents
from linkwright.materials.electrical import resistivity_by_carbon
from linkwright.materials.flow_curves import hollomon_constants
from linkwright.materials.hardenability import ideal_diameter_a255, martensite_hardness_by_carbon
from linkwright.materials.steels import steel
from linkwright.materials.thermal import ec3_specific_heat, ec3_thermal_conductivity
from linkwright.materials.transformation import (
    andrews_ac1,
    andrews_ac3_extended,
    andrews_martensite_start,
)
from linkwright.quantities import convert

_AC1, _AC3, _MS = (
    ("Mn", "Ni", "Si", "Cr"),
    ("C", "Ni", "Si", "Mo", "Mn", "Cr", "Cu"),
    ("C", "Mn", "Ni", "Cr", "Mo"),
)
_A255 = ("C", "Mn", "Si", "Ni", "Cr", "Mo", "Cu", "V")
_CE = ("C", "Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V")


class SteelProperties(NamedTuple):
    """Results of `steel_properties`."""

    Ac1_degC: Values
    Ac3_degC: Values
    Ms_degC: Values
    ideal_diameter_mm: Values
    martensite_hardness_HRC: Values
    carbon_equivalent: Values
    specific_heat_J_per_kgK: Values
    thermal_conductivity_W_per_mK: Values
    resistivity_microohm_m: Values
    K_MPa: Values
    n: Values


@calculation(
    source="Andrews 1965 (Ac1, Ac3, Ms); ASTM A255 (ideal diameter); Hodge and Orehoski 1946 with "
    "Just 1969 (martensite); IIW (carbon equivalent); EN 1993-1-2 (specific heat, conductivity); "
    "ASM Metals Handbook (resistivity by carbon); tables of handbooks (flow curve)",
    basis="computed",
    valid={"temperature_degC": (20.0, 1200.0)},
)
def steel_properties(*, steel_grade: str, temperature_degC: Values = 20.0) -> SteelProperties:
    """Properties of the usual analysis of a standardised steel, the middle of each range.

    Ac1, Ac3, Ms, the ideal diameter, hardness of martensite and carbon equivalent follow from
    the analysis. Specific heat and conductivity are those of carbon steel at the temperature,
    resistivity that of annealed steel of the same carbon. K and n are of the published row
    nearest to annealed rod of the grade (`Steel.flow_curve`).

    Args:
        steel_grade: Name or number, such as "21Mn5" or "1.6541".
        temperature_degC: For the thermal and electrical properties.

    Raises:
        UnknownName: a grade that is not held, with the nearest.

    References: the single calculations named in the source, each with its own.

    Example:
        >>> found = steel_properties(steel_grade="23MnNiCrMo5-2", temperature_degC=20.0)
        >>> round(float(found.Ms_degC)), round(float(found.Ac3_degC))
        (386, 775)
    """
    known = steel(steel_grade)
    analysis = known.analysis()

    def of(*symbols: str) -> dict[str, Values]:
        names = (f"{symbol}_percent" for symbol in symbols)
        return {name: analysis[name] for name in names if name in analysis}

    curve = hollomon_constants(material=known.flow_curve)
    carbon = analysis["C_percent"]
    return SteelProperties(
        Ac1_degC=andrews_ac1(**of(*_AC1)),
        Ac3_degC=andrews_ac3_extended(**of(*_AC3)),
        Ms_degC=andrews_martensite_start(**of(*_MS)),
        ideal_diameter_mm=convert(float(ideal_diameter_a255(**of(*_A255))), "in", "mm"),
        martensite_hardness_HRC=martensite_hardness_by_carbon(carbon_percent=carbon),
        carbon_equivalent=carbon_equivalents(**of(*_CE)).CE,
        specific_heat_J_per_kgK=ec3_specific_heat(temperature_degC=temperature_degC),
        thermal_conductivity_W_per_mK=ec3_thermal_conductivity(temperature_degC=temperature_degC),
        resistivity_microohm_m=resistivity_by_carbon(
            temperature_degC=temperature_degC, C_percent=carbon
        ),
        K_MPa=curve.K_MPa,
        n=curve.n,
    )
