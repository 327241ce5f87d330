"""Hot dip in grease: so hot that it runs into the joints, then drained and cooled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, computed
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.grease import (
    dip_pickup,
    dynamic_viscosity,
    grease_of_length,
    half_length,
    joint_filled_depth,
    joint_filling_time,
    joint_grease,
    open_clearance,
)
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.oil import temperature_for_viscosity, viscosity_at_temperature
from linkwright.processes.models.oil_film import drained_film, film_mass
from linkwright.processes.models.plate_quench import flash_point_margin
from linkwright.processes.models.roller_strand import strands_time
from linkwright.processes.strand import Strand
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

_BATH = ("viscosity_40degC_mm2_per_s", "viscosity_100degC_mm2_per_s")
_WETS = ("surface_tension_N_per_m", "contact_angle_deg")
_HELD = "held by the works"


class Greasing(KeepsSizes):
    """Bath at the viscosity wanted; as long in it as the joints take to fill."""

    name = "greasing"
    heats = False
    card = ("bath_temperature_degC", "dip_time_s", "draining_time_s", "grease_kind", "cooling")

    def __init__(self, strand: Strand) -> None:
        self.strand = strand

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature for the viscosity held, time for joints filled from both ends."""
        held = machine.held
        bath = computed(
            "bath_temperature_degC", "grease as thin as the works wants it in the joints",
            lambda: temperature_for_viscosity(
                viscosity_mm2_per_s=held["dip_viscosity_mm2_per_s"],
                **{name: held[name] for name in _BATH},
            ),
            machine, given, check="thermometer in the bath, each hour", tolerance=3.0,
        )  # fmt: skip
        time = computed(
            "dip_time_s", "joints filled from both ends, with the works' reserve",
            lambda: with_margin(
                limit=self._filling(stocks[MAIN], bath.value, machine),
                margin_percent=held["dip_reserve_percent"],
            ),
            machine, given, check="timer, each basket", share=0.2,
        )  # fmt: skip
        drain = chosen("draining_time_s", machine, given, check="timer, each basket", share=0.2)
        return SetUp((bath, time, drain), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """How far grease runs in, how much is taken along, how far the bath is from its flash."""
        chain, held = stocks[MAIN], machine.held
        thin = self._viscosity(settings["bath_temperature_degC"], machine)
        filled = joint_filled_depth(
            joint_clearance_mm=_open(chain),
            dip_time_s=settings["dip_time_s"],
            grease_viscosity_mPa_s=thin,
            **{name: held[name] for name in _WETS},
        )
        film = film_mass(
            dipped_film_um=held["greatest_film_um"],
            drained_film_um=drained_film(
                oil_viscosity_mPa_s=thin,
                draining_length_m=held["draining_length_m"],
                draining_time_s=settings["draining_time_s"],
                oil_density_kg_per_m3=held["grease_density_kg_per_m3"],
            ),
            oil_density_kg_per_m3=held["grease_density_kg_per_m3"],
        )
        pickup = dip_pickup(
            film_mass_g_per_m2=film,
            surface_area_m2_per_m=chain["surface_area_m2_per_m"],
            joint_grease_g=joint_grease(
                pin_diameter_mm=chain["pin_diameter_mm"],
                joint_clearance_mm=_open(chain),
                filled_depth_mm=filled,
                bushing_length_mm=chain["bushing_length_mm"],
                grease_density_kg_per_m3=held["grease_density_kg_per_m3"],
            ),
            pitch_mm=self.strand.parts.pitch_mm,
            strands=self.strand.strands,
        )
        flash = flash_point_margin(
            bath_temperature_degC=settings["bath_temperature_degC"],
            temperature_rise_K=_NO_RISE,
            flash_point_degC=held["flash_point_degC"],
        )
        return Step(
            (
                Finding("filled_depth_mm", filled, half_length(
                    length_mm=chain["bushing_length_mm"]), None,
                    "half the bushing: grease meets from both ends"),
                Finding("grease_viscosity_mPa_s", thin),
                Finding("pickup_g_per_m", pickup, note="to be weighed on the first metre"),
                Finding("flash_point_margin_K", flash.flash_point_margin_K,
                        held["least_flash_point_margin_K"], None,
                        f"{_HELD}; local fire codes come first"),
            ),
            chain,
            use=self._use(chain, pickup, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _viscosity(self, temperature_degC: Any, machine: Machine) -> Any:
        return dynamic_viscosity(
            viscosity_mm2_per_s=viscosity_at_temperature(
                temperature_degC=temperature_degC, **{name: machine.held[name] for name in _BATH}
            ),
            density_kg_per_m3=machine.held["grease_density_kg_per_m3"],
        )

    def _filling(self, chain: Stock, temperature_degC: Any, machine: Machine) -> Any:
        return joint_filling_time(
            joint_clearance_mm=_open(chain),
            joint_depth_mm=half_length(length_mm=chain["bushing_length_mm"]),
            grease_viscosity_mPa_s=self._viscosity(temperature_degC, machine),
            **{name: machine.held[name] for name in _WETS},
        )

    def _use(self, chain: Stock, pickup: Any, machine: Machine) -> dict[str, Any]:
        hours = strands_time(
            length_m=chain["ordered_length_m"],
            strand_length_m=machine.held["basket_length_m"],
            strand_time_min=machine.rate["basket_time_min"],
        )
        return {
            **use_of_machine(hours, machine),
            "grease_kg": grease_of_length(
                pickup_g_per_m=pickup, length_m=chain["ordered_length_m"]
            ),
        }


def _open(chain: Stock) -> Any:
    """Play of the joints, or next to none where a joint is stiff: nothing runs into it then."""
    return open_clearance(joint_clearance_mm=chain["joint_clearance_mm"])


_NO_RISE = 0.0
_CAUTIONS = (
    Caution(
        "Hot grease burns skin and catches fire; water in it boils over",
        "thermostat with a second cut-out, lid and extinguisher at hand and tried; no wet chain "
        "into the bath; face shield and sleeves; local fire codes come first",
    ),
    Caution(
        "A basket of chain is heavy and drips", "hoist with a tested hook; drip tray; dry floor"
    ),
)
