"""What goes into the transient of a welded joint and what comes out, as plain data.

In: `JointGeometry`, `Clamp`, `JointGrid` (and `WeldCircuit` of `joint_circuit`);
out: `HeatedJoint` with its `JointHistory`. Members are the last axis of every array.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkwright.mechanics.joint_mesh import length_above

Array = NDArray[np.float64]


@dataclass(frozen=True)
class JointGeometry:
    """Sizes in mm, floats or (members,).

    electrode_distance_mm: free length between the two electrodes, through the joint.
    contact_length_mm: wire under one electrode, over which the current passes out evenly;
    0 for an end held at the electrode's temperature at the electrode's edge.
    back_length_mm: the closed back beside the joint; inf for two wires that are no link.
    resistivity_factor: the wire's resistivity over that of the tables, at all temperatures.
    """

    wire_diameter_mm: Any
    electrode_distance_mm: Any
    contact_length_mm: Any
    back_length_mm: Any
    resistivity_factor: Any = 1.0


@dataclass(frozen=True)
class Clamp:
    """What presses and what cools; floats or (members,).

    force_kN: squeeze on the faces; contact_spots: number of equal spots in which they
    first touch (inf for faces without resistance); electrode_temperature_degC and
    electrode_heat_transfer_kW_per_m2K: heat passed to the electrodes, reckoned over the
    wire's whole circumference; electrode_heat_share: of the heat made in the contact with
    the electrode, the share that enters the wire (even along the clamp), by default that
    of two long bodies of copper and steel by their effusivities, 13/(13 + 36);
    start_degC: the wire before the current.
    """

    force_kN: Any = 2.5
    contact_spots: Any = 200.0
    electrode_temperature_degC: Any = 40.0
    electrode_heat_transfer_kW_per_m2K: Any = 5.0
    electrode_heat_share: Any = 0.27
    start_degC: Any = 20.0


@dataclass(frozen=True)
class JointGrid:
    """Cells and steps; the same for all members and never adapted to one of them.

    Time runs as (k/steps)^grading, so that the first steps, in which the contact gives
    way, are the shortest. ``clamp_cells`` is 0 for an end held at the electrode.
    """

    free_cells: int = 16
    clamp_cells: int = 9
    steps: int = 34
    hold_steps: int = 0
    grading: float = 1.5


@dataclass(frozen=True)
class JointHistory:
    """Course over time, each (steps + 1, members), at the ends of the steps."""

    time_s: Array
    secondary_current_kA: Array
    secondary_voltage_V: Array
    joint_current_kA: Array
    joint_resistance_microohm: Array
    contact_resistance_microohm: Array
    face_degC: Array
    visible_degC: Array
    edge_degC: Array
    contact_spot_degC: Array
    back_degC: Array


@dataclass(frozen=True)
class HeatedJoint:
    """State and heat when the current stops, and the greatest temperatures passed.

    position_mm, width_mm: cell middles from the faces, and cell widths (cells, members).
    temperature_degC: at the end of the current; held_temperature_degC: at the end of the
    hold; peak_temperature_degC: greatest up to then; free_cells: how many of the cells lie
    before the electrode's edge. joint_temperature_degC: mean of the faces,
    released_temperature_degC: the same at the end of the hold, when the electrodes open;
    visible_temperature_degC: mean over the length between the electrodes;
    edge_temperature_degC: mean of the section at the electrode's edge. Heats in kJ for the
    whole joint (both halves):
    joint_heat (made in it, faces included) = stored_heat + surface_heat + electrode_heat.
    contact_heat_kJ: made in the contacts of both electrodes; machine_energy_kJ: real energy
    of the secondary, loop included; apparent_power_kVA: greatest secondary apparent power;
    power_factor: real over apparent power at the end; back_current_share: time mean of Ib/I.
    """

    position_mm: Array
    width_mm: Array
    temperature_degC: Array
    held_temperature_degC: Array
    peak_temperature_degC: Array
    free_cells: int
    joint_temperature_degC: Array
    released_temperature_degC: Array
    visible_temperature_degC: Array
    edge_temperature_degC: Array
    back_temperature_degC: Array
    joint_heat_kJ: Array
    stored_heat_kJ: Array
    surface_heat_kJ: Array
    electrode_heat_kJ: Array
    contact_heat_kJ: Array
    back_heat_kJ: Array
    machine_energy_kJ: Array
    apparent_power_kVA: Array
    power_factor: Array
    back_current_share: Array
    history: JointHistory = field(repr=False)

    def affected_length_mm(self, limit_degC: Any) -> Array:
        """Length through the joint, both sides, that was hotter than a limit."""
        return 2.0 * length_above(self.position_mm, self.peak_temperature_degC, limit_degC)
