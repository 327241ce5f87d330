"""Chain wire in an induction coil, many members at once: heat from field, field from heat.

Offers

- `heat_in_coil`: many members through one coil of even field (arrays in, `CoilHeat` out),
- `field_for`: the field that gives a wanted result, by trial members inside a bracket,
- `ZONE_COUPLING`: how the three zones of a link share the field.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from linkwright.mechanics.radial_heat import Array, Convection, MetalTable, RadialGrid
from linkwright.mechanics.radial_steps import HeatHistory, march
from linkwright.processes.models.eddy_heat import EddyField, MagneticTable
from linkwright.processes.models.steel_tables import (
    ResistivityTable,
    carbon_steel_resistivity,
    heated_steel,
)

STILL_AIR_W_PER_M2K = 15.0
"""Natural convection of thin hot wire, 10 to 20 W/m2K (common practice, no source)."""

OXIDISED_EMISSIVITY = 0.8
"""Oxidised steel, total hemispherical, about 0.8 (handbook tables, memory)."""

ENSEMBLE_NODES, ENSEMBLE_STEPS = 17, 40
"""Grid of the planner's ensembles; exit temperatures within 2 K of a far finer one while the
skin of the hot metal is thicker than three spacings of nodes (8 mm wire: up to 200 kHz)."""

FINE_NODES, FINE_STEPS = 41, 96
"""Grid of single results."""

CANDIDATES = 32
"""Trial members of `field_for` in each of its two rounds."""


class ZoneFactor(NamedTuple):
    """A factor on the field (or on the spray) in one zone of a link, with its band."""

    nominal: float
    least: float
    greatest: float


ZONE_COUPLING = {
    "straight": ZoneFactor(1.0, 0.95, 1.05),
    "crown": ZoneFactor(1.0, 0.90, 1.10),
    "contact": ZoneFactor(0.95, 0.85, 1.05),
}
"""Field amplitude by zone against that at the straight: no published law is transferable,
so these are the works' own factors, to be learnt from temperatures taken on the link."""


@dataclass(frozen=True)
class CoilHeat:
    """Members at the exit of a coil; arrays (members,) unless said otherwise.

    ``history`` holds the whole course; ``supplied_J_per_m`` is the eddy heat put into a
    metre of wire, ``lost_J_per_m`` what its surface gave off in the coil.
    """

    history: HeatHistory
    supplied_J_per_m: Array
    lost_J_per_m: Array

    @property
    def surface_degC(self) -> Array:
        """Surface temperature at the exit."""
        return np.asarray(self.history.temperature_degC(1.0)[-1])

    @property
    def centre_degC(self) -> Array:
        """Centre temperature at the exit."""
        return np.asarray(self.history.temperature_degC(0.0)[-1])

    @property
    def mean_degC(self) -> Array:
        """Temperature of the evened-out section at the exit."""
        return np.asarray(self.history.mean_temperature_degC()[-1])


def heat_in_coil(
    *,
    wire_radius_m: Any,
    duration_s: Any,
    field_A_per_m: Any,
    frequency_Hz: Any,
    start_degC: Any = 20.0,
    start_heat_J_per_m3: Array | None = None,
    ambient_degC: Any = 20.0,
    emissivity: Any = OXIDISED_EMISSIVITY,
    convection_W_per_m2K: Any = STILL_AIR_W_PER_M2K,
    metal: MetalTable | None = None,
    resistivity: ResistivityTable | None = None,
    magnetic: MagneticTable | None = None,
    nodes: int = ENSEMBLE_NODES,
    steps: int = ENSEMBLE_STEPS,
    keep_field: bool = False,
) -> CoilHeat:
    """Carry many wires through a coil of even field.

    Every argument is a number or one value a member. ``duration_s`` is coil length over
    line speed; ``field_A_per_m`` the peak field at the wire, with zone factor and scatter
    already in it. Without ``start_heat_J_per_m3`` (nodes, members) the wire enters even at
    ``start_degC``. The power follows from the field, so it falls by itself when the metal
    passes the Curie point, as it does at steady coil current.
    """
    metal = metal or heated_steel()
    grid = RadialGrid.of(nodes)
    members = _members(wire_radius_m, duration_s, field_A_per_m, frequency_Hz, start_degC)
    if start_heat_J_per_m3 is None:
        start_heat_J_per_m3 = np.array(np.broadcast_to(metal.heat_at(start_degC), (nodes, members)))
    radius = np.broadcast_to(np.asarray(wire_radius_m, float), (members,))
    field = EddyField(
        metal,
        grid,
        radius_m=radius,
        field_A_per_m=np.broadcast_to(np.asarray(field_A_per_m, float), (members,)),
        frequency_Hz=frequency_Hz,
        resistivity=resistivity or carbon_steel_resistivity(),
        magnetic=magnetic or MagneticTable.steel(),
    )
    history = march(
        metal, grid, radius_m=radius, start_heat_J_per_m3=start_heat_J_per_m3,
        duration_s=duration_s, fractions=np.linspace(0.0, 1.0, steps + 1),
        loss=Convection(convection_W_per_m2K, ambient_degC, emissivity),
        source=field, keep_field=keep_field,
    )  # fmt: skip
    lost = history.heat_lost_J_per_m()
    return CoilHeat(history, history.heat_gained_J_per_m() + lost, lost)


def _members(*values: Any) -> int:
    shape = np.broadcast_shapes((1,), *(np.shape(value) for value in values))
    return int(shape[0])


def field_for(
    wanted: Array, reached: Callable[[Array], Array], least_A_per_m: Array, greatest_A_per_m: Array
) -> Array:
    """The field at which ``reached(fields)`` equals each wanted value; nan without a root.

    ``reached`` takes fields (candidates, wanted) and gives the rising result in the same
    shape. 32 candidates spread evenly in the logarithm find a bracket, 32 more divide it,
    and the last is halved by a straight line: the residual is below 1e-4 of the result.
    """
    low, high = np.asarray(least_A_per_m, float), np.asarray(greatest_A_per_m, float)
    share = np.linspace(0.0, 1.0, CANDIDATES)[:, None]
    column = np.arange(low.size)
    for _ in range(2):
        trial = low * (high / low) ** share
        value = reached(trial)
        above = value >= wanted
        found = above.any(axis=0) & ~above[0]
        upper = np.maximum(above.argmax(axis=0), 1)
        low, high = trial[upper - 1, column], trial[upper, column]
        below, beyond = value[upper - 1, column], value[upper, column]
        part = (wanted - below) / np.where(beyond > below, beyond - below, 1.0)
    return np.where(found, low + part * (high - low), np.nan)
