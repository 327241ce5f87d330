"""Assembly of roller chain: inner links, outer and middle plates and pins become a strand.

Pins are pressed into the outer plates and riveted, or riveted at one end and cottered at the other
(`cottering`); middle plates between strands slide on them.
Hole spacing of all plates is asked backwards from the length wanted, with the play of the joints.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import as_it_comes, chosen, computed
from linkwright.processes.cottering import end_of_pin
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.assembled_chain import (
    chain_surface_area,
    ram_force,
    rivet_heading,
    side_play,
    strand_mass_per_length,
)
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.plate_shape import swing_room
from linkwright.processes.models.roller_strand import hole_spacing_wanted, strand_pitch
from linkwright.processes.models.use import working_time
from linkwright.processes.pressed_joint import (
    FIT,
    Fit,
    fit_findings,
    fit_of,
    fit_travel,
    interference_setting,
    ram_setting,
)
from linkwright.processes.strand import PLATE, Strand
from linkwright.route import (
    FOLLOWS,
    HELD,
    Caution,
    Conditions,
    Finding,
    Joining,
    Machine,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.roller_part_rules import pressed_hole

_MASSES = ("inner_plate_kg", "bushing_kg", "roller_kg")


class ChainAssembly(Joining):
    """Pins through inner links and plates, pressed and riveted, link by link."""

    name = "assembly"
    factors = (FIT,)
    card = (
        "pin_interference_mm", "ram_force_kN", "outer_link_opening_mm", "rivet_force_kN",
        "head_diameter_mm", "burr_side", "connecting_link", "strokes_per_min",
    )  # fmt: skip

    def __init__(self, strand: Strand) -> None:
        self.strand = strand
        middle = ("middle_plate",) if strand.several else ()
        self.feeds = ("inner_link", "outer_plate", *middle, "pin")

    def ask_feeds(
        self, wanted: Wanted, came: Stocks, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Bore and pin for the play held, spacing for the length, holes for the interference."""
        parts, held = self.strand.parts, machine.held
        bore = with_margin(
            limit=parts.bushing.bushing_bore_mm, margin_percent=held["bore_margin_percent"]
        )
        pin = {
            "pin_diameter_mm": parts.pin.pin_diameter_mm,
            "pin_length_mm": self.strand.pin_length_mm,
            "case_depth_mm": self.strand.case_depth("pin"),
        }
        diameter = as_it_comes("pin_diameter_mm", pin, came.get("pin"))
        spacing = hole_spacing_wanted(
            pitch_mm=wanted["pitch_mm"],
            length_error_percent=wanted["length_error_percent"],
            joint_clearance_mm=side_play(opening_mm=bore, width_mm=diameter),
        )
        pressed = pressed_hole(
            member_diameter_mm=diameter, interference_percent=held["pin_interference_percent"]
        )
        loose = with_margin(limit=diameter, margin_percent=held["middle_play_percent"])
        strength = wanted["tensile_strength_MPa"]
        asked: dict[str, Wanted] = {
            "inner_link": {
                "hole_spacing_mm": spacing,
                "bushing_bore_mm": bore,
                "tensile_strength_MPa": wanted["inner_tensile_strength_MPa"],
            },
            "outer_plate": self.strand.plate_wanted("outer", spacing, pressed, strength),
            "pin": pin,
        }
        if self.strand.several:
            asked["middle_plate"] = self.strand.plate_wanted("outer", spacing, loose, strength)
        return asked

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Ram for the joints of a stroke, opening of the outer link, force and size of heads."""
        fit, head = self._fit(stocks, machine, factors), self._head(stocks["pin"], machine)
        opening = computed(
            "outer_link_opening_mm", "the least opening of the standard with the works' margin",
            lambda: with_margin(
                limit=self.strand.parts.least_outer_link_opening_mm,
                margin_percent=machine.held["opening_margin_percent"],
            ),
            machine, given, check="plug gauge between the plates, each hour", tolerance=0.05,
        )  # fmt: skip
        rivet = computed(
            "rivet_force_kN", "the head that the works holds, on every pin of a stroke",
            lambda: ram_force(
                joint_force_kN=head.head_force_kN,
                joints=machine.held["pins_per_stroke_count"],
                reserve_percent=machine.held["ram_reserve_percent"],
            ),
            machine, given, check="gauge of the press, each shift", share=0.1,
        )  # fmt: skip
        settings = (
            interference_setting("pin", fit),
            ram_setting("pin", fit, machine, given),
            opening,
            rivet,
            Setting("head_diameter_mm", head.head_diameter_mm, FOLLOWS,
                    "the height that is left of the pin's end", tolerance=0.2,
                    check="ring gauge, ten heads an hour"),
            Setting("burr_side", given.get("burr_side", _OUTWARD), HELD,
                    check="thumb nail, ten links an hour"),
            Setting("connecting_link", given.get("connecting_link",
                    _COTTERED if self.strand.cotter else _CLOSED), HELD,
                    check="against the order"),
            chosen("strokes_per_min", machine, given, check="display", share=0.1),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name, "feeds": self.feeds})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Joints as their parts meet, play, pitch, heads; what a metre weighs."""
        pin, plate, link = stocks["pin"], stocks["outer_plate"], stocks["inner_link"]
        fit, head = self._fit(stocks, machine, factors), self._head(pin, machine)
        play = side_play(opening_mm=link["bushing_bore_mm"], width_mm=pin["pin_diameter_mm"])
        torque = self.strand.turning_torque(pin["pin_diameter_mm"], machine)
        made = self._chain(stocks, settings, play)
        hours = working_time(
            pieces=plate["plates"],
            pieces_per_minute=settings["strokes_per_min"],
            machines=machine.many,
        )
        return Step(
            (
                *fit_findings("pin", fit, torque, pin["yield_strength_MPa"], machine),
                *self._room(link, settings, play, made),
                *_swing(stocks, settings, machine),
                *_heads(head, settings, machine),
            ),
            end_of_pin(made, pin, self.strand.cotter, fit.holding.force_kN),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else fit_travel("pin", fit, plate["plate_thickness_mm"]),
        )

    def _fit(self, stocks: Stocks, machine: Machine, factors: Conditions) -> Fit:
        return fit_of(
            member_mm=stocks["pin"]["pin_diameter_mm"],
            bore_mm=_SOLID,
            plate=stocks["outer_plate"],
            machine=machine,
            factors=factors,
        )

    def _head(self, pin: Stock, machine: Machine) -> Any:
        soft = "end_yield_strength_MPa"  # of annealed ends; ends under paste are as the core
        return rivet_heading(
            pin_diameter_mm=pin["pin_diameter_mm"],
            projection_mm=self.strand.parts.pin.rivet_projection_mm,
            head_share=machine.held["head_share"],
            yield_strength_MPa=pin[soft if soft in pin else "yield_strength_MPa"],
            friction=machine.held["head_friction"],
        )

    def _room(self, link: Stock, settings: SetUp, play: Any, made: Stock) -> tuple[Finding, ...]:
        """Play in the bore and between the links; a joint without it is stiff."""
        over = link["bushing_length_mm"]
        between = side_play(opening_mm=settings["outer_link_opening_mm"], width_mm=over)
        return (
            Finding("joint_clearance_mm", play, _NOT_AGAIN, None,
                    "a joint must turn freely: geometry", "pin in bushing, on the diameter"),
            Finding("side_play_mm", between, _NOT_AGAIN, None,
                    "inner and outer links must turn freely: geometry"),
            Finding("outer_opening_room_mm", side_play(
                    opening_mm=settings["outer_link_opening_mm"],
                    width_mm=self.strand.row.least_outer_link_opening_mm), _NOT_AGAIN, None,
                    "ISO 606, b3 min", "opening over the least of the standard"),
            Finding("strand_pitch_mm", made["pitch_mm"], note="as assembled, without preload"),
            Finding("chain_mass_kg_per_m", made["chain_mass_kg_per_m"]),
        )  # fmt: skip

    def _chain(self, stocks: Stocks, settings: SetUp, play: Any) -> Stock:
        """The strand with what strength, length and grease of it rest on."""
        pin, plate, link = stocks["pin"], stocks["outer_plate"], stocks["inner_link"]
        pitch = {
            name: strand_pitch(
                inner_hole_spacing_mm=link[spacing],
                outer_hole_spacing_mm=plate[spacing],
                joint_clearance_mm=play,
            )
            for name, spacing in (
                ("pitch_mm", "hole_spacing_mm"), ("lot_pitch_mm", "lot_hole_spacing_mm")
            )
        }  # fmt: skip
        both = {"pitch_mm": self.strand.parts.pitch_mm, "strands": self.strand.strands}
        mass = strand_mass_per_length(
            **both,
            **{name: link[name] for name in _MASSES if name in link},
            outer_plate_kg=plate["plate_mass_kg"],
            pin_kg=pin["piece_mass_kg"],
        )
        surface = chain_surface_area(
            **both,
            inner_plate_mm2=link["inner_face_area_mm2"],
            outer_plate_mm2=plate["area_mm2"],
            turning_diameter_mm=link["turning_diameter_mm"],
            turning_length_mm=link["inner_width_mm"],
        )
        return link.changed(
            "chain",
            shape={
                **{f"outer_{name}": plate[name] for name in PLATE},
                **pitch,
                "pin_diameter_mm": pin["pin_diameter_mm"],
                "joint_clearance_mm": play,
                "outer_link_opening_mm": settings["outer_link_opening_mm"],
            },
            condition={
                "outer_tensile_strength_MPa": plate["tensile_strength_MPa"],
                "outer_yield_strength_MPa": plate["yield_strength_MPa"],
                "pin_tensile_strength_MPa": pin["tensile_strength_MPa"],
                "pin_yield_strength_MPa": pin["yield_strength_MPa"],
                "tensile_strength_MPa": plate["tensile_strength_MPa"],
            },
            amount={
                "chain_mass_kg_per_m": mass,
                "surface_area_m2_per_m": surface,
                **{name: plate[name] for name in _ORDERED if name in plate},
            },
        )


def _swing(stocks: Stocks, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    """What burr and bow of the plates leave of the room between links.

    The burr of outer plates stands outside. A middle plate has a link on either side of it.
    """
    link, facing = stocks["inner_link"], stocks["outer_plate"]
    burr = {}
    if "middle_plate" in stocks:
        facing = stocks["middle_plate"]
        burr = {"outer_burr_um": facing["burr_height_um"]}
    room = swing_room(
        opening_mm=settings["outer_link_opening_mm"],
        inner_link_width_mm=link["inner_link_width_mm"],
        inner_flatness_mm=link["inner_flatness_mm"],
        outer_flatness_mm=facing["flatness_mm"],
        inner_burr_um=link["inner_burr_um"],
        **burr,
    )
    return (
        Finding("swing_room_mm", room.swing_room_mm, _NOT_AGAIN, None,
                "links must swing freely: geometry",
                "between the plates of inner and outer link, plates in their worst lay"),
        Finding("swing_taken_percent", room.taken_percent, None,
                machine.held["greatest_swing_taken_percent"], "held by the works",
                "room that burr and bow of the plates take"),
    )  # fmt: skip


def _heads(head: Any, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
    _, high = machine.limits("rivet_force_kN")
    return (
        Finding("head_ratio", head.head_ratio, machine.held["least_head_ratio"], None,
                "held by the works: head over pin"),
        Finding("rivet_force_kN", settings["rivet_force_kN"], None, high,
                f"range of {machine.name}"),
    )  # fmt: skip


_OUTWARD = "burr of the outer plates outward, away from the inner link"
_ORDERED = ("length_m", "ordered_length_m", "lots", "pitches")
_SOLID = 0.0
_NOT_AGAIN = 0.0
_CLOSED = "riveted throughout; the customer closes the chain with a connecting link"
_COTTERED = (
    "riveted at one end, cottered at the other: any outer link is opened and closed by its cotters"
)
_CAUTIONS = (
    Caution(
        "The press closes on fingers; a hard pin that stands askew breaks and flies",
        "guard closed and its switch tried before start, feed by magazine; eye protection",
    ),
    Caution(
        "A coiled chain is heavy and slides off the bench",
        "drum or box under the outlet; lift with a hoist as local rules ask",
    ),
)
