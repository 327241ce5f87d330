"""What a temper is judged by beside its hardness, in a coil or in a furnace.

- `equivalents`: the temper as one of an hour, by two published laws
- `equivalent_findings`: both side by side against the least temper of the standard, the lower
  against the window of tempered-martensite embrittlement
- `embrittlement_findings`: time in the window of temper embrittlement, how prone the steel is
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.materials.embrittlement import (
    distance_outside_window,
    embrittlement_factor_watanabe,
    embrittling_hold,
)
from linkwright.materials.tempering import hollomon_jaffe_temperature
from linkwright.processes.models.air_cooling import air_cooling_time
from linkwright.processes.models.quench_sums import (
    equivalent_temperature,
    least_zone,
    lower_of,
)
from linkwright.route import Finding, Machine
from linkwright.route.stock import Stock

_COLDEST = "at the coldest zone of a link"


def equivalents(soak: Any, least_temper: Mapping[str, Any]) -> tuple[Any, Any]:
    """Temperatures that held for the standard's time temper the coldest zone as far."""
    held = {"time_h": least_temper["time_h"]} if least_temper else {}
    return (
        hollomon_jaffe_temperature(parameter=least_zone(values=soak.hollomon_jaffe), **held),
        equivalent_temperature(parameter_K=least_zone(values=soak.parameter_K)),
    )


def equivalent_findings(
    soak: Any, least_temper: Mapping[str, Any], source: str
) -> tuple[Finding, ...]:
    """Both equivalents against the least temper, the stricter against the brittle window."""
    least = least_temper.get("temperature_degC")
    by_hollomon, by_maynier = equivalents(soak, least_temper)
    stricter = lower_of(first_degC=by_hollomon, second_degC=by_maynier)
    return (
        Finding(
            "one_hour_equivalent_degC",
            by_hollomon,
            least,
            None,
            source,
            f"Hollomon and Jaffe, constant 20, {_COLDEST}",
        ),
        Finding(
            "one_hour_equivalent_creusot_loire_degC",
            by_maynier,
            least,
            None,
            source,
            f"Maynier, Jungmann and Dollet, the law used for hardness, {_COLDEST}",
        ),
        Finding(
            "martensite_embrittlement_margin_K",
            distance_outside_window(temperature_degC=stricter),
            0.0,
            None,
            "ASM Handbook vol. 4 (memory): no temper between 250 and 400 °C, as of one hour",
            "distance from the window of tempered-martensite embrittlement",
        ),
    )


def embrittlement_findings(
    chain: Stock, temperature: Any, hold_min: Any, exposed_share: Any, machine: Machine
) -> tuple[Finding, ...]:
    """Hold and cooling between 575 and 375 °C; how prone the steel is, which no limit judges."""
    exposed = {} if exposed_share is None else {"exposed_share": exposed_share}
    cooling = air_cooling_time(
        wire_diameter_mm=chain["lot_wire_diameter_mm"], start_degC=temperature, **exposed
    )
    return (
        Finding(
            "embrittling_hold_min",
            embrittling_hold(
                temperature_degC=temperature, hold_min=hold_min, cooling_time_s=cooling
            ),
            None,
            machine.held["greatest_embrittling_hold_min"],
            "held by the works: time between 575 and 375 °C, hold and cooling in air",
        ),
        Finding(
            "embrittlement_factor",
            embrittlement_factor_watanabe(**chain.elements("Mn", "Si", "P", "Sn")),
            note="J by Watanabe; low risk up to 180 in Cr-Mo steel of vessels, no limit for chain",
        ),
    )
