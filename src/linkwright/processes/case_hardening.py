"""Case hardening of pins, bushings and rollers: carburised in gas, quenched in oil, tempered low.

Times of boost and diffusion and the second potential are solved for the depth of the case; the
low temper belongs to the same line and changes no size. One kind of furnace serves all parts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, ClassVar

from linkwright.catalogue import not_recording, sourced
from linkwright.materials.austenite_decomposition import austenitising_parameter
from linkwright.materials.diffusion import alloy_carbon_factor
from linkwright.processes.austenitised import martensite_start
from linkwright.processes.case_findings import (
    BATH,
    CASE_CAUTIONS,
    Limits,
    about_the_depth,
    case_findings,
    case_use,
    section_of,
)
from linkwright.processes.case_members import CaseTable, case_table, element_steps
from linkwright.processes.choosing import by_wire, chosen, held_of, solved_for
from linkwright.processes.hardening_growth import before_growth, grown
from linkwright.processes.models.carburising import carburising_programme
from linkwright.processes.models.case_hardening import (
    HardenedCase,
    case_course,
    cooled_thickness,
    hardened_case,
)
from linkwright.processes.models.case_structure import case_carbon
from linkwright.processes.models.plate_quench import (
    thin_air_cooling,
    thin_oil_cooling,
)
from linkwright.processes.models.plate_sums import yield_of_strength
from linkwright.processes.of_part import OfPart
from linkwright.processes.tempered_strength import STRENGTH, strength_of
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.route import (
    HELD,
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

_SIZES = {
    "pin": ("diameter_mm", "pin_length_mm"),
    "bushing": ("bushing_outside_mm", "bushing_bore_mm", "bushing_wall_mm", "bushing_length_mm"),
    "roller": ("roller_outside_mm", "roller_bore_mm", "roller_wall_mm", "roller_length_mm"),
    "chain": ("wire_diameter_mm", "pitch_mm", "outer_width_mm"),
}
_GROWS = ("diameter_mm", "outside_mm", "bore_mm", "pitch_mm", "width_mm")
_OIL = ("film_W_per_m2K", "boiling_W_per_m2K", "film_end_degC", "boiling_end_degC", "wetted_share")
_PROGRAMME = ("boost_time_h", "diffuse_time_h", "diffuse_potential_percent")
_ALLOY = ("Mn", "Si", "Ni", "Cr", "Mo")
_LOW_TEMPER = (
    ("temper_temperature_degC", "thermocouple, recorded", 5.0),
    ("temper_time_min", "clock, each load", 5.0),
)
_TEMPER = ("temper_temperature_degC", "temper_time_min")
_NO_PASTE, _ROUTE = "none: the ends are annealed afterwards", "against the route card"


class CaseHardening(OfPart):
    """Gas, oil and low temper for one kind of part; the programme is solved for its case."""

    name = "case_hardening"
    part = "pin"
    heats = True
    tempers: ClassVar[bool] = True
    """Whether the low temper belongs to the line."""
    card: ClassVar[tuple[str, ...]] = (
        "temperature_degC", "boost_potential_percent", "boost_time_h",
        "diffuse_potential_percent", "diffuse_time_h", "hold_temperature_degC", "hold_time_min",
        "bath_temperature_degC", "time_in_bath_s", "temper_temperature_degC", "temper_time_min",
        "load_mass_kg", "end_protection", "water_in_oil_test", "purging",
    )  # fmt: skip
    scatter: tuple[Scatter, ...] = (
        Scatter("lot/pin/case_hardening/temperature_degC", 4.0,
                "evenness and control of the furnace: common practice, no source"),
        Scatter("lot/pin/case_hardening/boost_potential_percent", 0.02,
                "control of the gas: common practice, no source"),
        Scatter("link/pin/case_hardening/case_depth_mm", 0.03,
                "place in the load, 3 %: common practice, no source", relative=True),
    )  # fmt: skip
    factors: ClassVar[tuple[Factor, ...]] = (BATH, STRENGTH)
    bath: ClassVar[Factor] = BATH
    """Factor on the coefficients of the quench."""
    moved: ClassVar[Mapping[str, float]] = MappingProxyType(
        {"temperature_degC": 4.0, "boost_potential_percent": 0.02}
    )
    """Settings that scatter from lot to lot, each with the step for its slope."""
    cautions: ClassVar[tuple[Caution, ...]] = CASE_CAUTIONS

    def __init__(self, part: str = "", *, annealed: bool = False) -> None:
        """``annealed``: the ends are not kept from the case but softened afterwards."""
        super().__init__(part)
        self.annealed = annealed

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The part smaller by what hardening adds to its diameters."""
        sizes = {name: wanted[name] for name in _SIZES[self.part] if name in wanted}
        return {MAIN: {**sizes, **before_growth(sizes, self._growing(), machine)}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The part, grown, with the case wanted until the real one is known."""
        met = {"yield_strength_MPa": machine.held["usual_yield_strength_MPa"],
               "case_depth_mm": wanted["case_depth_mm"]}  # fmt: skip
        return self._grown(stocks[MAIN], machine).changed(self.part, condition=met)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Furnace, gas and bath as held; times and second potential for the depth wanted."""
        part = stocks[MAIN]
        held = self._held_settings(part, wanted, machine, given)
        fixed = self._made({setting.name: setting.value for setting in held}, factors)
        usual = sourced("coefficient_factor", 1.0, "default", "programme solved at the usual bath")
        rate = self._rate(part, fixed, machine, usual)
        programme = self._programme(part, wanted, fixed, rate, machine, given)
        settings = (*held[:2], *programme, *held[2:])
        if self.annealed:
            settings = (*settings, Setting("end_protection", _NO_PASTE, HELD, check=_ROUTE))
        made = self._made({setting.name: setting.value for setting in settings}, factors)
        with not_recording():
            table = self._table(part, made, machine)
        nominal = {name: float(part[name]) for name in element_steps(part)}
        prepared = {"table": table, "nominal": {**made, **nominal},
                    "wanted": wanted["case_depth_mm"], "machine": machine.name,
                    "martensite_start_degC": martensite_start(part)}  # fmt: skip
        return SetUp(settings, prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Case, surface and core as the gas and the bath leave them."""
        part, made = stocks[MAIN], self._made({name: settings[name] for name in settings}, factors)
        start = settings.prepared["martensite_start_degC"]
        rate = self._rate(part, made, machine, factors.factor(self.bath.name), start)
        profile: Mapping[str, Any] = {}
        if factors.draws:
            case = self._members(part, made, settings, factors)
        else:
            arguments = self._arguments(part, made, rate, machine)
            case, profile = hardened_case(**arguments), self._profile(arguments)
        depth = self.actual(factors, "link", "case_depth_mm", case.case_depth_mm)
        strength = strength_of(case.core_hardness_HV, factors)
        condition = {
            **profile,
            "case_depth_mm": depth,
            "surface_hardness_HV": case.surface_hardness_HV,
            "core_hardness_HV": case.core_hardness_HV,
            "tensile_strength_MPa": strength,
            "yield_strength_MPa": yield_of_strength(
                tensile_strength_MPa=strength, yield_ratio=machine.held["yield_ratio"]
            ),
        }
        if self.annealed:
            condition["surface_carbon_percent"] = case.surface_carbon_percent
            condition |= {name: settings[name] for name in _TEMPER}
        return Step(
            (*case_findings(self.part, case, depth, strength, part, settings, rate, machine,
                            self._depth_limits(settings, machine)),
             *self._own_findings(case, settings, machine)),
            self._grown(part, machine).changed(self.part, condition=condition),
            use={**case_use(part, settings, machine), **self._own_use(part, settings, machine)},
            cautions=self.cautions,
            curves={} if factors.draws else {"case": lambda: case_course(arguments)},
        )  # fmt: skip

    def _made(self, settings: Mapping[str, Any], factors: Conditions) -> dict[str, Any]:
        """What the gas does as numbers: the settings, and factors of the model beside them."""
        return dict(settings)

    def _beside_carbon(self, made: Mapping[str, Any], machine: Machine) -> dict[str, Any]:
        """What goes in beside carbon, as arguments of programme and case."""
        return {}

    def _own_findings(
        self, case: HardenedCase, settings: SetUp, machine: Machine
    ) -> tuple[Finding, ...]:
        """Findings of this medium beyond those of every case."""
        return ()

    def _own_use(self, part: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
        """What this medium uses beyond furnace hours."""
        return {}

    def _depth_limits(self, settings: SetUp, machine: Machine) -> Limits:
        return about_the_depth(settings.prepared["wanted"], machine)

    def _profile(self, arguments: Mapping[str, Any]) -> Mapping[str, Any]:
        """What is handed on of the course over the depth; nothing for small parts."""
        return {}

    def _growing(self) -> tuple[str, ...]:
        return tuple(name for name in _SIZES[self.part] if name.endswith(_GROWS))

    def _grown(self, part: Stock, machine: Machine) -> Stock:
        return grown(part, self._growing(), machine)

    def _held_settings(
        self, part: Stock, wanted: Wanted, machine: Machine, given: Mapping[str, Any]
    ) -> tuple[Setting, ...]:
        outside, bore = section_of(self.part, part)
        half = cooled_thickness(section_mm=outside, bore_mm=bore)

        def one(name: str, check: str, off: float) -> Setting:
            return chosen(name, machine, given, check=check, tolerance=off)

        return (
            self._temperature(wanted, machine, given),
            one("boost_potential_percent", "oxygen probe; foil, each shift", 0.03),
            one("hold_temperature_degC", "thermocouples, recorded", 10.0),
            by_wire("hold_time_min", half, machine, given, check="clock of the line",
                    tolerance=2.0, to="half section"),
            one("bath_temperature_degC", "thermometer, each hour", 5.0),
            one("transfer_time_s", "stop watch, door to oil", 0.5),
            one("time_in_bath_s", "timer, each load", 30.0),
            *(one(*row) for row in _LOW_TEMPER if self.tempers),
            one("load_mass_kg", "scale, each load", 20.0),
        )  # fmt: skip

    def _temperature(self, wanted: Wanted, machine: Machine, given: Mapping[str, Any]) -> Setting:
        """As held; lower for a thin case, which would else be done within minutes."""
        held, name, check = machine.held, "temperature_degC", "thermocouples, recorded"
        thin = held.get("thin_case_mm", 0.0)
        if name in given or float(wanted["case_depth_mm"]) >= float(thin):
            return chosen(name, machine, given, check=check, tolerance=10.0)
        low, high = machine.limits(name)
        value = held["thin_temperature_degC"]
        return Setting(name, value, HELD, "a thin case", low, high, 10.0, check)

    def _rate(
        self, part: Stock, made: Mapping[str, Any], machine: Machine, factor: Any, start: Any = None
    ) -> Any:
        """Cooling rate at 700 °C, of a plate that cools as fast; ``start``: Ms, one for all."""
        outside, bore = section_of(self.part, part)
        thickness = cooled_thickness(section_mm=outside, bore_mm=bore)
        entry = thin_air_cooling(
            start_temperature_degC=made["hold_temperature_degC"],
            plate_thickness_mm=thickness,
            time_s=made["transfer_time_s"],
        )
        return thin_oil_cooling(
            plate_thickness_mm=thickness,
            entry_temperature_degC=entry,
            bath_temperature_degC=made["bath_temperature_degC"],
            time_in_bath_s=made["time_in_bath_s"],
            convection_W_per_m2K=machine.held["oil_convection_W_per_m2K"],
            coefficient_factor=factor,
            martensite_start_degC=martensite_start(part) if start is None else start,
            **{name: machine.held[name] for name in _OIL},
        ).cooling_rate_K_per_s

    def _programme(
        self,
        part: Stock,
        wanted: Wanted,
        fixed: Mapping[str, Any],
        rate: Any,
        machine: Machine,
        given: Mapping[str, Any],
    ) -> tuple[Setting, ...]:
        """Boost, diffusion and the second potential; what the order gives stays."""
        outside, bore = section_of(self.part, part)
        inputs = {
            "depth_mm": wanted["case_depth_mm"], "section_mm": outside, "bore_mm": bore,
            "C_percent": part["C_percent"], "surface_carbon_percent":
            machine.held["surface_carbon_percent"],
            "alloy_factor": alloy_carbon_factor(**part.elements(*_ALLOY)),
            "limit_HV": machine.held["limit_HV"], "cooling_rate_K_per_s": rate,
            **{name: fixed[name] for name in ("temperature_degC", "boost_potential_percent",
                                              "hold_temperature_degC", "hold_time_min")},
            **held_of(machine, "bore_share", "boost_share", "transfer_m_per_s"),
            **self._beside_carbon(fixed, machine),
        }  # fmt: skip
        with not_recording():
            try:
                found = self._solved(part, inputs, fixed, machine)._asdict()
            except ArgumentError as error:
                raise CannotPlan(
                    f"{machine.name!r} cannot give the {self.part} its case of "
                    f"{float(wanted['case_depth_mm']):.2f} mm: {error}"
                ) from None
        checks = ("clock of the line", "clock of the line", "oxygen probe; foil, each shift")

        def value(name: str) -> Callable[[], float]:
            return lambda: float(found[name])

        return tuple(
            solved_for(
                name, "the case wanted and the carbon of the surface", value(name),
                machine, given, inputs=inputs, check=check, share=0.05,
            )
            for name, check in zip(_PROGRAMME, checks, strict=True)
        )  # fmt: skip

    def _solved(
        self, part: Stock, inputs: Mapping[str, Any], fixed: Mapping[str, Any], machine: Machine
    ) -> Any:
        """The programme that brings the carbon which hardens to the limit to the depth wanted."""
        plain: dict[str, Any] = {name: float(value) for name, value in inputs.items()}
        kept = {**part.elements(*_ALLOY), **held_of(machine, "temper_share")}
        carbon = case_carbon(
            limit_HV=plain.pop("limit_HV"),
            cooling_rate_K_per_s=plain.pop("cooling_rate_K_per_s"),
            parameter_degC=float(self._parameter(fixed, _USUAL_H)),
            core_carbon_percent=plain["C_percent"],
            bath_temperature_degC=float(fixed["bath_temperature_degC"]),
            **{name: float(value) for name, value in kept.items()},
        )
        return carburising_programme(carbon_at_depth_percent=carbon, **plain)

    def _parameter(self, made: Mapping[str, Any], hours: Any) -> Any:
        return austenitising_parameter(
            temperature_degC=made["temperature_degC"], time_h=hours
        ).parameter_degC

    def _arguments(
        self, part: Stock, made: Mapping[str, Any], rate: Any, machine: Machine
    ) -> dict[str, Any]:
        """All that decides about the case."""
        outside, bore = section_of(self.part, part)
        return {
            "section_mm": outside, "bore_mm": bore, "C_percent": part["C_percent"],
            **part.elements(*_ALLOY),
            **{name: made[name] for name in (
                *_PROGRAMME, "temperature_degC", "boost_potential_percent",
                "hold_temperature_degC", "hold_time_min", "bath_temperature_degC")},
            "cooling_rate_K_per_s": rate,
            "parameter_degC": self._parameter(made, made["boost_time_h"]),
            "alloy_factor": alloy_carbon_factor(**part.elements(*_ALLOY)),
            **held_of(machine, "bore_share", "transfer_m_per_s", "temper_share", "limit_HV"),
            **self._beside_carbon(made, machine),
        }  # fmt: skip

    def _table(self, part: Stock, made: Mapping[str, Any], machine: Machine) -> CaseTable:
        """The case over the bath's factor with its slopes: furnace, gas, analysis of the heat."""
        elements, start = element_steps(part), martensite_start(part)

        def case_at(moves: Mapping[str, Any], bath: Any) -> HardenedCase:
            steel = {name: float(part[name]) + moves[name] for name in elements}
            metal = part.changed(condition=steel)
            moved = {**made, **{name: float(made[name]) + moves[name] for name in self.moved}}
            rate = self._rate(metal, moved, machine, bath, start)
            return hardened_case(**self._arguments(metal, moved, rate, machine))

        return case_table(case_at, {**self.moved, **elements})

    def _members(
        self, part: Stock, made: Mapping[str, Any], settings: SetUp, factors: Conditions
    ) -> HardenedCase:
        """The case of each member: by its bath, furnace, gas and heat."""
        table, nominal = settings.prepared["table"], settings.prepared["nominal"]
        scattering = {one.name.rpartition("/")[2] for one in self.scatter}
        moves = {
            name: self.actual(factors, "lot", name, 0.0)
            if name in scattering
            else (part[name] if name in part else made[name]) - nominal[name]
            for name in table.sources
        }
        found: HardenedCase = table.at(moves, factors.factor(self.bath.name))
        return found


_USUAL_H = 1.0
