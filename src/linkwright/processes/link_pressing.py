"""Inner links of roller chain: bushings pressed into inner plates, rollers between them.

The plates squeeze the bore of a bushing where they hold it; a ball sizes it again. What it leaves
narrow wears off in the first hours and lengthens the chain.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import as_it_comes, chosen, computed
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.assembled_chain import (
    side_play,
    sizing_ball,
    sizing_springback,
)
from linkwright.processes.models.roller_joint import pressed_bore, run_in_stretch
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
from linkwright.standards.roller_part_rules import inner_link_width, pressed_hole

_SEAM = "seam of the bushing along the plate, away from the pin's pull"


class LinkPressing(Joining):
    """Two plates, two bushings, two rollers a link: holes asked for the interference wanted."""

    name = "link_pressing"
    factors = (FIT,)
    card = (
        "bushing_interference_mm", "ram_force_kN", "inner_width_mm", "sizing_ball_mm",
        "seam_position", "burr_side", "strokes_per_min",
    )  # fmt: skip

    def __init__(self, strand: Strand) -> None:
        self.strand = strand
        self.feeds = ("inner_plate", "bushing", *(("roller",) if strand.parts.roller else ()))

    def ask_feeds(
        self, wanted: Wanted, came: Stocks, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Plates whose holes hold the bushing as it comes; parts of their drawing otherwise."""
        parts = self.strand.parts
        bushing = {
            "bushing_outside_mm": parts.bushing.bushing_outside_mm,
            "bushing_bore_mm": wanted["bushing_bore_mm"],
            "bushing_wall_mm": parts.bushing.bushing_wall_mm,
            "bushing_length_mm": parts.bushing.bushing_length_mm,
            "case_depth_mm": self.strand.case_depth("bushing"),
        }
        hole = pressed_hole(
            member_diameter_mm=as_it_comes("bushing_outside_mm", bushing, came.get("bushing")),
            interference_percent=machine.held["bushing_interference_percent"],
        )
        asked: dict[str, Wanted] = {
            "inner_plate": self.strand.plate_wanted(
                "inner", wanted["hole_spacing_mm"], hole, wanted["tensile_strength_MPa"]
            ),
            "bushing": bushing,
        }
        if parts.roller:
            sizes = ("roller_outside_mm", "roller_bore_mm", "roller_wall_mm", "roller_length_mm")
            roller = {name: getattr(parts.roller, name) for name in sizes}
            asked["roller"] = {**roller, "case_depth_mm": self.strand.case_depth("roller")}
        return asked

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Ram for the joints of a stroke, the ball for the bore, the stop for the width."""
        fit = self._fit(stocks, machine, factors)
        spring = sizing_springback(
            bore_mm=wanted["bushing_bore_mm"],
            springback_percent=machine.held["sizing_springback_percent"],
        )
        settings = (
            interference_setting("bushing", fit),
            ram_setting("bushing", fit, machine, given),
            computed(
                "inner_width_mm", "the drawing of the link",
                lambda: self.strand.parts.inner_width_mm, machine, given,
                check="plug gauge between the plates, each hour", tolerance=0.05,
            ),
            computed(
                "sizing_ball_mm", "the bore wanted, with what it springs back",
                lambda: sizing_ball(
                    bore_mm=wanted["bushing_bore_mm"], sizing_springback_um=spring
                ),
                machine, given, check="micrometer, each new ball", tolerance=0.002,
            ),
            Setting("seam_position", given.get("seam_position", _SEAM), HELD,
                    check="by eye, ten links an hour"),
            Setting("burr_side", given.get("burr_side", "burr of the plates outward"), HELD,
                    check="thumb nail, ten links an hour"),
            chosen("strokes_per_min", machine, given, check="display", share=0.1),
        )  # fmt: skip
        prepared = {"machine": machine.name, "feeds": self.feeds, "springback_um": spring}
        return SetUp(settings, prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Joints as their parts meet, the bore that is left, room of the roller."""
        plate, bushing = stocks["inner_plate"], stocks["bushing"]
        fit = self._fit(stocks, machine, factors)
        bore = pressed_bore(
            bushing_bore_mm=bushing["bushing_bore_mm"],
            bore_shrinkage_mm=fit.yielding.bore_shrinkage_mm,
            pin_diameter_mm=self.strand.parts.pin.pin_diameter_mm,
            sizing_ball_mm=settings["sizing_ball_mm"],
            sizing_springback_um=settings.prepared["springback_um"],
        )
        torque = self.strand.turning_torque(self.strand.parts.pin.pin_diameter_mm, machine)
        over = inner_link_width(
            inner_width_mm=settings["inner_width_mm"],
            plate_thickness_mm=plate["plate_thickness_mm"],
        )
        findings = (
            *fit_findings("bushing", fit, torque, bushing["yield_strength_MPa"], machine),
            *self._bore_findings(bore, fit, plate),
            *self._room(stocks, settings, over),
        )
        hours = working_time(
            pieces=plate["plates"],
            pieces_per_minute=settings["strokes_per_min"],
            machines=machine.many,
        )
        return Step(
            findings,
            self._link(stocks, settings, bore, over),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else fit_travel(
                "bushing", fit, plate["plate_thickness_mm"]
            ),
        )  # fmt: skip

    def _fit(self, stocks: Stocks, machine: Machine, factors: Conditions) -> Fit:
        bushing = stocks["bushing"]
        return fit_of(
            member_mm=bushing["bushing_outside_mm"],
            bore_mm=bushing["bushing_bore_mm"],
            plate=stocks["inner_plate"],
            machine=machine,
            factors=factors,
        )

    def _bore_findings(self, bore: Any, fit: Fit, plate: Stock) -> tuple[Finding, ...]:
        room = side_play(opening_mm=bore.bore_mm, width_mm=self.strand.row.least_bushing_bore_mm)
        return (
            Finding("bore_shrinkage_mm", fit.yielding.bore_shrinkage_mm, note="by the plates"),
            Finding("bushing_bore_mm", bore.bore_mm,
                    note="where the plates hold the bushing, after sizing"),
            Finding("bore_room_mm", room, _NONE, None, "ISO 606, d3 min",
                    "bore over the least of the standard"),
            Finding(
                "run_in_stretch_percent",
                run_in_stretch(
                    high_spot_mm=bore.high_spot_mm, pitch_mm=plate["hole_spacing_mm"]
                ),
                note="length that the chain gains while the narrow bores wear off",
            ),
        )  # fmt: skip

    def _room(self, stocks: Stocks, settings: SetUp, over: Any) -> tuple[Finding, ...]:
        """Widths between and over the plates; play of the roller along and about the bushing."""
        parts, row = self.strand.parts, self.strand.row
        found = [
            Finding("inner_link_width_mm", over, note="over the plates"),
            Finding("inner_width_room_mm", side_play(opening_mm=settings["inner_width_mm"],
                    width_mm=row.least_inner_width_mm), _NONE, None, "ISO 606, b1 min",
                    "width between the plates over the least of the standard"),
            Finding("inner_link_room_mm", side_play(
                    opening_mm=row.greatest_inner_link_width_mm, width_mm=over), _NONE, None,
                    "ISO 606, b2 max", "what the link is narrower than the standard lets"),
        ]  # fmt: skip
        if parts.roller:
            roller, bushing = stocks["roller"], stocks["bushing"]
            along = side_play(
                opening_mm=settings["inner_width_mm"], width_mm=roller["roller_length_mm"]
            )
            about = side_play(
                opening_mm=roller["roller_bore_mm"], width_mm=bushing["bushing_outside_mm"]
            )
            turns = "the roller must turn: geometry"
            found += [
                Finding("roller_end_play_mm", along, _NONE, None, turns),
                Finding("roller_play_mm", about, _NONE, None, turns),
            ]
        return tuple(found)

    def _link(self, stocks: Stocks, settings: SetUp, bore: Any, over: Any) -> Stock:
        """The inner link with what the rest of the route needs of its parts."""
        plate, bushing, roller = stocks["inner_plate"], stocks["bushing"], stocks.get("roller")
        inner = {f"inner_{name}": plate[name] for name in PLATE}
        masses = {"inner_plate_kg": plate["plate_mass_kg"], "bushing_kg": bushing["piece_mass_kg"]}
        turned = {"turning_diameter_mm": bushing["bushing_outside_mm"]}
        if roller is not None:
            masses["roller_kg"] = roller["piece_mass_kg"]
            turned = {"turning_diameter_mm": roller["roller_outside_mm"]}
        return Stock(
            form="inner link",
            steel=plate.steel,
            shape={
                **inner,
                **turned,
                "inner_link_width_mm": over,
                "inner_flatness_mm": plate["flatness_mm"],
                "inner_burr_um": plate["burr_height_um"],
                "inner_face_area_mm2": plate["area_mm2"],
                "hole_spacing_mm": plate["hole_spacing_mm"],
                "lot_hole_spacing_mm": plate["lot_hole_spacing_mm"],
                "bushing_bore_mm": bore.bore_mm,
                "inner_width_mm": settings["inner_width_mm"],
                "bushing_length_mm": bushing["bushing_length_mm"],
            },
            condition={"inner_tensile_strength_MPa": plate["tensile_strength_MPa"],
                       "inner_yield_strength_MPa": plate["yield_strength_MPa"],
                       "tensile_strength_MPa": plate["tensile_strength_MPa"]},
            amount={**masses, "inner_plates": plate["plates"]},
        )  # fmt: skip


_NONE = 0.0
_CAUTIONS = (
    Caution(
        "The press closes on fingers; a hard bushing that stands askew bursts and flies",
        "guard closed and its switch tried before start, feed by chute; eye protection",
    ),
)
