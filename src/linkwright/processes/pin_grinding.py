"""Pins: ground without centres to size; what is left of the case, what the surface bears."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.catalogue import sourced
from linkwright.mechanics.fits import iso286_tolerance
from linkwright.processes.choosing import chosen, computed
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.case_structure import depth_after_grinding
from linkwright.processes.models.centreless_grinding import (
    blank_before_grinding,
    case_before_grinding,
    grinding_burn,
    grinding_hours,
    grinding_passes,
    lobe_stability,
    size_capability,
    wheel_surface_speed,
)
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.processes.models.machining import (
    centreless_grinding_power,
    centreless_through_feed,
)
from linkwright.processes.models.pin_work import pin_mass
from linkwright.processes.of_part import OfPart
from linkwright.route import (
    FOLLOWS,
    MAIN,
    Caution,
    Conditions,
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

_HELD = "held by the works"
_WHEELS = ("wheel_diameter_mm", "regulating_wheel_diameter_mm")


class PinGrinding(OfPart):
    """Through-feed in passes: stock, feed, power, burn, lobes, size, case that is left."""

    name = "pin_grinding"
    part = "pin"
    card = (
        "pin_diameter_mm", "grinding_stock_mm", "passes_count", "reduction_per_pass_mm",
        "regulating_wheel_rpm", "tilt_deg", "feed_m_per_min", "centre_height_mm", "wheel",
        "coolant",
    )  # fmt: skip
    scatter = (
        Scatter("lot/pin/pin_grinding/pin_diameter_mm", 0.0010,
                "setting of the wheel: common practice, no source"),
        Scatter("link/pin/pin_grinding/pin_diameter_mm", 0.0012,
                "pin to pin between two dressings: common practice, no source"),
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A blank thicker by the stock, with a case deeper by half of it."""
        stock = self._stock(wanted["pin_diameter_mm"], machine, {})
        return {
            MAIN: {
                "diameter_mm": blank_before_grinding(
                    pin_diameter_mm=wanted["pin_diameter_mm"], grinding_stock_mm=stock
                ),
                "pin_length_mm": wanted["pin_length_mm"],
                "case_depth_mm": case_before_grinding(
                    case_depth_mm=wanted["case_depth_mm"], grinding_stock_mm=stock
                ),
            }
        }

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The pin ground to the size wanted."""
        return stocks[MAIN].changed(
            "pin",
            shape={"pin_diameter_mm": wanted["pin_diameter_mm"]},
            amount={"piece_mass_kg": self._mass(stocks[MAIN], wanted["pin_diameter_mm"])},
        )

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Stock into passes, feed by wheel speed and tilt, height of the middle by the diameter."""
        size = computed(
            "pin_diameter_mm", "the pin that bushing and plate want",
            lambda: wanted["pin_diameter_mm"], machine, given,
            check="air gauge, every tenth pin", tolerance=0.005,
        )  # fmt: skip
        stock = self._stock(size.value, machine, given)
        passes = grinding_passes(
            grinding_stock_mm=stock,
            greatest_reduction_mm=machine.held["greatest_reduction_mm"],
        )
        turning = chosen("regulating_wheel_rpm", machine, given, check="display", share=0.05)
        tilt = chosen("tilt_deg", machine, given, check="scale of the head", tolerance=0.1)
        feed = centreless_through_feed(
            regulating_wheel_diameter_mm=machine.held["regulating_wheel_diameter_mm"],
            regulating_wheel_rpm=turning.value,
            tilt_deg=tilt.value,
        )
        height = computed(
            "centre_height_mm", "a share of the diameter, so that lobes die out",
            lambda: sized_by_wire(
                wire_diameter_mm=size.value, ratio=machine.held["centre_height_over_pin_ratio"]
            ),
            machine, given, check="height gauge on a pin, at set-up", share=0.05,
        )  # fmt: skip
        settings = (
            size,
            Setting("grinding_stock_mm", stock, FOLLOWS, "the blank as hardened", tolerance=0.02,
                    check="micrometer on five blanks, each load"),
            Setting("passes_count", passes.passes_count, FOLLOWS, tolerance=0.0,
                    check="route card"),
            Setting("reduction_per_pass_mm", passes.reduction_per_pass_mm, FOLLOWS,
                    tolerance=0.005, check="micrometer between passes"),
            turning, tilt,
            Setting("feed_m_per_min", feed, FOLLOWS, "speed and tilt of the regulating wheel",
                    tolerance=0.1, check="pins a minute, counted"),
            height,
        )  # fmt: skip
        return SetUp(settings, {"wanted": dict(wanted), "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Size with its scatter, power and burn, shape, case that is left; hours."""
        pin = stocks[MAIN]
        size = settings["pin_diameter_mm"]
        for level in ("lot", "link"):
            size = self.actual(factors, level, "pin_diameter_mm", size)
        depth = depth_after_grinding(
            case_depth_mm=pin["case_depth_mm"],
            diameter_reduction_mm=settings["grinding_stock_mm"],
        )
        wanted = settings.prepared["wanted"]
        return Step(
            (
                Finding("pin_diameter_mm", size),
                Finding("case_left_mm", depth, with_margin(
                    limit=wanted["case_depth_mm"],
                    margin_percent=machine.held["least_case_margin_percent"]), None,
                    f"{_HELD}: about the depth wanted"),
                *self._wheel(pin, settings, machine),
                *self._shape(settings, machine),
                self._capability(settings, machine, factors),
            ),
            pin.changed("pin", shape={"pin_diameter_mm": size}, condition={"case_depth_mm": depth},
                        amount={"piece_mass_kg": self._mass(pin, size)}),
            use=self._use(pin, settings, machine),
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _mass(self, pin: Stock, diameter_mm: Any) -> Any:
        return pin_mass(diameter_mm=diameter_mm, length_mm=pin["pin_length_mm"])

    def _stock(self, diameter_mm: Any, machine: Machine, given: Mapping[str, Any]) -> Any:
        """On the diameter: given, or the works' own with its share of the pin."""
        if "grinding_stock_mm" in given:
            return given["grinding_stock_mm"]
        return sized_by_wire(
            wire_diameter_mm=diameter_mm, ratio=machine.held["grinding_stock_over_pin_ratio"]
        )

    def _wheel(self, pin: Stock, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
        """Power of a pass and the energy at which the surface burns."""
        held = machine.held
        energy = held["specific_energy_J_per_mm3"]
        ground = centreless_grinding_power(
            diameter_mm=settings["pin_diameter_mm"],
            diameter_reduction_mm=settings["reduction_per_pass_mm"],
            feed_m_per_min=settings["feed_m_per_min"],
            specific_energy_J_per_mm3=energy,
        )
        burn = grinding_burn(
            pin_diameter_mm=settings["pin_diameter_mm"],
            wheel_diameter_mm=held["wheel_diameter_mm"],
            wheel_width_mm=held["wheel_width_mm"],
            reduction_per_pass_mm=settings["reduction_per_pass_mm"],
            feed_m_per_min=settings["feed_m_per_min"],
            pin_speed_m_per_min=wheel_surface_speed(
                wheel_diameter_mm=held["regulating_wheel_diameter_mm"],
                wheel_rpm=settings["regulating_wheel_rpm"],
            ),
        )
        return (
            Finding("removal_rate_mm3_per_s", ground.removal_rate_mm3_per_s),
            Finding("grinding_power_kW", ground.power_kW, None, held["wheel_power_kW"],
                    f"drive of {machine.name}"),
            Finding("specific_energy_J_per_mm3", energy, None, burn.burning_energy_J_per_mm3,
                    "burning of plain carbon steel, Malkin, remembered; nital etching decides"),
        )  # fmt: skip

    def _shape(self, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
        found = lobe_stability(
            pin_diameter_mm=settings["pin_diameter_mm"],
            centre_height_mm=settings["centre_height_mm"],
            blade_angle_deg=machine.held["blade_angle_deg"],
            **{name: machine.held[name] for name in _WHEELS},
        )
        return (
            Finding("lobe_stability_factor", found.least_stability,
                    machine.held["least_stability_factor"], None,
                    f"{_HELD}: 2 to 12 lobes die out by geometry",
                    f"least at {float(found.worst_lobes_count):.0f} lobes"),
            Finding("tangent_angle_deg", found.tangent_angle_deg),
        )  # fmt: skip

    def _capability(self, settings: SetUp, machine: Machine, factors: Conditions) -> Finding:
        name = f"link/{self.part}/{self.name}/pin_diameter_mm"
        known = factors.scatter.get(name, self.scatter[1])
        found = size_capability(
            tolerance_um=iso286_tolerance(
                nominal_mm=settings["pin_diameter_mm"], grade=machine.held["tolerance_grade_number"]
            ),
            deviation_mm=sourced(name, known.sd, "default", known.source),
        )
        return Finding("size_capability_ratio", found, machine.held["least_capability_ratio"],
                       None, f"{_HELD}: tolerance over six deviations")  # fmt: skip

    def _use(self, pin: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
        hours = grinding_hours(
            pieces=pin["pieces"],
            pin_length_mm=pin["pin_length_mm"],
            feed_m_per_min=settings["feed_m_per_min"],
            passes=settings["passes_count"],
            machines=machine.many,
        )
        return use_of_machine(hours, machine)


_CAUTIONS = (
    Caution(
        "A grinding wheel that bursts kills; sparks and mist burn eyes and lungs",
        "wheel rung and run up behind its closed hood before use, speed below its mark, exhaust "
        "running, eye protection",
    ),
)
