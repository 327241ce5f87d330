"""Blanking: link plates are pierced and blanked out of strip in a press.

The layout on the strip, punches, clearance and plates a stroke are solved; the burr of a plate
lies on the side that faces outward in the chain, so that no edge cuts into bushing or roller.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from linkwright.processes.choosing import chosen, computed, held_of
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.plate_blanking import (
    plate_stroke,
    plates_in_press,
    tool_shut_height,
)
from linkwright.processes.models.plate_contour import link_plate_contour, link_plate_piece
from linkwright.processes.models.plate_nesting import StripLayout, nested_plates, strip_webs
from linkwright.processes.models.plate_sums import (
    hole_of_punch,
    mass_of_plates,
    press_time,
    punch_for_hole,
    rows_for_thickness,
    steel_with_trim,
    strip_for_plates,
)
from linkwright.processes.models.shearing import shearing_clearance
from linkwright.processes.of_part import OfPart
from linkwright.processes.plate_edge import (
    EDGE_SCATTER,
    Cutting,
    as_blanked,
    edge_findings,
    edge_settings,
    force_of_plate,
    tool_care,
)
from linkwright.processes.plate_findings import (
    plate_findings,
    press_findings,
    punch_findings,
)
from linkwright.route import (
    FOLLOWS,
    GIVEN,
    HELD,
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

CONTOUR = ("hole_spacing_mm", "plate_height_mm", "waist_height_mm")
_TOOL = ("upper_shoe_mm", "punch_length_mm", "die_height_mm", "lower_shoe_mm", "punch_entry_mm")
_STROKE = {
    "piercing_overlap": "piercing_overlap_share",
    "penetration_fraction": "penetration_fraction",
    "shear_over_tensile": "shear_over_tensile_ratio",
}
"""Arguments of the stroke by the names that the works holds them under."""
_PLAY = "play of the tool and wear between two regrinds: common practice, no source"


class Blanking(OfPart):
    """Pierce two holes, blank the contour: so many plates a stroke as tool and press take."""

    name = "blanking"
    card = (
        "rows_count", "plate_angle_deg", "strip_width_mm", "feed_mm", "row_distance_mm",
        "row_shift_mm", "plates_per_stroke_count", "hole_punch_diameter_mm",
        "hole_punch_spacing_mm", "cutting_clearance_mm", "shut_height_mm", "strokes_per_min",
        "counterpad_force_kN", "regrind_interval_count", "burr_side", "lubricant",
    )  # fmt: skip
    scatter = (
        Scatter("lot/plate/blanking/hole_spacing_mm", 0.002, _PLAY),
        Scatter("link/plate/blanking/hole_spacing_mm", 0.002, _PLAY),
        Scatter("lot/plate/blanking/hole_diameter_mm", 0.002, _PLAY),
        Scatter("link/plate/blanking/hole_diameter_mm", 0.002, _PLAY),
        *EDGE_SCATTER,
    )

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Strip of the plate's thickness, as wide as its layout."""
        layout = _layout(wanted, machine, {})
        return {
            MAIN: {
                "plate_thickness_mm": wanted["plate_thickness_mm"],
                "strip_width_mm": layout.strip_width_mm,
            }
        }

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Layout for the greatest use of strip, punches for the holes, plates a stroke."""
        strip = stocks[MAIN]
        layout = _layout(wanted, machine, given)
        contour = link_plate_contour(**{name: wanted[name] for name in CONTOUR})
        tool = _tool_settings(strip, wanted, machine, given)
        cutting = _cutting(strip, contour, wanted, tool, machine)
        count = self._plates_per_stroke(strip, wanted, cutting, machine, given)
        rate = chosen("strokes_per_min", machine, given, check="display", share=0.1)
        settings = (
            *_layout_settings(layout, wanted, machine, given),
            count,
            *tool,
            rate,
            *edge_settings(strip, cutting, count.value, machine, given),
        )
        prepared = {"layout": layout, "contour": contour, "wanted": dict(wanted)}
        return SetUp(settings, {**prepared, "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Plates with their scatter; force, energy and punches of the stroke; strip used."""
        strip, contour = stocks[MAIN], settings.prepared["contour"]
        wanted = settings.prepared["wanted"]
        pierced = _as_pierced(self, settings, machine, factors)
        spacing, hole = pierced.spacing_mm, pierced.hole_mm
        thickness = strip["plate_thickness_mm"]
        piece = link_plate_piece(
            area_mm2=contour.area_mm2,
            plate_height_mm=wanted["plate_height_mm"],
            hole_diameter_mm=hole,
            hole_spacing_mm=spacing,
            plate_thickness_mm=thickness,
        )
        stroke = plate_stroke(
            perimeter_mm=contour.perimeter_mm,
            hole_diameter_mm=settings["hole_punch_diameter_mm"],
            plate_thickness_mm=thickness,
            tensile_strength_MPa=strip["tensile_strength_MPa"],
            plates_per_stroke=settings["plates_per_stroke_count"],
            **held_of(machine, **_STROKE),
        )
        used = strip_for_plates(
            plates=strip["plates"],
            plates_per_m=settings.prepared["layout"].plates_per_m,
            strip_width_mm=settings["strip_width_mm"],
            plate_thickness_mm=thickness,
            plate_mass_kg=piece.plate_mass_kg,
            **held_of(machine, "reject_percent"),
        )
        cutting = Cutting(
            settings["cutting_clearance_mm"], contour.plate_length_mm,
            stroke.contour_force_kN, stroke.plate_force_kN,
        )  # fmt: skip
        edge = as_blanked(self, strip, cutting, settings, machine, factors)
        return Step(
            (
                *press_findings(stroke, settings, machine),
                *punch_findings(stroke, settings, machine),
                *plate_findings(piece, used, spacing, thickness, settings, wanted, machine),
                *edge_findings(edge, strip, cutting, settings, machine),
            ),
            _plates(strip, piece, contour, wanted, pierced).changed(
                shape={"plate_length_mm": contour.plate_length_mm, **edge._asdict()}
            ),
            use=_use(strip, used, settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _picture(settings, wanted),
        )

    def _plates_per_stroke(
        self,
        strip: Stock,
        wanted: Wanted,
        cutting: Cutting,
        machine: Machine,
        given: Mapping[str, Any],
    ) -> Setting:
        """What the press takes within its share, at most the plates of the tool."""
        return computed(
            "plates_per_stroke_count", "what the press takes within the works' share of its force",
            lambda: plates_in_press(
                press_force_kN=machine.held["press_force_kN"],
                plate_force_kN=force_of_plate(strip, cutting, machine),
                greatest_count=machine.held["greatest_plates_per_stroke_count"],
                rows=_rows(wanted, machine, given),
                **held_of(machine, used_share="used_force_share"),
            ),
            machine, given, check="counted at set-up", tolerance=0.0,
        )  # fmt: skip


def _layout(wanted: Wanted, machine: Machine, given: Mapping[str, Any]) -> StripLayout:
    """The plates on the strip for the rows that order or works hold."""
    webs = strip_webs(
        plate_thickness_mm=wanted["plate_thickness_mm"], feed_mm=wanted["plate_height_mm"]
    )
    return nested_plates(
        **{name: wanted[name] for name in CONTOUR},
        bridge_mm=webs.bridge_mm,
        edge_mm=webs.edge_mm,
        rows=_rows(wanted, machine, given),
    )


def _rows(wanted: Wanted, machine: Machine, given: Mapping[str, Any]) -> Any:
    """Rows that order or works hold; one where a plate is too thick for several."""
    if "rows_count" in given or "greatest_row_thickness_mm" not in machine.held:
        return given.get("rows_count", machine.held["rows_count"])
    return rows_for_thickness(
        rows=machine.held["rows_count"],
        plate_thickness_mm=wanted["plate_thickness_mm"],
        greatest_row_thickness_mm=machine.held["greatest_row_thickness_mm"],
    )


def _layout_settings(
    layout: StripLayout, wanted: Wanted, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, ...]:
    rows = Setting(
        "rows_count",
        _rows(wanted, machine, given),
        GIVEN if "rows_count" in given else HELD,
        tolerance=0.0,
        check="by the tool",
    )
    found = (
        ("plate_angle_deg", layout.angle_deg, 0.1, "by the tool"),
        ("strip_width_mm", layout.strip_width_mm, 0.2, "caliper, each coil"),
        ("feed_mm", layout.feed_mm, 0.05, "rule along ten strokes, at set-up"),
        ("row_distance_mm", layout.row_distance_mm, 0.02, "by the tool"),
        ("row_shift_mm", layout.row_shift_mm, 0.02, "by the tool"),
    )
    return (
        rows,
        *(
            Setting(name, value, FOLLOWS, "the greatest use of the strip", None, None, off, check)
            for name, value, off, check in found
        ),
    )


def _tool_settings(
    strip: Stock, wanted: Wanted, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, ...]:
    """Punches, clearance and height of the closed tool."""
    held = machine.held
    punch = computed(
        "hole_punch_diameter_mm", "the hole, which closes behind the punch",
        lambda: punch_for_hole(
            hole_diameter_mm=wanted["hole_diameter_mm"], hole_closing_um=held["hole_closing_um"]
        ),
        machine, given, check="micrometer, at each regrind", tolerance=0.002,
    )  # fmt: skip
    spacing = computed(
        "hole_punch_spacing_mm", "the spacing that hardening leaves as wanted",
        lambda: wanted["hole_spacing_mm"], machine, given,
        check="measuring machine, at each regrind", tolerance=0.005,
    )  # fmt: skip
    clearance = computed(
        "cutting_clearance_mm", "a share of the thickness on each side",
        lambda: shearing_clearance(
            thickness_mm=strip["plate_thickness_mm"],
            clearance_allowance=held["clearance_allowance_share"],
        ),
        machine, given, check="at tool making; burr under a lens, each shift", share=0.15,
    )  # fmt: skip
    height = computed(
        "shut_height_mm", "the parts of the tool",
        lambda: tool_shut_height(**{name: held[name] for name in _TOOL}), machine, given,
        check="rule of the press, at set-up", tolerance=0.1,
    )  # fmt: skip
    return punch, spacing, clearance, height


def _cutting(
    strip: Stock, contour: Any, wanted: Wanted, tool: tuple[Setting, ...], machine: Machine
) -> Cutting:
    """Of one plate, before it is known how many a stroke cuts."""
    one = plate_stroke(
        perimeter_mm=contour.perimeter_mm,
        hole_diameter_mm=wanted["hole_diameter_mm"],
        plate_thickness_mm=strip["plate_thickness_mm"],
        tensile_strength_MPa=strip["tensile_strength_MPa"],
        **held_of(machine, **_STROKE),
    )
    clearance = next(each.value for each in tool if each.name == "cutting_clearance_mm")
    return Cutting(clearance, contour.plate_length_mm, one.contour_force_kN, one.plate_force_kN)


class _Pierced(NamedTuple):
    """Holes of each member; the spacing of its lot's own plates, of which a strand holds many."""

    spacing_mm: Any
    lot_spacing_mm: Any
    hole_mm: Any


def _as_pierced(
    operation: OfPart, settings: SetUp, machine: Machine, factors: Conditions
) -> _Pierced:
    punch = settings["hole_punch_diameter_mm"]
    for level in ("lot", "link"):
        punch = operation.actual(factors, level, "hole_diameter_mm", punch)
    lot = operation.actual(factors, "lot", "hole_spacing_mm", settings["hole_punch_spacing_mm"])
    spacing = operation.actual(factors, "link", "hole_spacing_mm", lot)
    hole = hole_of_punch(
        hole_punch_diameter_mm=punch, hole_closing_um=machine.held["hole_closing_um"]
    )
    return _Pierced(spacing, lot, hole)


def _plates(strip: Stock, piece: Any, contour: Any, wanted: Wanted, pierced: _Pierced) -> Stock:
    """What falls through the die."""
    mass = mass_of_plates(plates=strip["plates"], plate_mass_kg=piece.plate_mass_kg)
    return strip.changed(
        "plate",
        shape={
            "hole_spacing_mm": pierced.spacing_mm,
            "lot_hole_spacing_mm": pierced.lot_spacing_mm,
            "hole_diameter_mm": pierced.hole_mm,
            "plate_height_mm": wanted["plate_height_mm"],
            "waist_height_mm": wanted["waist_height_mm"],
            "area_mm2": contour.area_mm2,
            "perimeter_mm": contour.perimeter_mm,
        },
        amount={"steel_kg": mass, "plate_mass_kg": piece.plate_mass_kg},
    )


def _use(strip: Stock, used: Any, settings: SetUp, machine: Machine) -> dict[str, Any]:
    care = tool_care(strip, settings, machine)
    hours = press_time(
        plates=strip["plates"],
        plates_per_stroke=settings["plates_per_stroke_count"],
        strokes_per_min=settings["strokes_per_min"],
        running_share=machine.rate["running_share"],
        machines=machine.many,
        standing_time_h=care.regrinding_time_h,
    )
    return {
        **use_of_machine(hours, machine),
        "steel_kg": steel_with_trim(strip_kg=used.strip_kg, used_share=strip["slit_share"]),
    }


def _picture(settings: SetUp, wanted: Wanted) -> dict[str, Any]:
    """Numbers that the picture of the strip is drawn from."""
    laid = settings.prepared["layout"]._asdict()
    sizes = {name: wanted[name] for name in ("hole_diameter_mm", *CONTOUR)}
    shown = {**sizes, **laid, "rows": settings["rows_count"]}
    return {f"layout_{name}": float(value) for name, value in shown.items()}


_CAUTIONS = (
    Caution(
        "A press crushes hands; broken punches fly",
        "fixed guard or light curtain and clutch tried each shift; two-hand control at set-up; "
        "blocks under the ram when someone reaches in; local codes for presses come first",
    ),
    Caution("The press and its plates are loud, plates have sharp burrs",
            "hearing protection, cut-resistant gloves"),
)  # fmt: skip
