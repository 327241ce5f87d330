"""Pins: the hardened ends are softened by a short induction heat, so that they can be riveted.

Instead of stop-off paste before case hardening. The heat must soften the skin as far as the head
is upset, and leave the case where the pin bears; it stays below Ac1, else the end hardens again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.materials.hardness_scales import tensile_strength_from_hardness
from linkwright.materials.transformation import andrews_ac1
from linkwright.processes.choosing import by_wire, chosen, computed
from linkwright.processes.models.end_annealing import (
    AnnealedEnd,
    annealed_end,
    annealing_power,
    end_course,
    end_heat_properties,
    fourier_time,
)
from linkwright.processes.models.end_annealing_work import (
    annealing_energy,
    annealing_time,
    below_ac1,
    end_hardness_mean,
    same_temper,
    share_under_plate,
    warm_pin,
)
from linkwright.processes.models.plate_sums import yield_of_strength
from linkwright.processes.models.use import energy_of_pieces
from linkwright.processes.models.works_factor import corrected_hardness
from linkwright.processes.of_part import OfPart
from linkwright.processes.strand import Strand
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    KeepsSizes,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_HELD = "held by the works"
_SOFT = Factor(
    "factor/end_annealing/end_hardness",
    1.0,
    0.08,
    "works' own factor on the hardness of annealed ends, not yet learned: stated band 8 %; the "
    "alloy of the case slows its temper",
    "anneal ten ends, grind a flat along them and measure a row of hardness",
)
_TEMPER = ("temper_temperature_degC", "temper_time_min")
_ELEMENTS = ("C", "Si", "Mn", "Ni", "Cr", "Mo")
_POWER = np.linspace(0.88, 1.12, 13)
_OFFSET_MM = np.linspace(-0.6, 0.6, 9)
"""Power over the setting and place of the coil on which members are read: straight lines."""


class EndAnnealing(KeepsSizes, OfPart):
    """Both ends in a coil for a moment: power for the temperature, what it leaves soft and hard."""

    name = "end_annealing"
    part = "pin"
    heats = True
    card = (
        "coil_length_mm", "heating_time_s", "end_temperature_degC", "end_power_kW",
        "frequency", "ends_at_once_count",
    )  # fmt: skip
    scatter = (
        Scatter("lot/pin/end_annealing/end_power_kW", 0.015,
                "control of the generator, 1.5 %: common practice, no source", relative=True),
        Scatter("link/pin/end_annealing/coil_offset_mm", 0.05,
                "place of the pin in the coil: common practice, no source"),
    )  # fmt: skip
    factors = (_SOFT,)

    def __init__(self, strand: Strand) -> None:
        """``strand``: what of the pin stands beyond the plate, and how thick that is."""
        super().__init__("pin")
        self.strand = strand

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Coil by the length to be upset, time by the diameter, power for the temperature."""
        pin, held = stocks[MAIN], machine.held
        end = chosen("end_temperature_degC", machine, given, check="pyrometer, each pin",
                     tolerance=10.0)  # fmt: skip
        constant = end_heat_properties(end_temperature_degC=end.value)
        coil = by_wire(
            "coil_length_mm", self.strand.parts.pin.rivet_projection_mm, machine, given,
            check="stop behind the pin, depth gauge, each coil", tolerance=0.1,
            to="length beyond the plate",
        )  # fmt: skip
        time = computed(
            "heating_time_s", "the works' Fourier number, the same for any diameter",
            lambda: fourier_time(
                fourier_number=held["fourier_number"], diameter_mm=pin["diameter_mm"],
                diffusivity_mm2_per_s=constant.diffusivity_mm2_per_s,
            ),
            machine, given, check="timer of the generator, recorded", share=0.02,
        )  # fmt: skip
        power = computed(
            "end_power_kW", "the temperature of the rim of the end",
            lambda: annealing_power(
                end_temperature_degC=end.value, heating_time_s=time.value,
                coil_length_mm=coil.value, diameter_mm=pin["diameter_mm"],
                **constant._asdict(),
            ),
            machine, given, check="energy of each shot, recorded", share=0.03,
        )  # fmt: skip
        both = chosen("ends_at_once_count", machine, given, check="coils of the fixture",
                      tolerance=0.0)  # fmt: skip
        settings: tuple[Setting, ...] = (coil, time, end, power, both)
        made = {one.name: one.value for one in settings}
        with not_recording():
            table = self._table(pin, made, machine)
        return SetUp(settings, {"machine": machine.name, "table": table})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """How soft the end is, how far, and what is left of the case under the plate."""
        pin = stocks[MAIN]
        arguments = self._arguments(pin, settings, machine)
        end = self._members(settings, factors) if factors.draws else annealed_end(**arguments)
        factor = factors.factor(_SOFT.name)
        case, core = (
            corrected_hardness(hardness_HV=one, factor=factor)
            for one in (end.end_case_HV, end.end_core_HV)
        )
        mean = end_hardness_mean(
            diameter_mm=pin["diameter_mm"], case_depth_mm=pin["case_depth_mm"], case_HV=case,
            core_HV=core,
        )  # fmt: skip
        strength = tensile_strength_from_hardness(hardness_HV=mean)
        condition = {
            "end_hardness_HV": mean,
            "end_yield_strength_MPa": yield_of_strength(
                tensile_strength_MPa=strength, yield_ratio=machine.held["yield_ratio"]
            ),
        }
        return Step(
            (*self._soft(end, case, core, machine), *self._hot(pin, end, settings, machine)),
            pin.changed("pin", condition=condition),
            use=self._use(pin, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else {"end": lambda: self._course(arguments)},
        )

    def _soft(
        self, end: AnnealedEnd, case: Any, core: Any, machine: Machine
    ) -> tuple[Finding, ...]:
        """Soft enough where the head is upset, hard enough where the pin bears."""
        parts, held = self.strand.parts, machine.held
        projection = parts.pin.rivet_projection_mm
        under = share_under_plate(
            projection_mm=projection, hard_from_mm=end.hard_from_mm,
            plate_thickness_mm=parts.outer_plate.plate_thickness_mm,
        )  # fmt: skip
        return (
            Finding("end_case_hardness_HV", case, None, held["greatest_end_HV"],
                    f"{_HELD}: harder heads crack",
                    "case at the foot of the head; carbon steel by table, the alloy is in the "
                    "works' factor"),
            Finding("end_core_hardness_HV", core, note="on the axis, at the foot of the head"),
            Finding("soft_length_mm", end.soft_length_mm, note="of the case, from the end"),
            Finding("hard_from_mm", end.hard_from_mm,
                    note="from the end, where the case has kept its limit"),
            Finding("hard_in_plate_percent", under, held["least_hard_in_plate_percent"], None,
                    f"{_HELD}: of the outer plate's thickness, behind which the pin bears"),
        )  # fmt: skip

    def _hot(
        self, pin: Stock, end: AnnealedEnd, settings: SetUp, machine: Machine
    ) -> tuple[Finding, ...]:
        """Below Ac1 at the end; the rest of the pin no warmer than its low temper."""
        held = machine.held
        limit = below_ac1(
            Ac1_degC=andrews_ac1(**pin.elements(*_ELEMENTS)), margin_K=held["ac1_margin_K"]
        )
        warm = warm_pin(
            end_power_kW=settings["end_power_kW"], heating_time_s=settings["heating_time_s"],
            pin_kg=pin["piece_mass_kg"],
        )  # fmt: skip
        return (
            Finding("end_peak_degC", end.end_peak_degC, None, limit,
                    f"Ac1 by Andrews (1965) less the margin {_HELD}",
                    "above Ac1 the end hardens again"),
            Finding("axis_peak_degC", end.axis_peak_degC, note="at the end"),
            Finding("pin_temperature_degC", warm, None, same_temper(
                        **{name: pin[name] for name in _TEMPER},
                        warm_time_min=held["warm_time_min"]),
                    "the case's low temper, while the pin is warm: Hollomon and Jaffe (1945)",
                    "whole pin, once it is even"),
        )  # fmt: skip

    def _course(self, arguments: Mapping[str, Any]) -> dict[str, np.ndarray]:
        """Hardness along the pin, and where the outer plate lies on it at the case's limit."""
        parts = self.strand.parts
        foot = float(parts.pin.rivet_projection_mm)
        plate = np.array([foot, foot + float(parts.outer_plate.plate_thickness_mm)])
        limit = np.full(2, float(arguments["hard_HV"]))
        return {**end_course(arguments), "plate_distance_mm": plate, "plate_limit_HV": limit}

    def _arguments(self, pin: Stock, made: Mapping[str, Any], machine: Machine) -> dict[str, Any]:
        """All that decides about the end."""
        constant = end_heat_properties(end_temperature_degC=made["end_temperature_degC"])
        return {
            "power_kW": made["end_power_kW"],
            **{name: made[name] for name in ("heating_time_s", "coil_length_mm")},
            "diameter_mm": pin["diameter_mm"],
            **constant._asdict(),
            "case_HV": pin["surface_hardness_HV"],
            "core_HV": pin["core_hardness_HV"],
            "case_carbon_percent": pin["surface_carbon_percent"],
            **{name: pin[name] for name in _TEMPER},
            "soft_HV": machine.held["greatest_end_HV"],
            "hard_HV": machine.held["hard_HV"],
            "foot_mm": self.strand.parts.pin.rivet_projection_mm,
            **pin.elements(*_ELEMENTS),
        }

    def _table(self, pin: Stock, made: Mapping[str, Any], machine: Machine) -> np.ndarray:
        """Each result over power and offset: (result, power, offset), run once for all."""
        arguments = {name: float(value)
                     for name, value in self._arguments(pin, made, machine).items()}  # fmt: skip
        power = arguments.pop("power_kW") * _POWER
        grids = np.meshgrid(power, _OFFSET_MM, indexing="ij")
        end = annealed_end(power_kW=grids[0], offset_mm=grids[1], **arguments)
        return np.array([np.broadcast_to(one, grids[0].shape) for one in end])

    def _members(self, settings: SetUp, factors: Conditions) -> AnnealedEnd:
        """The end of each member, between the nearest of the table."""
        set_power = float(settings["end_power_kW"])
        ratio = self.actual(factors, "lot", "end_power_kW", set_power) / set_power
        offset = self.actual(factors, "link", "coil_offset_mm", 0.0)
        rows, columns = np.broadcast_arrays(
            np.interp(ratio, _POWER, np.arange(_POWER.size)),
            np.interp(offset, _OFFSET_MM, np.arange(_OFFSET_MM.size)),
        )
        i = np.minimum(rows.astype(int), _POWER.size - 2)
        j = np.minimum(columns.astype(int), _OFFSET_MM.size - 2)
        p, q = rows - i, columns - j
        table = settings.prepared["table"]
        return AnnealedEnd(*(
            (1.0 - p) * ((1.0 - q) * one[i, j] + q * one[i, j + 1])
            + p * ((1.0 - q) * one[i + 1, j] + q * one[i + 1, j + 1])
            for one in table
        ))  # fmt: skip

    def _use(self, pin: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
        time = settings["heating_time_s"]
        energy = annealing_energy(
            end_power_kW=settings["end_power_kW"], heating_time_s=time,
            efficiency=machine.held["generator_efficiency"],
        )  # fmt: skip
        return {
            "machine_time_h": annealing_time(
                pieces=pin["pieces"], heating_time_s=time,
                handling_time_s=machine.rate["handling_time_s"],
                ends_at_once=settings["ends_at_once_count"], machines=machine.many,
            ),
            "electricity_kWh": energy_of_pieces(pieces=pin["pieces"], energy_kJ=energy),
        }  # fmt: skip


_CAUTIONS = (
    Caution(
        "The coil's field disturbs pacemakers and implants and heats rings; the coil carries "
        "current",
        "marked line for people with implants, rings and watches off, cover closed, earth-fault "
        "protection tried before start",
    ),
    Caution(
        "Ends near 700 °C look cold when the glow is gone; oil left on them smokes and burns",
        "pins washed dry before, chute closed until they are cool, tongs, extraction running",
    ),
)
