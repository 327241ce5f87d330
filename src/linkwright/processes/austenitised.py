"""What follows from a soak above Ac3 and the cooling after it, in water or in air.

- `soak_findings`: austenite at the coldest place, coarse grain at the hottest
- `structure_after`: shares and hardness of the constituents by the cooling rate at 700 °C
"""

from __future__ import annotations

from typing import Any, NamedTuple

from linkwright.materials.austenite_decomposition import (
    austenitising_parameter,
    constituents_after_cooling,
)
from linkwright.materials.grain import austenite_grain_size, grain_size_number
from linkwright.materials.structure_hardness import constituent_hardness, mixed_hardness
from linkwright.materials.transformation import andrews_ac3
from linkwright.processes.models.quench_sums import rate_per_hour
from linkwright.route import Finding, Machine
from linkwright.route.stock import Stock


class Structure(NamedTuple):
    """Shares, hardness of each constituent and of the mixture, with the axes of the rates."""

    shares: Any
    hardness: Any
    mixed_HV: Any
    parameter_degC: Any


def soak_findings(link: Stock, heated: Any, machine: Machine) -> tuple[Finding, ...]:
    """Coldest place against Ac3, furnace against the works' limit, austenite grain."""
    grain = austenite_grain_size(
        temperature_degC=heated.straight_temperature_degC,
        time_s=heated.austenitising_time_s,
        **link.elements("C", "Ni", "Cr", "Mo"),
    )
    return (
        Finding(
            "coldest_temperature_degC",
            heated.coldest_temperature_degC,
            andrews_ac3(**link.elements("C", "Mn", "Si", "Ni", "Cr", "Mo")),
            None,
            "Ac3 of the analysis, Andrews 1965",
        ),
        Finding(
            "hottest_temperature_degC",
            heated.straight_temperature_degC,
            None,
            machine.held["greatest_temperature_degC"],
            "held by the works against coarse grain and scale",
        ),
        Finding("contact_temperature_degC", heated.contact_temperature_degC),
        Finding("austenite_grain_um", grain, note="Lee and Lee 2008; killed steel stays finer"),
        Finding(
            "austenite_grain_size_number",
            grain_size_number(mean_intercept_um=grain),
            machine.held["least_grain_size_number"],
            None,
            "held by the works; the grain's diameter taken as mean intercept",
        ),
    )


def structure_after(link: Stock, heated: Any, cooling_rate_K_per_s: Any) -> Structure:
    """What the austenite of the coldest place becomes at a cooling rate at 700 °C."""
    soaked = austenitising_parameter(
        temperature_degC=heated.coldest_temperature_degC, time_h=heated.austenitising_time_h
    )
    rate = rate_per_hour(cooling_rate_K_per_s=cooling_rate_K_per_s)
    alloy = link.elements("C", "Mn", "Ni", "Cr", "Mo")
    shares = constituents_after_cooling(
        cooling_rate_K_per_h=rate, parameter_degC=soaked.parameter_degC, **alloy
    )
    hard = constituent_hardness(
        cooling_rate_martensite_K_per_h=rate, **alloy, **link.elements("Si")
    )
    mixed = mixed_hardness(
        martensite_fraction=shares.martensite_fraction,
        martensite_HV=hard.martensite_HV,
        bainite_fraction=shares.bainite_fraction,
        bainite_HV=hard.bainite_HV,
        ferrite_pearlite_fraction=shares.ferrite_pearlite_fraction,
        ferrite_pearlite_HV=hard.ferrite_pearlite_HV,
    )
    return Structure(shares, hard, mixed, soaked.parameter_degC)
