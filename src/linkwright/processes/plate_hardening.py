"""Hardening of link plates: a heap soaks on a belt and falls, plate by plate, into slow oil."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.materials.transformation import ouchi_ar3
from linkwright.processes.austenitised import (
    austenite,
    austenite_findings,
    furnace_soaked,
    martensite_start,
    quenched_condition,
    structure_after,
)
from linkwright.processes.choosing import by_wire, chosen, held_by_wire, held_of
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    charge_findings,
    charge_use,
    time_settings,
)
from linkwright.processes.hardening_growth import before_growth, grown
from linkwright.processes.models.furnace import quench_bath_rise
from linkwright.processes.models.oil import viscosity_at_temperature
from linkwright.processes.models.plate_bed import bed_course, bed_heating
from linkwright.processes.models.plate_quench import (
    flash_point_margin,
    thin_air_cooling,
    thin_oil_cooling,
)
from linkwright.processes.models.plate_shape import bow_of_strain, flatness_after_quench
from linkwright.processes.of_part import OfPart
from linkwright.processes.plate_charge import (
    PlateOperation,
    bed_arguments,
    bed_depth_setting,
)
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

_GROWING = ("hole_spacing_mm", "hole_diameter_mm")
_GROWN = (*_GROWING, "lot_hole_spacing_mm")
_OIL = ("film_W_per_m2K", "boiling_W_per_m2K", "film_end_degC", "boiling_end_degC", "wetted_share")
_HELD = "held by the works"
_BATH = Factor(
    "factor/plate_hardening/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the bath's coefficients, not yet learned: stated band 30 %",
    "quench a plate with a thermocouple in its hole, alone and within a charge, three times each",
)


class PlateHardening(OfPart, PlateOperation):
    """Temperature and soak held, time solved for the heap; size before growth asked backwards."""

    name = "plate_hardening"
    heats = True
    card = (
        "temperature_degC", "soak_time_min", "time_in_furnace_min", "charge_kg", "bed_depth_mm",
        "bath_temperature_degC", "transfer_time_s", "time_in_bath_s", "bath_agitation",
        "water_in_oil_test", "atmosphere",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/plate/plate_hardening/temperature_degC",
            5.0,
            "evenness and control of the furnace: common practice, no source",
        ),
        Scatter(
            "lot/plate/plate_hardening/bath_temperature_degC",
            4.0,
            "bath over a shift: common practice, no source",
        ),
        Scatter(
            "lot/plate/plate_hardening/quench_bow_mm",
            0.25,
            "how plates lie in the heap and fall into the oil: common practice, no source",
            relative=True,
        ),
    )
    factors = (_BATH,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Holes nearer together by what hardening adds to their spacing."""
        sizes = super().ask(wanted, near, machine, factors)[MAIN]
        return {MAIN: {**sizes, **before_growth(sizes, _GROWING, machine)}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The plate, grown and bowed."""
        return _shaped(stocks[MAIN], _quench_bow(stocks[MAIN], machine), machine)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature, soak and bath as held; time in the furnace for the soak of the inside."""
        aim = chosen(
            "temperature_degC", machine, given, check="thermocouple of each zone, recorded",
            tolerance=10.0,
        )  # fmt: skip
        heap = bed_arguments(stocks[MAIN], machine)
        times = time_settings(bed_heating, aim.value, heap, machine, given)
        bath = (
            chosen("bath_temperature_degC", machine, given, check="thermometer, each hour",
                   tolerance=5.0),
            chosen("transfer_time_s", machine, given, check="stop watch, end of belt to oil",
                   tolerance=0.5),
            by_wire("time_in_bath_s", stocks[MAIN]["plate_thickness_mm"], machine, given,
                    check="speed of the bath's conveyor", tolerance=10.0, to="thickness"),
        )  # fmt: skip
        start = martensite_start(stocks[MAIN])
        settings: tuple[Setting, ...] = (aim, *times, bed_depth_setting(machine), *bath)
        return SetUp(settings, {"machine": machine.name, "martensite_start_degC": start})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Austenite inside the heap, cooling in oil, structure, and what the bath takes up."""
        plate = stocks[MAIN]
        heap = {
            "furnace_temperature_degC": self.actual(
                factors, "lot", "temperature_degC", settings["temperature_degC"]
            ),
            "time_in_furnace_min": settings["time_in_furnace_min"],
            **bed_arguments(plate, machine),
        }
        heated = bed_heating(**heap)
        entry, cooled = self._cooled(plate, heated, settings, machine, factors)
        made = structure_after(plate, furnace_soaked(heated), cooled.cooling_rate_K_per_s)
        quench_bow = self.actual(factors, "lot", "quench_bow_mm", _quench_bow(plate, machine))
        stock = _shaped(plate, quench_bow, machine).changed(condition=quenched_condition(made))
        return Step(
            (
                *austenite_findings(
                    plate, heated.coldest_temperature_degC, heated.hottest_temperature_degC,
                    heated.austenitising_time_s, machine,
                ),
                *charge_findings(heated, settings["temperature_degC"], settings, machine),
                *_quench_findings(entry, cooled, made, plate, machine),
                *_bath_findings(cooled, settings, machine),
                Finding("quench_bow_mm", quench_bow, note="by the quench alone"),
                Finding(
                    "flatness_mm", stock["flatness_mm"], None,
                    held_by_wire("greatest_flatness_mm", plate["plate_length_mm"], machine),
                    f"{_HELD}: out of flatness over the length of a plate",
                    "bow of blanking and of the quench",
                ),
            ),
            stock,
            use=charge_use(plate, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else heap_curves(heap),
        )  # fmt: skip

    def _cooled(
        self, plate: Stock, heated: Any, settings: SetUp, machine: Machine, factors: Conditions
    ) -> tuple[Any, Any]:
        """Temperature where the oil begins, and the course in it."""
        entry = thin_air_cooling(
            start_temperature_degC=heated.coldest_temperature_degC,
            plate_thickness_mm=plate["plate_thickness_mm"],
            time_s=settings["transfer_time_s"],
        )
        cooled = thin_oil_cooling(
            plate_thickness_mm=plate["plate_thickness_mm"],
            entry_temperature_degC=entry,
            bath_temperature_degC=self.actual(
                factors,
                "lot",
                "bath_temperature_degC",
                settings["bath_temperature_degC"],
                least=5.0,
            ),
            time_in_bath_s=settings["time_in_bath_s"],
            convection_W_per_m2K=machine.held["oil_convection_W_per_m2K"],
            coefficient_factor=factors.factor(_BATH.name),
            martensite_start_degC=settings.prepared["martensite_start_degC"],
            **{name: machine.held[name] for name in _OIL},
        )
        return entry, cooled


def heap_curves(heap: Mapping[str, Any]) -> dict[str, Any]:
    """Temperatures of outside and inside of the heap, for a picture."""
    names = {name: float(value) for name, value in heap.items() if name != "soak_band_K"}
    return dict(bed_course(**names))


def _shaped(plate: Stock, quench_bow_mm: Any, machine: Machine) -> Stock:
    """Grown by hardening, and out of flat by blanking and the quench."""
    flatness = flatness_after_quench(
        blanked_bow_mm=plate["blanked_bow_mm"], quench_bow_mm=quench_bow_mm
    )
    return grown(plate, _GROWN, machine).changed(shape={"flatness_mm": flatness})


def _quench_bow(plate: Stock, machine: Machine) -> Any:
    """Bow of a plate that is flat before the bath, by the strain that the works has measured."""
    return bow_of_strain(
        face_strain_percent=machine.held["quench_strain_percent"],
        plate_length_mm=plate["plate_length_mm"],
        plate_thickness_mm=plate["plate_thickness_mm"],
    )


def _quench_findings(
    entry: Any, cooled: Any, made: Any, plate: Stock, machine: Machine
) -> tuple[Finding, ...]:
    """Course in the oil, structure, hardness as quenched."""
    return (
        Finding("oil_entry_temperature_degC", entry,
                ouchi_ar3(**austenite(plate, "C", "Mn", "Ni", "Cr", "Mo", "Cu")), None,
                "Ar3 of the analysis, Ouchi 1982: below it ferrite forms before the oil"),
        Finding("cooling_rate_K_per_s", cooled.cooling_rate_K_per_s, note="at 700 °C"),
        Finding("time_800_500_s", cooled.time_800_500_s),
        Finding("section_biot", cooled.biot,
                note="above 0.1 the middle lags behind the faces; the model takes a plate as even"),
        Finding(
            "martensite_fraction", made.shares.martensite_fraction,
            machine.held["least_martensite_fraction"], None, _HELD,
        ),
        Finding("quenched_hardness_HV", made.mixed_HV, machine.held["least_quenched_HV"], None,
                _HELD),
        Finding("martensite_start_degC", martensite_start(plate), note="Andrews 1965"),
        Finding(
            "bath_exit_temperature_degC", cooled.bath_exit_temperature_degC, None,
            machine.held["greatest_exit_temperature_degC"], f"{_HELD} against fire at the exit",
        ),
    )  # fmt: skip


def _bath_findings(cooled: Any, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    """Warming of the bath, its flash point, its viscosity."""
    held = machine.held
    rise = quench_bath_rise(
        charge_kg=held["quench_load_kg"],
        heat_released_kJ_per_kg=cooled.heat_to_bath_kJ_per_kg,
        oil_kg=held["oil_kg"],
        **held_of(machine, "oil_specific_heat_kJ_kgK"),
    )
    margin = flash_point_margin(
        bath_temperature_degC=settings["bath_temperature_degC"],
        temperature_rise_K=rise,
        flash_point_degC=held["flash_point_degC"],
    )
    viscosity = viscosity_at_temperature(
        viscosity_40degC_mm2_per_s=held["viscosity_40degC_mm2_per_s"],
        viscosity_100degC_mm2_per_s=held["viscosity_100degC_mm2_per_s"],
        temperature_degC=settings["bath_temperature_degC"],
    )
    return (
        Finding("bath_temperature_rise_K", rise, None, held["greatest_bath_rise_K"],
                f"{_HELD}: one load without cooling"),
        Finding("flash_point_margin_K", margin.flash_point_margin_K,
                held["least_flash_point_margin_K"], None,
                f"{_HELD}; the oil maker's data and the local fire code come first"),
        Finding("oil_viscosity_mm2_per_s", viscosity, None,
                held["greatest_oil_viscosity_mm2_per_s"],
                f"{_HELD}: thicker oil wets slowly and is dragged out"),
    )  # fmt: skip


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution(
        "Quenching oil near its flash point, or a charge that hangs half in it, burns",
        "temperature guard and cooler tried each shift, hoist proved before the charge, lid and "
        "extinguishing gas ready; no water on burning oil",
    ),
    Caution(
        "Water in quenching oil boils over when a charge goes in; a hundredth part is enough",
        "oil tested for water each week and after each stop, no water-cooled part above the bath",
    ),
)
