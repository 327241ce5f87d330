"""Roller extrusion: slugs sheared from wire are upset, extruded to cups, pierced and faced.

The works' answer for rollers whose wall is thick: they have no seam. Slug, die, punch and web are
solved for the roller wanted; the web and the rim are scrap.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import computed, held_of
from linkwright.processes.extrusion_findings import (
    extrusion_findings,
    piece_findings,
    station_findings,
)
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.cup_extrusion import cup_extrusion_dipper, upsetting_siebel
from linkwright.processes.models.plate_sums import mass_of_plates, press_time
from linkwright.processes.models.roller_slug import (
    RollerSlug,
    cup_sizes,
    extruded_mass,
    faced_length,
    ring_volume,
    roller_slug,
    size_of_tool,
    slug_length,
    slug_volume,
    slug_wire,
    slugs_mass,
    tool_for_size,
)
from linkwright.processes.models.shearing import punching_force, round_wire_shear_force
from linkwright.processes.models.use import fed_strokes
from linkwright.processes.of_part import OfPart
from linkwright.processes.soft_metal import soft_curve
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.roller_part_rules import bushing_wall

_WEAR = "wear of die and punch between two changes: common practice, no source"
_FEED = "play of the feed stop: common practice, no source"
_COIL = "coil to coil: common practice, no source"


class _Stations(NamedTuple):
    """What the stations do to a slug of each member."""

    die_mm: Any
    punch_mm: Any
    slug_mm3: Any
    cropping_kN: Any
    upset: Any
    cup: Any
    sizes: Any
    piercing_kN: Any


class RollerExtrusion(OfPart):
    """Crop, upset, extrude a cup backward, pierce its web, face its rim."""

    name = "roller_extrusion"
    part = "roller"
    asked = ("roller_outside_mm", "roller_bore_mm", "roller_length_mm")
    """Sizes that it is asked for."""
    card = (
        "slug_length_mm", "extrusion_die_mm", "extrusion_punch_mm", "web_thickness_mm",
        "faced_length_mm", "strokes_per_min", "slug_anneal", "slug_coating",
    )  # fmt: skip
    scatter = (
        Scatter("lot/roller/roller_extrusion/wire_diameter_mm", 0.001, _COIL, relative=True),
        Scatter("lot/roller/roller_extrusion/tensile_strength_MPa", 0.03, _COIL, relative=True),
        Scatter("link/roller/roller_extrusion/slug_length_mm", 0.004, _FEED, relative=True),
        Scatter("lot/roller/roller_extrusion/extrusion_die_mm", 0.0003, _WEAR, relative=True),
        Scatter("lot/roller/roller_extrusion/extrusion_punch_mm", 0.0003, _WEAR, relative=True),
        Scatter("link/roller/roller_extrusion/extrusion_punch_mm", 0.0003,
                "the punch runs out: common practice, no source", relative=True),
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Wire from which the slug shears cleanly and enters the die."""
        wire = slug_wire(
            slug_volume_mm3=_slug(wanted, machine).slug_volume_mm3,
            outside_mm=wanted["roller_outside_mm"],
            **held_of(
                machine, length_ratio="slug_length_ratio", die_play_percent="slug_play_percent"
            ),
        )
        return {MAIN: {"wire_diameter_mm": wire}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Slug of the wire that came, die and punch that leave the roller."""
        settings = (
            *_slug_settings(stocks[MAIN], wanted, machine, given),
            *_tool_settings(wanted, machine, given),
        )
        sizes = {name: wanted[f"roller_{name}_mm"] for name in ("outside", "bore", "length")}
        return SetUp(settings, {"sizes": sizes, "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Rollers with their scatter; forces, pressures and heat of the stations; wire and time."""
        wire = self._as_it_runs(stocks[MAIN], factors)
        done = self._stations(wire, settings, machine, factors)
        growth = held_of(machine, growth_percent="ejection_growth_percent")
        roller = {
            "roller_outside_mm": size_of_tool(tool_diameter_mm=done.die_mm, **growth),
            "roller_bore_mm": size_of_tool(tool_diameter_mm=done.punch_mm, **growth),
            "roller_length_mm": faced_length(
                cup_height_mm=done.sizes.cup_height_mm, faced_length_mm=settings["faced_length_mm"]
            ),
        }
        volume = ring_volume(**{name.removeprefix("roller_"): one for name, one in roller.items()})
        mass, slug = extruded_mass(volume_mm3=volume), extruded_mass(volume_mm3=done.slug_mm3)
        return Step(
            (
                *piece_findings(roller, done, mass, slug, wire, settings, machine),
                *extrusion_findings(done, wire, settings, machine),
                *station_findings(done, machine),
            ),
            _rollers(stocks[MAIN], roller, mass),
            use=_use(wire, slug, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _picture(wire, done, settings, machine),
        )

    def _as_it_runs(self, wire: Stock, factors: Conditions) -> Stock:
        """The wire of each lot."""
        return wire.changed(
            shape={
                "wire_diameter_mm": self.actual(
                    factors, "lot", "wire_diameter_mm", wire["wire_diameter_mm"]
                )
            },
            condition={
                "tensile_strength_MPa": self.actual(
                    factors, "lot", "tensile_strength_MPa", wire["tensile_strength_MPa"]
                )
            },
        )

    def _stations(
        self, wire: Stock, settings: SetUp, machine: Machine, factors: Conditions
    ) -> _Stations:
        die = self.actual(factors, "lot", "extrusion_die_mm", settings["extrusion_die_mm"])
        punch = settings["extrusion_punch_mm"]
        for level in ("lot", "link"):
            punch = self.actual(factors, level, "extrusion_punch_mm", punch)
        length = self.actual(factors, "link", "slug_length_mm", settings["slug_length_mm"])
        diameter, web = wire["wire_diameter_mm"], settings["web_thickness_mm"]
        metal = {
            **soft_curve(wire, machine),
            **held_of(machine, friction="extrusion_friction"),
        }
        upset = upsetting_siebel(
            wire_diameter_mm=diameter, slug_length_mm=length, die_diameter_mm=die, **metal
        )
        cup = cup_extrusion_dipper(
            die_diameter_mm=die,
            punch_diameter_mm=punch,
            upset_height_mm=upset.upset_height_mm,
            web_thickness_mm=web,
            upset_strain=upset.upset_strain,
            **metal,
        )
        volume = slug_volume(wire_diameter_mm=diameter, slug_length_mm=length)
        sizes = cup_sizes(
            slug_volume_mm3=volume,
            die_diameter_mm=die,
            punch_diameter_mm=punch,
            web_thickness_mm=web,
        )
        cropping = round_wire_shear_force(
            diameter_mm=diameter, tensile_strength_MPa=wire["tensile_strength_MPa"]
        )
        # the web has hardened: its flow stress stands for its tensile strength
        piercing = punching_force(
            thickness_mm=web, hole_diameter_mm=punch, tensile_strength_MPa=cup.web_flow_stress_MPa
        )
        return _Stations(die, punch, volume, cropping, upset, cup, sizes, piercing)


def _slug(wanted: Wanted, machine: Machine) -> RollerSlug:
    return roller_slug(
        outside_mm=wanted["roller_outside_mm"],
        bore_mm=wanted["roller_bore_mm"],
        length_mm=wanted["roller_length_mm"],
        **held_of(machine, web_over_wall="web_over_wall_ratio", rim_percent="rim_percent"),
    )


def _slug_settings(
    wire: Stock, wanted: Wanted, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, ...]:
    """Length of the slug, rate of the feed."""
    slug = _slug(wanted, machine)
    length = computed(
        "slug_length_mm", "the volume of roller, web and rim",
        lambda: slug_length(
            slug_volume_mm3=slug.slug_volume_mm3, wire_diameter_mm=wire["wire_diameter_mm"]
        ),
        machine, given, check="scale, ten slugs each coil", share=0.005,
    )  # fmt: skip
    rate = computed(
        "strokes_per_min", "the speed at which the feed brings wire",
        lambda: fed_strokes(
            cut_length_mm=length.value,
            feed_speed_m_per_min=machine.held["feed_speed_m_per_min"],
            greatest_strokes_per_min=machine.held["greatest_strokes_per_min"],
        ),
        machine, given, check="display", share=0.1,
    )  # fmt: skip
    return length, rate


def _tool_settings(
    wanted: Wanted, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, ...]:
    """Die, punch, web, and the length that is faced."""
    growth = held_of(machine, growth_percent="ejection_growth_percent")
    aim = "the roller that leaves the die"
    die = computed(
        "extrusion_die_mm", aim,
        lambda: tool_for_size(size_mm=wanted["roller_outside_mm"], **growth),
        machine, given, check="bore gauge, at each change", share=0.0005,
    )  # fmt: skip
    punch = computed(
        "extrusion_punch_mm", aim,
        lambda: tool_for_size(size_mm=wanted["roller_bore_mm"], **growth),
        machine, given, check="micrometer, at each change", share=0.0005,
    )  # fmt: skip
    web = computed(
        "web_thickness_mm", "the works' ratio to the wall",
        lambda: _slug(wanted, machine).web_thickness_mm, machine, given,
        check="micrometer on three cups, at set-up", share=0.05,
    )  # fmt: skip
    length = computed(
        "faced_length_mm", "the length of the roller", lambda: wanted["roller_length_mm"],
        machine, given, check="caliper, ten pieces an hour", share=0.005,
    )  # fmt: skip
    return die, punch, web, length


def _rollers(wire: Stock, roller: Mapping[str, Any], mass: Any) -> Stock:
    """Rollers as they leave the facing tool."""
    total = mass_of_plates(plates=wire["pieces"], plate_mass_kg=mass)
    wall = bushing_wall(outside_mm=roller["roller_outside_mm"], bore_mm=roller["roller_bore_mm"])
    return wire.changed(
        "roller",
        shape={**roller, "roller_wall_mm": wall},
        amount={"piece_mass_kg": mass, "steel_kg": total},
    )


def _use(wire: Stock, slug_kg: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    hours = press_time(
        plates=wire["pieces"],
        strokes_per_min=settings["strokes_per_min"],
        running_share=machine.rate["running_share"],
        machines=machine.many,
    )
    return {
        **use_of_machine(hours, machine),
        "steel_kg": slugs_mass(
            pieces=wire["pieces"], slug_mass_kg=slug_kg, **held_of(machine, "reject_percent")
        ),
    }


def _picture(wire: Stock, done: _Stations, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Pressure on the punch while the web gets thinner, and the force of each station."""
    web = np.linspace(
        0.97 * float(done.upset.upset_height_mm), float(settings["web_thickness_mm"]), 41
    )
    with not_recording():
        metal = {name: float(value) for name, value in soft_curve(wire, machine).items()}
        path = cup_extrusion_dipper(
            die_diameter_mm=float(done.die_mm),
            punch_diameter_mm=float(done.punch_mm),
            upset_height_mm=float(done.upset.upset_height_mm),
            web_thickness_mm=web,
            upset_strain=float(done.upset.upset_strain),
            **metal,
            **held_of(machine, friction="extrusion_friction"),
        )
    return {
        "web_mm": [float(one) for one in web],
        "punch_pressure_MPa": [float(one) for one in path.punch_pressure_MPa],
        "cropping_force_kN": float(done.cropping_kN),
        "upsetting_force_kN": float(done.upset.upsetting_force_kN),
        "extrusion_force_kN": float(done.cup.extrusion_force_kN),
        "piercing_force_kN": float(done.piercing_kN),
    }


_CAUTIONS = (
    Caution(
        "Punches and dies under 2 GPa burst; hot slugs and pieces of tools fly",
        "shrunk-in dies, shrouded tool room closed before start; ram blocked and power locked out "
        "when someone reaches in; local codes for presses come first",
    ),
    Caution(
        "Acid, phosphate and soap of the coating line burn skin and eyes",
        "face shield, gloves, eye wash within reach; spent baths to licensed disposal",
    ),
)
