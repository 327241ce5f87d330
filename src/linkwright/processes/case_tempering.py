"""Tempering of case-hardened chain: as hot as the surface asked for and brittle steel allow.

A hotter temper makes a case that bears more strain, and a softer core. The temper is solved as the
hottest that leaves the surface the hardness of its standard and the works' margin, and stays below
the window of tempered-martensite embrittlement by the works' distance. What it leaves of case and
core stands in the works' own tempering table of the steel, and so does the strain that a case bears.
"""  # noqa: E501

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.materials.embrittlement import distance_outside_window
from linkwright.materials.tempering import (
    hollomon_jaffe,
    hollomon_jaffe_equivalence,
    hollomon_jaffe_temperature,
)
from linkwright.processes.cased_response import CasedResponse, cased_response
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.measured_case import MeasuredCase, Tempered, tempered_case
from linkwright.processes.models.cased_link import case_shape, strain_in_percent, temper_cycle
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.plate_sums import load_hours
from linkwright.processes.tempered_strength import STRENGTH
from linkwright.quantities import CannotPlan
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.requirement import ChainRequirement

_HARDNESS = Factor(
    "factor/case_tempering/hardness",
    1.0,
    0.03,
    "works' own factor on hardness by its tempering table, not yet learned: stated band 3 %, as "
    "two hardness readings of one coupon differ",
    "temper coupons of three loads with the chain and measure case and core of each",
)
_CRACK = Factor(
    "factor/case_tempering/crack_strain",
    1.0,
    0.15,
    "works' own factor on the strain that a case bears, not yet learned: stated band 15 %",
    "bend 5 coupons of a load to the first sound of a crack",
)
_SIZES = ("wire_diameter_mm", "pitch_mm", "outer_width_mm")
_COLDEST_DEGC = 120.0
_WINDOW_DEGC = 250.0
_WINDOW = "ASM Handbook vol. 4 (memory): no temper between 250 and 400 °C, as of one hour"


class CaseTempering(HeatOperation):
    """Temperature solved for the surface; core, crack strain and the link of two metals follow."""

    name = "case_tempering"
    heats = True
    card = (
        "temperature_degC", "temper_time_h", "load_mass_kg", "thermocouples", "coupon",
        "cooling_after_temper",
    )  # fmt: skip
    scatter = (
        Scatter("lot/chain/case_tempering/temperature_degC", 3.0,
                "evenness and control of the furnace: common practice, no source"),
    )  # fmt: skip
    factors = (_HARDNESS, _CRACK, STRENGTH)

    def __init__(
        self,
        surface: ChainRequirement,
        proof: ChainRequirement,
        table: MeasuredCase,
        proving: Machine,
    ) -> None:
        """Hardness and proof force of the standard, the steel's tables, the calibrator."""
        self.surface, self.proof, self.table, self.proving = surface, proof, table, proving

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time and load as held, temperature for the surface; the link with its case."""
        chain = stocks[MAIN]
        time = chosen("temper_time_h", machine, given, check="clock, each load", tolerance=0.1)
        temperature = self._temperature(chain, time.value, machine, factors, given)
        load = chosen("load_mass_kg", machine, given, check="scale, each load", tolerance=20.0)
        settings = (temperature, time, load)
        values = {setting.name: setting.value for setting in settings}
        state = self._tempered(chain, values["temperature_degC"], time.value, factors)
        response = self._response(chain, state, machine, factors)
        return SetUp(settings, {"machine": machine.name, "response": response})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Hardness, strength and crack strain after the temper; what the case does to the link."""
        chain = stocks[MAIN]
        temperature = factors.actual(
            "lot/chain/case_tempering/temperature_degC", settings["temperature_degC"]
        )
        state = self._tempered(chain, temperature, settings["temper_time_h"], factors)
        response: CasedResponse = settings.prepared["response"]
        members = {**_sizes(chain), **state.link(chain)} if factors.draws else None
        fields = response.fields(members)
        condition = {
            "tensile_strength_MPa": state.core_MPa,
            "hardness_HV": state.surface_HV,
            "surface_hardness_HV": state.surface_HV,
            "core_hardness_HV": state.core_HV,
            "tempering_temperature_degC": settings["temperature_degC"],
            "case_crack_strain": state.crack_strain,
            "hardening_exponent": machine.held["hardening_exponent"],
            "yield_offset_strain": machine.held["yield_offset_strain"],
            **fields,
        }
        return Step(
            (
                *self._findings(state, fields, machine),
                *_temper_findings(temperature, settings["temper_time_h"]),
            ),
            chain.changed("chain", condition=condition),
            use=_use(chain, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else {"case": lambda: self._course(chain, settings)},
        )

    def _temperature(
        self, chain: Stock, time_h: Any, machine: Machine, factors: Conditions,
        given: Mapping[str, Any],
    ) -> Setting:  # fmt: skip
        """The hottest temper that the surface, the brittle window and the table allow."""
        margin = machine.held["surface_margin_HV"]
        distance = machine.held["least_window_distance_K"]
        wanted = float(self.surface.least or 0.0) + float(margin)
        low = max(machine.limits("temperature_degC")[0] or 0.0, _COLDEST_DEGC)

        def surface(trial: Any) -> Any:
            return self._tempered(chain, trial, float(time_h), factors).surface_HV

        def solve() -> float:
            window = float(hollomon_jaffe_equivalence(
                temperature_degC=_WINDOW_DEGC - float(distance), time_h=1.0,
                new_time_h=float(time_h),
            ))  # fmt: skip
            high = min(self.table.hottest_degC, window,
                       machine.limits("temperature_degC")[1] or window)  # fmt: skip
            trials = np.linspace(low, max(high, low), 400)
            hard = np.asarray(surface(trials), float)
            if hard[0] < wanted:
                raise CannotPlan(
                    f"{machine.name!r} cannot leave the surface {wanted:.0f} HV: at {low:.0f} °C "
                    f"it has {hard[0]:.0f} HV already; accepted: more carbon at the surface"
                )
            if hard[-1] >= wanted:
                return float(trials[-1])
            return float(np.interp(-wanted, -hard, trials))

        inputs = {
            "least_surface_hardness_HV": self.surface.least, "margin_HV": margin,
            "window_distance_K": distance, "temper_time_h": time_h,
            "quenched_surface_HV": chain["surface_hardness_HV"],
            "table_case_hardness_HV": self.table.case_hardness_HV,
        }  # fmt: skip
        return solved_for(
            "temperature_degC",
            f"the hottest that leaves {wanted:.0f} HV and stays below the window of "
            "tempered-martensite embrittlement",
            solve,
            machine,
            given,
            inputs=inputs,
            check="thermocouples in the load, recorded; hardness of two links and a coupon",
            tolerance=5.0,
        )

    def _tempered(
        self, chain: Stock, temperature: Any, time_h: Any, factors: Conditions
    ) -> Tempered:
        return tempered_case(
            chain, self.table, temperature, time_h, factors,
            factors.factor(_HARDNESS.name), factors.factor(_CRACK.name),
        )  # fmt: skip

    def _response(
        self, chain: Stock, state: Tempered, machine: Machine, factors: Conditions
    ) -> CasedResponse:
        """The nominal link with its case, at the force of the calibrator."""
        shape = case_shape(
            depth_mm=chain["profile_depth_mm"],
            hardness_HV=chain["profile_HV"],
            case_depth_mm=chain["case_depth_mm"],
        )
        curve = {
            "hardening_exponent": machine.held["hardening_exponent"],
            "prestrain": machine.held["yield_offset_strain"],
            "friction_coefficient": self.proving.held["friction_coefficient"],
        }
        force = with_margin(
            limit=self.proof.least, margin_percent=self.proving.held["proof_margin_percent"]
        )
        link = {**_sizes(chain), **state.link(chain)}
        return cased_response(link, shape._asdict(), curve, force)

    def _findings(
        self, state: Tempered, fields: Mapping[str, Any], machine: Machine
    ) -> tuple[Finding, ...]:
        held = machine.held
        return (
            Finding("surface_hardness_HV", state.surface_HV, self.surface.least, None,
                    self.surface.source, "after the temper, by the works' table of this steel"),
            Finding("core_hardness_HV", state.core_HV, held["least_core_HV"],
                    held["greatest_core_HV"], "held by the works"),
            Finding("core_tensile_strength_MPa", state.core_MPa,
                    note="ISO 18265 by hardness; the standard as held gives no core strength"),
            Finding("case_crack_strain_percent", strain_in_percent(strain=state.crack_strain),
                    note="by the works' bend tests"),
            Finding("case_force_ratio", fields["case_force_ratio"],
                    note="breaking force over that of a link of the core's metal throughout: a "
                    "case that has cracked bears nothing"),
            Finding("case_set_ratio", fields["case_set_ratio"],
                    note="set at the proof force over that of a link of the core's metal"),
        )  # fmt: skip

    def _course(self, chain: Stock, settings: SetUp) -> dict[str, Any]:
        """Hardness over the depth after the temper, core and surface as found, between by share."""
        with not_recording():
            nominal = Conditions({}, {one.name: one for one in self.factors}, {})
            state = self._tempered(
                chain,
                float(settings["temperature_degC"]),
                float(settings["temper_time_h"]),
                nominal,
            )
        before = np.asarray(chain["profile_HV"], float)
        share = (before - before[-1]) / max(before[0] - before[-1], 1e-9)
        core, surface = float(state.core_HV), float(state.surface_HV)
        return {
            "case_depth_below_mm": np.asarray(chain["profile_depth_mm"], float),
            "case_hardness_HV": core + share * (surface - core),
        }


def _sizes(chain: Stock) -> dict[str, Any]:
    return {name: chain[name] for name in _SIZES}


def _temper_findings(temperature: Any, time_h: Any) -> tuple[Finding, ...]:
    """The temper as one of an hour, against the brittle window."""
    one_hour = hollomon_jaffe_temperature(
        parameter=hollomon_jaffe(temperature_degC=temperature, time_h=time_h)
    )
    return (
        Finding("one_hour_equivalent_degC", one_hour, note="Hollomon and Jaffe, constant 20"),
        Finding(
            "martensite_embrittlement_margin_K",
            distance_outside_window(temperature_degC=one_hour),
            0.0,
            None,
            _WINDOW,
            "distance from the window of tempered-martensite embrittlement",
        ),
    )


def _use(chain: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    hours = load_hours(
        steel_kg=chain["steel_kg"],
        load_mass_kg=settings["load_mass_kg"],
        time_min=temper_cycle(
            heating_time_min=machine.rate["heating_time_min"],
            temper_time_h=settings["temper_time_h"],
        ),
        handling_time_min=machine.rate["handling_time_min"],
        machines=machine.many,
    )
    return use_of_machine(hours, machine)


_CAUTIONS = (
    Caution(
        "Oil left on quenched chain smokes and can take fire in the tempering furnace",
        "chain washed and dried before it goes in, extraction running, no open flame",
    ),
    Caution(
        "A case that was not tempered cracks from a blow, and pieces fly",
        "from quench to temper within the hour; not straightened, dropped or pulled between",
    ),
    Caution("Chain at 250 °C looks cold", "load marked hot; never judge by colour"),
)
