"""Zinc on chain, and the bake that drives hydrogen out: `Plating`, `HydrogenRelief`, `HotDipZinc`.

All of it comes before the manufacturing proof force: nothing is heated after the proof, and
a chain that plating has made brittle then breaks in the calibrator. The size of the steel
does not change; a gauge laid on zinc reads its thickness too.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.finishing import surface_per_metre
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.surface import mass_on_chain, time_of_loads
from linkwright.processes.models.use import energy_of_time
from linkwright.processes.models.zinc import (
    below_temper,
    minutes,
    plated_zinc,
    spare_hours,
    zinc_mass,
    zinc_plating_time,
)
from linkwright.processes.packing import mass_per_metre
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.hot_dip_zinc import SOURCE as ISO_1461
from linkwright.standards.hot_dip_zinc import hot_dip_zinc
from linkwright.standards.hydrogen_relief import BAKE_TEMPERATURE_DEGC, hydrogen_relief_time
from linkwright.standards.hydrogen_relief import SOURCE as B850

_TEMPER = "tempering_temperature_degC"
_NOT_HOTTER = "not hotter than the temper, so that it softens nothing"


class Plating(KeepsSizes):
    """Zinc from an electrolyte on chain that was cleaned without acid.

    Thickness, current density and efficiency are held by the works; the time is solved.
    """

    name = "plating"
    card = (
        "plating_time_min", "current_density_A_per_dm2", "load_mass_kg", "electrolyte",
        "cleaning", "passivation",
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time in the electrolyte for the thickness held."""
        density = chosen(
            "current_density_A_per_dm2", machine, given, tolerance=0.2,
            check="rectifier over the surface of the load, each load",
        )  # fmt: skip
        bath = {
            "zinc_thickness_um": machine.held["zinc_thickness_um"],
            "current_density_A_per_dm2": density.value,
            "current_efficiency": machine.held["current_efficiency"],
        }
        time = solved_for(
            "plating_time_min",
            "the mean thickness of zinc that the works holds",
            lambda: zinc_plating_time(**bath),
            machine,
            given,
            inputs=bath,
            check="timer, each load; thickness on five links, each load",
            tolerance=1.0,
        )
        load = chosen(
            "load_mass_kg", machine, given, check="scale, each load",
            tolerance=machine.held["load_tolerance_kg"],
        )  # fmt: skip
        return SetUp((time, density, load), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Thickness and mass of zinc."""
        chain = stocks[MAIN]
        zinc = plated_zinc(
            plating_time_min=settings["plating_time_min"],
            current_density_A_per_dm2=settings["current_density_A_per_dm2"],
            current_efficiency=machine.held["current_efficiency"],
        )
        least = machine.held["least_zinc_thickness_um"]
        return Step(
            (
                Finding("zinc_thickness_um", zinc.zinc_thickness_um, least, None,
                        "held by the works"),
                Finding("zinc_mass_g_per_m2", zinc.zinc_mass_g_per_m2),
            ),
            chain.changed(condition={"zinc_thickness_um": zinc.zinc_thickness_um}),
            use=_use(chain, zinc.zinc_mass_g_per_m2, settings["load_mass_kg"],
                     settings["plating_time_min"], machine),
            cautions=_PLATING,
        )  # fmt: skip


class HydrogenRelief(KeepsSizes):
    """A bake soon after plating, long enough for the strength of the steel."""

    name = "hydrogen_relief"
    heats = True
    card = (
        "bake_temperature_degC", "bake_time_h", "delay_after_plating_h", "load_mass_kg",
        "thermocouple_place",
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Hours by the strength and the works' margin; temperature and delay as held."""
        heat = chosen(
            "bake_temperature_degC", machine, given, check="thermocouple in the load, recorded",
            tolerance=machine.held["temperature_tolerance_K"],
        )  # fmt: skip
        hours = solved_for(
            "bake_time_h",
            f"the least hours by {B850}, and the works' margin",
            lambda: self._hours(stocks[MAIN], machine),
            machine,
            given,
            inputs={
                "tensile_strength_MPa": stocks[MAIN]["tensile_strength_MPa"],
                "margin_percent": machine.held["time_margin_percent"],
            },
            check="recorder, counted from when the coldest thermocouple is at temperature",
            tolerance=0.25,
        )
        delay = chosen(
            "delay_after_plating_h", machine, given, tolerance=0.25,
            check="time on the card of the plating, each load",
        )  # fmt: skip
        load = chosen(
            "load_mass_kg", machine, given, check="scale, each load",
            tolerance=machine.held["load_tolerance_kg"],
        )  # fmt: skip
        return SetUp((heat, hours, delay, load), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Hours and temperature against the rule, and against the temper of this chain."""
        chain = stocks[MAIN]
        hours, heat = settings["bake_time_h"], settings["bake_temperature_degC"]
        least = hydrogen_relief_time(tensile_strength_MPa=chain["tensile_strength_MPa"])
        low, high = BAKE_TEMPERATURE_DEGC
        found = [
            Finding("bake_hours_beyond_rule_h", spare_hours(bake_time_h=hours, least_time_h=least),
                    0.0, None, B850),
            Finding("bake_temperature_degC", heat, low, high, B850),
        ]  # fmt: skip
        if _TEMPER in chain:
            below = below_temper(tempering_temperature_degC=chain[_TEMPER], temperature_degC=heat)
            found.append(Finding("below_temper_K", below, 0.0, None, _NOT_HOTTER))
        time = time_of_loads(
            length_m=chain["length_m"],
            chain_mass_kg_per_m=mass_per_metre(chain),
            load_mass_kg=settings["load_mass_kg"],
            time_min=minutes(time_h=hours),
            handling_time_min=machine.rate["handling_time_min"],
            machines=machine.many,
        )
        power = machine.rate["connected_power_kW"]
        return Step(
            tuple(found),
            chain,
            use={
                "machine_time_h": time,
                "electricity_kWh": energy_of_time(machine_time_h=time, power_kW=power),
            },
            cautions=_BAKING,
        )

    def _hours(self, chain: Stock, machine: Machine) -> Any:
        least = hydrogen_relief_time(tensile_strength_MPa=chain["tensile_strength_MPa"])
        return with_margin(limit=least, margin_percent=machine.held["time_margin_percent"])


class HotDipZinc(KeepsSizes):
    """Chain is dipped into molten zinc and shaken while it runs off, so that links stay free."""

    name = "hot_dip_zinc"
    heats = True
    card = (
        "bath_temperature_degC", "dipping_time_min", "load_mass_kg", "cleaning", "shaking",
        "zinc_alloy",
    )  # fmt: skip

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Bath and time as held."""
        settings = (
            chosen("bath_temperature_degC", machine, given, tolerance=5.0,
                   check="two thermocouples in the bath, each load"),
            chosen("dipping_time_min", machine, given, tolerance=0.5, check="timer, each load"),
            chosen("load_mass_kg", machine, given, check="scale, each load",
                   tolerance=machine.held["load_tolerance_kg"]),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Thickness that this works reaches against the standard's; bath against the temper."""
        chain = stocks[MAIN]
        asked = hot_dip_zinc(steel_thickness_mm=chain["wire_diameter_mm"])
        mass = zinc_mass(zinc_thickness_um=machine.held["zinc_thickness_um"])
        bath = settings["bath_temperature_degC"]
        found = [
            Finding("zinc_thickness_um", machine.held["zinc_thickness_um"],
                    asked.mean_thickness_um, None, ISO_1461),
            Finding("zinc_mass_g_per_m2", mass),
        ]  # fmt: skip
        if _TEMPER in chain:
            below = below_temper(tempering_temperature_degC=chain[_TEMPER], temperature_degC=bath)
            found.append(Finding("below_temper_K", below, 0.0, None, _NOT_HOTTER))
        time, load = settings["dipping_time_min"], settings["load_mass_kg"]
        return Step(
            tuple(found),
            chain.changed(condition={"zinc_thickness_um": machine.held["zinc_thickness_um"]}),
            use=_use(chain, mass, load, time, machine),
            cautions=_DIPPING,
        )


def _use(chain: Stock, mass: Any, load_kg: Any, time_min: Any, machine: Machine) -> dict[str, Any]:
    """Hours, energy and zinc of all loads."""
    hours = time_of_loads(
        length_m=chain["length_m"],
        chain_mass_kg_per_m=mass_per_metre(chain),
        load_mass_kg=load_kg,
        time_min=time_min,
        handling_time_min=machine.rate["handling_time_min"],
        machines=machine.many,
    )
    power = machine.rate["connected_power_kW"]
    return {
        "machine_time_h": hours,
        "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=power),
        "zinc_kg": mass_on_chain(
            film_mass_g_per_m2=mass,
            surface_m2_per_m=surface_per_metre(chain),
            length_m=chain["length_m"],
        ),
    }


_PLATING = (
    Caution(
        "The electrolyte burns skin and eyes, and hydrogen above it explodes",
        "face shield, gloves, eye wash tried; extraction running before current is switched on",
    ),
    Caution(
        "Acid and current drive hydrogen into hard steel, which may then break days later",
        "no acid cleaning; bake within the time on the card; proof force after the bake",
    ),
)
_BAKING = (
    Caution(
        "The bake lowers the risk of a late brittle break, it does not end it",
        "proof force and samples after the bake; no piece leaves before they are good",
    ),
    Caution("Chain at 200 °C looks cold", "gloves; load marked hot until it was measured"),
)
_DIPPING = (
    Caution(
        "A wet load makes molten zinc burst out of the bath",
        "load dried and warm before it is dipped; screen closed; full face and body protection",
    ),
    Caution(
        "Zinc fills the joints and hides cracks",
        "shake until every link moves; look at the chain before it is dipped",
    ),
)
