"""What the settings make of a joint: heated, upset, trimmed; and the two unknowns of it.

`heated_joint` runs the transient, `upset_and_trimmed` all that follows from it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.models.hot_strength import solidus_temperature
from linkwright.processes.models.link_geometry import affected_length_each_side, trimmed_weld
from linkwright.processes.models.upset_welding import UpsetWeldHeating, upset_weld_heating
from linkwright.processes.models.weld_schedule import time_without_current
from linkwright.processes.models.weld_trimming import (
    electrode_mark,
    inner_residue,
    inner_width_at_weld,
    trim_weld,
)
from linkwright.processes.models.weld_upset import bulging_length, upset_length, weld_bulge
from linkwright.processes.models.weld_window import expulsion_temperature
from linkwright.processes.weld_findings import Welded
from linkwright.route import Conditions, Factor, Machine, SetUp
from linkwright.route.stock import Stock

HOT_STRENGTH = Factor(
    "factor/welding/hot_flow_stress",
    1.0,
    0.10,
    "works' own factor on hot flow stress, not yet learned: stated band 10 %",
    "weld 20 links at three upset forces against the stop and measure the upset",
)
EXPULSION = Factor(
    "factor/welding/expulsion_temperature",
    1.0,
    0.06,
    "works' own factor on the solidus at which metal is thrown out, not yet learned: stated "
    "band 6 %, about 85 K",
    "weld 10 links at each of six currents, 3 % apart, and note the first that throws metal out",
)


def solidus_of(link: Stock) -> Any:
    """Where the steel of a link begins to melt, by its analysis."""
    return solidus_temperature(**link.elements("C", "Si", "Mn", "P", "S", "Ni", "Cr", "Al"))


def heated_joint(
    current: Any, weld: Mapping[str, Any], settings: SetUp, machine: Machine
) -> UpsetWeldHeating:
    """The joint at the end of the heat and when the electrodes open."""
    held = time_without_current(
        upset_cycles=settings["upset_cycles"],
        hold_cycles=settings["hold_cycles"],
        frequency_Hz=machine.held["mains_frequency_Hz"],
    )
    return upset_weld_heating(secondary_current_kA=current, hold_time_s=held, **weld)


def upset_and_trimmed(
    current: Any,
    heated: UpsetWeldHeating,
    press: Mapping[str, Any],
    link: Stock,
    settings: SetUp,
    factors: Conditions,
) -> Welded:
    """Upset, bulge and trimming of a heated joint."""
    wire, carbon = link["lot_wire_diameter_mm"], link["C_percent"]
    upset = upset_length(
        joint_temperature_degC=heated.joint_temperature_degC,
        visible_temperature_degC=heated.visible_temperature_degC,
        edge_temperature_degC=heated.edge_temperature_degC,
        **press,
    )
    bulge = weld_bulge(
        wire_diameter_mm=wire,
        upset_length_mm=upset.upset_length_mm,
        heated_length_mm=bulging_length(
            heated_length_mm=heated.softened_length_mm,
            upset_length_mm=upset.upset_length_mm,
            wire_diameter_mm=wire,
        ),
    )
    across = {"wire_diameter_mm": wire, "bulge_diameter_mm": bulge.bulge_diameter_mm}
    cut = trim_weld(
        bulge_length_mm=bulge.bulge_length_mm,
        trimmed_diameter_mm=settings["trimming_diameter_mm"],
        trimming_temperature_degC=heated.released_temperature_degC,
        C_percent=carbon,
        **across,
    )
    trimmed = factors.actual(
        "link/chain/welding/weld_diameter_mm",
        trimmed_weld(
            bulge_diameter_mm=bulge.bulge_diameter_mm,
            trimming_diameter_mm=settings["trimming_diameter_mm"],
        ),
    )
    residue = inner_residue(weld_diameter_mm=trimmed, wire_diameter_mm=wire)
    solidus = solidus_of(link)
    return Welded(
        current_kA=current,
        heated=heated,
        upset=upset,
        bulge=bulge,
        cut=cut,
        solidus_degC=solidus,
        expulsion_degC=expulsion_temperature(
            solidus_temperature_degC=solidus, factor=factors.factor(EXPULSION.name)
        ),
        weld_diameter_mm=trimmed,
        affected_length_mm=affected_length_each_side(bulge_length_mm=bulge.bulge_length_mm),
        inner_residue_mm=residue,
        inner_width_mm=inner_width_at_weld(
            outer_width_mm=link["outer_width_mm"], wire_diameter_mm=wire, inner_residue_mm=residue
        ),
        mark_depth_mm=electrode_mark(
            wire_diameter_mm=wire,
            electrode_force_kN=settings["electrode_force_kN"],
            contact_length_mm=settings.prepared["metal"].contact_length_mm,
            edge_temperature_degC=heated.edge_temperature_degC,
            C_percent=carbon,
        ),
    )
