"""Tempering of link plates: the temperature is solved for the strength that the chain needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.processes.choosing import chosen
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    charge_findings,
    charge_setting,
    charge_use,
)
from linkwright.processes.models.plate_bed import bed_temper
from linkwright.processes.models.plate_response import plate_response
from linkwright.processes.models.plate_strength import (
    eye_peak_stress,
    link_plate_force,
)
from linkwright.processes.models.plate_sums import heap_place, yield_of_strength
from linkwright.processes.models.quench_sums import softest_of
from linkwright.processes.models.works_factor import corrected_hardness
from linkwright.processes.of_part import OfPart
from linkwright.processes.plate_charge import PlateOperation, bed_arguments, bed_depth_setting
from linkwright.processes.plate_hardening import heap_curves
from linkwright.processes.temper_setting import (
    change_per_kelvin,
    lower_critical,
    temper_for_strength,
)
from linkwright.processes.tempered_strength import (
    STRENGTH,
    strength_of,
    tempered_structure,
    zones_at_link,
)
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_KINETICS = Factor(
    "factor/plate_tempering/hardness",
    1.0,
    0.05,
    "works' own factor on hardness after a furnace temper, not yet learned: stated band 5 %",
    "temper 20 plates at three temperatures and measure the hardness of each",
)
_PLACES = ("outside", "inside")


class PlateTempering(OfPart, PlateOperation):
    """Time in the furnace as held; temperature for the strength wanted at the hottest place."""

    name = "plate_tempering"
    heats = True
    card = (
        "temperature_degC", "time_in_furnace_min", "charge_kg", "bed_depth_mm",
        "cooling_after_temper",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/plate/plate_tempering/temperature_degC",
            3.0,
            "evenness and control of the furnace: common practice, no source",
        ),
        Scatter(
            "link/plate/plate_tempering/temperature_K",
            3.0,
            "plate to plate, place in the charge: common practice, no source",
        ),
    )
    factors = (_KINETICS, STRENGTH)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature by trials over the heap."""
        plate = stocks[MAIN]
        time = chosen(
            "time_in_furnace_min", machine, given, check="clock, each charge", tolerance=2.0
        )
        heap = {"time_in_furnace_min": time.value, **bed_arguments(plate, machine)}

        def softest(trial: np.ndarray) -> np.ndarray:
            soak = bed_temper(furnace_temperature_degC=trial, **heap)
            return np.asarray(softest_of(**_two(_hardness(plate, soak, factors))))

        temperature = temper_for_strength(
            lambda trial: np.asarray(strength_of(softest(trial), factors)),
            wanted["tensile_strength_MPa"], plate, machine, given, {**heap, **wanted},
            "thermocouple of each zone, recorded; hardness of five plates of each charge",
        )  # fmt: skip
        slope = change_per_kelvin(softest, temperature.value)
        settings = (temperature, time, charge_setting(machine, given), bed_depth_setting(machine))
        return SetUp(settings, {"machine": machine.name, "hardness_per_K": slope})

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The plate as it came, with the strength wanted and the yield stress that goes with it."""
        plate = super().sizes(stocks, wanted, machine, factors, given)
        return plate.changed(condition={"yield_strength_MPa": _yield(plate, machine)})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temper of outside and inside, hardness and strength, and what a plate then carries."""
        plate = stocks[MAIN]
        heap = {
            "furnace_temperature_degC": self.actual(
                factors, "lot", "temperature_degC", settings["temperature_degC"]
            ),
            "time_in_furnace_min": settings["time_in_furnace_min"],
            **bed_arguments(plate, machine),
        }
        soak = bed_temper(**heap)
        both = _hardness(plate, soak, factors)
        off = self.actual(factors, "link", "temperature_K", 0.0)
        both = zones_at_link(both, off, settings.prepared["hardness_per_K"], factors)
        softest = softest_of(**_two(both))
        strength = strength_of(softest, factors)
        condition = {
            "hardness_HV": softest,
            "tensile_strength_MPa": strength,
            "yield_strength_MPa": _yield({"tensile_strength_MPa": strength}, machine),
            "tempering_temperature_degC": settings["temperature_degC"],
        }
        return Step(
            (
                *_temper_findings(plate, soak, both, softest, strength, machine),
                *charge_findings(soak, settings["temperature_degC"], settings, machine),
                *_carrying_findings(plate, strength),
            ),
            plate.changed("plate", condition=condition),
            use=charge_use(plate, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else heap_curves(heap),
        )


def _yield(plate: Any, machine: Machine) -> Any:
    return yield_of_strength(
        tensile_strength_MPa=plate["tensile_strength_MPa"], yield_ratio=machine.held["yield_ratio"]
    )


def _hardness(plate: Stock, soak: Any, factors: Conditions) -> tuple[Any, ...]:
    """Of the outside and of the inside of the heap."""
    structure = tempered_structure(plate, soak.parameter_K)
    kinetics = factors.factor(_KINETICS.name)
    return tuple(
        corrected_hardness(hardness_HV=heap_place(values=structure, place=place), factor=kinetics)
        for place in _PLACES
    )


def _two(both: tuple[Any, ...]) -> dict[str, Any]:
    return {"first_HV": both[0], "second_HV": both[1]}


def _temper_findings(
    plate: Stock, soak: Any, both: tuple[Any, ...], softest: Any, strength: Any, machine: Machine
) -> tuple[Finding, ...]:
    held = machine.held
    return (
        Finding(
            "temper_temperature_degC", soak.straight_temperature_degC, None,
            lower_critical(plate),
            "Ac1 of the analysis, Andrews 1965: above it the plate hardens again",
        ),
        Finding("outside_hardness_HV", both[0]),
        Finding("inside_hardness_HV", both[1]),
        Finding("hardness_HV", softest, held["least_hardness_HV"], held["greatest_hardness_HV"],
                "band held by the works"),
        Finding("tensile_strength_MPa", strength, note="ISO 18265 by hardness"),
    )  # fmt: skip


def _carrying_findings(plate: Stock, strength: Any) -> tuple[Finding, ...]:
    """Breaking force of a plate against what its share of the chain needs; the peak at the hole."""
    sizes = {
        name: plate[name] for name in ("plate_height_mm", "hole_diameter_mm", "plate_thickness_mm")
    }
    whole = {name: plate[name] for name in ("hole_spacing_mm", "waist_height_mm")}
    found_by = plate_response(tensile_strength_MPa=strength, **whole, **sizes)
    by_hand = link_plate_force(
        waist_height_mm=plate["waist_height_mm"], tensile_strength_MPa=strength, **sizes
    )
    needed = plate.amount.get("plate_force_needed_kN")
    found = [
        Finding("plate_breaking_force_kN", found_by.plate_breaking_force_kN, needed, None,
                "its share of the chain's breaking force" if needed is not None else "",
                "by finite elements: the round end is bent open"),
        Finding("mean_stress_force_kN", by_hand.plate_breaking_force_kN,
                note="by mean stress beside the hole, in the waist or torn out, the least"),
        Finding("eye_stress_factor", found_by.net_stress_factor,
                note="elastic peak over mean stress beside the hole, pin without play"),
    ]  # fmt: skip
    if needed is not None:
        peak = eye_peak_stress(
            plate_force_kN=needed, net_stress_factor=found_by.net_stress_factor, **sizes
        )
        found.append(Finding("peak_stress_MPa", peak, note="elastic, at the force needed"))
    return tuple(found)


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution("Plates at 400 °C look cold", "charge marked hot; never judge by colour"),
    Caution(
        "Oil left on quenched plates burns off in the tempering furnace",
        "plates washed and dried before the temper; extraction running",
    ),
)
