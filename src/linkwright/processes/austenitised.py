"""What follows from a soak above Ac3 and the cooling after it, in water or in air.

- `IN_SOLUTION`: the works' factor on the carbon that a soak of seconds dissolves
- `austenite`: elements of the austenite, with the carbon that is in solution
- `austenite_findings`, `soak_findings`: austenite at the coldest place, coarse grain at the hottest
- `furnace_soaked`: austenitising parameter of a soak in a furnace
- `structure_after`: shares and hardness of the constituents by the cooling rate at 700 °C
- `martensite_start`: Ms of the austenite
- `quench_findings`, `quenched_condition`: what a quench shows and hands on
"""

from __future__ import annotations

from typing import Any, NamedTuple

from linkwright.materials.austenite_decomposition import (
    austenitising_parameter,
    constituents_after_cooling,
)
from linkwright.materials.grain import austenite_grain_size, grain_size_number
from linkwright.materials.structure_hardness import constituent_hardness, mixed_hardness
from linkwright.materials.transformation import andrews_ac3, andrews_martensite_start, ouchi_ar3
from linkwright.processes.models.line_heat import section_mean
from linkwright.processes.models.quench_sums import least_of, rate_per_hour
from linkwright.route import Factor, Finding, Machine
from linkwright.route.stock import Stock

IN_SOLUTION = Factor(
    "factor/hardening/carbon_in_solution",
    0.98,
    0.02,
    "works' own factor: carbon that a soak of seconds dissolves over that of the analysis, not yet "
    "learned: stated band 2 %, never above one",
    "harden 5 links at three line speeds and 5 in a furnace; ten hardnesses as quenched on each",
)


def austenite(stock: Stock, *symbols: str) -> dict[str, Any]:
    """Elements as arguments, carbon as far as it is in solution."""
    found = stock.elements(*symbols)
    if "carbon_in_solution_percent" in stock:
        found["C_percent"] = stock["carbon_in_solution_percent"]
    return found


def martensite_start(stock: Stock) -> Any:
    """Ms of the austenite, Andrews 1965."""
    return andrews_martensite_start(**austenite(stock, "C", "Mn", "Ni", "Cr", "Mo"))


class Structure(NamedTuple):
    """Shares, hardness of each constituent and of the mixture, with the axes of the rates."""

    shares: Any
    hardness: Any
    mixed_HV: Any


def soak_findings(
    link: Stock, heated: Any, hottest: Any, time_s: Any, machine: Machine
) -> tuple[Finding, ...]:
    """As `austenite_findings`, with the temperature where two links touch."""
    coldest, hot, *grain = austenite_findings(
        link, heated.coldest_temperature_degC, hottest, time_s, machine
    )
    contact = Finding("contact_temperature_degC", heated.contact_temperature_degC)
    return (coldest, hot, contact, *grain)


def austenite_findings(
    stock: Stock, coldest: Any, hottest: Any, time_s: Any, machine: Machine
) -> tuple[Finding, ...]:
    """Coldest place against Ac3, hottest against the works' limit, austenite grain there."""
    grain = austenite_grain_size(
        temperature_degC=hottest, time_s=time_s, **stock.elements("C", "Ni", "Cr", "Mo")
    )
    return (
        Finding(
            "coldest_temperature_degC",
            coldest,
            andrews_ac3(**stock.elements("C", "Mn", "Si", "Ni", "Cr", "Mo")),
            None,
            "Ac3 of the analysis, Andrews 1965",
        ),
        Finding(
            "hottest_temperature_degC",
            hottest,
            None,
            machine.held["greatest_temperature_degC"],
            "held by the works against coarse grain and scale",
        ),
        Finding("austenite_grain_um", grain, note="Lee and Lee 2008; killed steel stays finer"),
        Finding(
            "austenite_grain_size_number",
            grain_size_number(mean_intercept_um=grain),
            machine.held["least_grain_size_number"],
            None,
            "held by the works; the grain's diameter taken as mean intercept",
        ),
    )


def furnace_soaked(heated: Any) -> Any:
    """Austenitising parameter of a soak in a furnace, °C."""
    return austenitising_parameter(
        temperature_degC=heated.coldest_temperature_degC, time_h=heated.austenitising_time_h
    ).parameter_degC


def structure_after(link: Stock, parameter_degC: Any, cooling_rate_K_per_s: Any) -> Structure:
    """What austenite of an austenitising parameter becomes at a cooling rate at 700 °C."""
    rate = rate_per_hour(cooling_rate_K_per_s=cooling_rate_K_per_s)
    alloy = austenite(link, "C", "Mn", "Ni", "Cr", "Mo")
    shares = constituents_after_cooling(
        cooling_rate_K_per_h=rate, parameter_degC=parameter_degC, **alloy
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
    return Structure(shares, hard, mixed)


def quench_findings(
    link: Stock, entry: Any, cooled: Any, made: Structure, machine: Machine
) -> tuple[Finding, ...]:
    """Entry into the water against Ar3, rates, structure and hardness, Ms against cracks."""
    return (
        Finding(
            "water_entry_temperature_degC",
            entry,
            ouchi_ar3(**austenite(link, "C", "Mn", "Ni", "Cr", "Mo", "Cu")),
            None,
            "Ar3 of the analysis, Ouchi 1982: below it ferrite forms before the water",
            "coldest place where the water begins",
        ),
        Finding("slowest_cooling_rate_K_per_s", cooled.slowest_cooling_rate_K_per_s),
        Finding(
            "straight_centre_cooling_rate_K_per_s", cooled.straight_centre_cooling_rate_K_per_s
        ),
        Finding(
            "least_martensite_fraction",
            least_of(values=made.shares.martensite_fraction),
            machine.held["least_martensite_fraction"],
            None,
            "held by the works: least share at the slowest place of a link",
        ),
        Finding("quenched_hardness_HV", section_mean(values=made.mixed_HV, zone="straight")),
        Finding("quenched_contact_hardness_HV", section_mean(values=made.mixed_HV, zone="contact")),
        Finding(
            "martensite_start_degC",
            martensite_start(link),
            machine.held["least_martensite_start_degC"],
            None,
            "held by the works against quench cracks, which low Ms and much carbon bring in water; "
            "common practice, no source",
            "Andrews 1965",
        ),
    )


def quenched_condition(made: Structure) -> dict[str, Any]:
    """Shares and hardness of the constituents as fields of the stock."""
    return {**made.shares._asdict(), **made.hardness._asdict()}
