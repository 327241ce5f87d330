"""Zinc on chain: time in the electrolyte by Faraday's law, mass of a coating.

- `zinc_plating_time`, `plated_zinc`: Faraday's law with a current efficiency
- `zinc_mass`: mass per area of a thickness of hot-dip zinc
- `spare_hours`, `below_temper`, `minutes`: a bake against its rule
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_FARADAY = "Faraday's law of electrolysis; CODATA 2018, F = 96485.33 C/mol; zinc 65.38 g/mol, z = 2"
_GRAMS_PER_COULOMB = 65.38 / (2.0 * 96485.33212)
_BATH = {
    "current_density_A_per_dm2": POSITIVE,
    "current_efficiency": (1e-6, 1.0),
    "zinc_density_kg_per_m3": POSITIVE,
}


class PlatedZinc(NamedTuple):
    """Results of `plated_zinc`."""

    zinc_thickness_um: Values
    zinc_mass_g_per_m2: Values


@calculation(
    source=_FARADAY,
    gives="plating_time_min",
    needs={**_BATH, "zinc_thickness_um": NOT_NEGATIVE},
)
def zinc_plating_time(
    *,
    zinc_thickness_um: Values,
    current_density_A_per_dm2: Values,
    current_efficiency: Values,
    zinc_density_kg_per_m3: Values = 7140.0,
) -> Values:
    """Time in the electrolyte for a mean thickness of zinc: t = rho h z F/(M i eta).

    References: Faraday's law; density of zinc at 20 °C, 7.14 g/cm3, handbooks.

    Example:
        >>> print(round(zinc_plating_time(zinc_thickness_um=8.0, current_density_A_per_dm2=1.0,
        ...                               current_efficiency=1.0), 1))
        28.1
    """
    grams = zinc_density_kg_per_m3 * zinc_thickness_um / 1000.0
    grams_per_s = _GRAMS_PER_COULOMB * 100.0 * current_density_A_per_dm2 * current_efficiency
    return grams / grams_per_s / 60.0


@calculation(source=_FARADAY, needs={**_BATH, "plating_time_min": NOT_NEGATIVE})
def plated_zinc(
    *,
    plating_time_min: Values,
    current_density_A_per_dm2: Values,
    current_efficiency: Values,
    zinc_density_kg_per_m3: Values = 7140.0,
) -> PlatedZinc:
    """Mean thickness and mass of zinc after a time in the electrolyte: h = M i eta t/(z F rho).

    Where links touch and inside the crown the layer is thinner than the mean.

    References: Faraday's law; density of zinc at 20 °C, 7.14 g/cm3, handbooks.

    Example:
        >>> print(round(plated_zinc(plating_time_min=60.0, current_density_A_per_dm2=1.0,
        ...                         current_efficiency=1.0).zinc_thickness_um, 1))
        17.1
    """
    grams_per_s = _GRAMS_PER_COULOMB * 100.0 * current_density_A_per_dm2 * current_efficiency
    grams = grams_per_s * 60.0 * plating_time_min
    return PlatedZinc(1000.0 * grams / zinc_density_kg_per_m3, grams)


@calculation(
    source="thickness times density",
    gives="zinc_mass_g_per_m2",
    basis="computed",
    needs={"zinc_thickness_um": NOT_NEGATIVE, "zinc_density_kg_per_m3": POSITIVE},
)
def zinc_mass(*, zinc_thickness_um: Values, zinc_density_kg_per_m3: Values = 7200.0) -> Values:
    """Mass of a zinc coating on a square metre: h rho.

    References: EN ISO 1461 reckons hot-dip zinc with 7.2 g/cm3.

    Example:
        >>> print(round(zinc_mass(zinc_thickness_um=85.0), 1))
        612.0
    """
    return zinc_thickness_um * zinc_density_kg_per_m3 / 1000.0


@calculation(source="hours of a bake less the least", gives="bake_hours_beyond_rule_h",
             basis="computed")  # fmt: skip
def spare_hours(*, bake_time_h: Values, least_time_h: Values) -> Values:
    """Hours of a bake beyond the least that a rule asks for; negative if too short.

    References: none needed.
    """
    return bake_time_h - least_time_h


@calculation(source="difference of temperatures", gives="below_temper_K", basis="computed")
def below_temper(*, tempering_temperature_degC: Values, temperature_degC: Values) -> Values:
    """By how much a heat stays below the temper of the chain; negative if it is hotter.

    References: none needed.
    """
    return tempering_temperature_degC - temperature_degC


@calculation(source="60 minutes an hour", gives="time_min", basis="computed")
def minutes(*, time_h: Values) -> Values:
    """Minutes of a number of hours.

    References: none needed.
    """
    return 60.0 * time_h
