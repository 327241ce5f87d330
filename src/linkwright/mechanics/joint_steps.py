"""The marching solver behind `joint_heat`: rates, electric state, steps, gathering.

`JointSolver` spreads the inputs over the members, marches through current and hold with
a two-stage linearly implicit method on fixed steps, keeps account of every heat, and gives the
`HeatedJoint`. Members never see each other.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.mechanics.joint_circuit import (
    Currents,
    Source,
    WeldCircuit,
    back_impedance,
    divide,
    ring_inductance,
)
from linkwright.mechanics.joint_mesh import Conduction, Mesh
from linkwright.mechanics.joint_metal import JointMetal, State, face_resistance
from linkwright.mechanics.joint_sizes import (
    Clamp,
    HeatedJoint,
    JointGeometry,
    JointGrid,
    JointHistory,
)

Array = NDArray[np.float64]
_GAMMA = 1.0 - np.sqrt(0.5)
_FIRST_ROUNDS = 12
_NO_BACK_M = 1e4  # a back this long carries nothing


class _Rates(NamedTuple):
    """Right-hand side at one state."""

    change: Array
    state: State
    sink: Array  # slope over enthalpy of what the electrode takes from the last cells, 1/s
    heats: Array  # made, lost at the surface, lost to the side of the electrode, back; W
    back: Array
    back_degC: Array
    currents: Currents
    joint_ohm: Array
    contact_ohm: Array
    spot: Array
    face: Array


class _Passive(NamedTuple):
    """Change by conduction and losses, W/m3, and the two losses that it holds."""

    change: Array
    surface: Array
    taken: Array
    sink: Array


class JointSolver:
    """One run: spread inputs, march, gather."""

    def __init__(
        self,
        geometry: JointGeometry,
        circuit: WeldCircuit,
        clamp: Clamp,
        metal: JointMetal,
        weld_time_s: Any,
        hold_time_s: Any,
        grid: JointGrid,
    ) -> None:
        given = [*vars(geometry).values(), *vars(clamp).values(), weld_time_s, hold_time_s]
        given += [value for value in vars(circuit).values() if value is not None]
        self.members = np.broadcast(*[np.asarray(value) for value in given]).size

        def spread(value: Any, scale: float = 1.0) -> Array:
            return np.broadcast_to(np.asarray(value, float) * scale, (self.members,)).copy()

        self.metal, self.grid = metal, grid
        self.diameter = spread(geometry.wire_diameter_mm, 1e-3)
        free = spread(geometry.electrode_distance_mm, 0.5e-3)
        self.mesh = Mesh.of(
            free_cells=grid.free_cells,
            clamp_cells=grid.clamp_cells,
            diameter_m=self.diameter,
            free_m=free,
            clamp_m=spread(geometry.contact_length_mm, 1e-3),
        )
        self.back_length = np.minimum(spread(geometry.back_length_mm, 1e-3), _NO_BACK_M)
        self.inductance = ring_inductance(
            centreline_m=self.back_length + 2.0 * free, diameter_m=self.diameter
        )
        self.factor = spread(geometry.resistivity_factor)
        self.source = Source.of(circuit, self.members)
        self.force = spread(clamp.force_kN, 1e3)
        self.spots = spread(clamp.contact_spots)
        self.electrode = spread(clamp.electrode_temperature_degC)
        self.transfer = spread(clamp.electrode_heat_transfer_kW_per_m2K, 1e3)
        self.heat_share = spread(clamp.electrode_heat_share)
        self.start = spread(clamp.start_degC)
        self.weld_time, self.hold_time = spread(weld_time_s), spread(hold_time_s)
        self.end_theta = metal.kirchhoff_at(self.electrode)

    def solve(self) -> HeatedJoint:
        """March through current and hold."""
        grid, metal = self.grid, self.metal
        heat = np.repeat(metal.enthalpy_at(self.start)[None], self.mesh.width.shape[0], axis=0)
        first, back = heat.copy(), metal.enthalpy_at(self.start)
        times = self.weld_time * (np.arange(grid.steps + 1)[:, None] / grid.steps) ** grid.grading
        sums = np.zeros((4, self.members))
        use = np.zeros((3, self.members))
        now = self._rates(heat, back, None)
        peak = now.state.temperature
        course = [now]
        for step in np.diff(times, axis=0):
            heat, back, gained, later = self._step(heat, back, now, step)
            use += step * self._use(later.currents)
            sums += gained
            now = self._rates(heat, back, now)
            course.append(now)
            peak = np.maximum(peak, now.state.temperature)
        stored = (heat - first) * self.mesh.width
        held, peak = self._hold(heat, now.state, peak)
        return self._gather(times, course, held, peak, stored, sums, use)

    def _hold(self, heat: Array, state: State, peak: Array) -> tuple[Array, Array]:
        """Temperatures at the end of a hold without current, and the greatest passed.

        The method is that of `_step` with nothing but conduction and losses.
        """
        step = self.hold_time / max(self.grid.hold_steps, 1)
        for _ in range(self.grid.hold_steps):
            now = self._passive(state)
            matrix = Conduction(self.mesh, state.stiffness, now.sink, _GAMMA * step)
            first = matrix.solve(now.change)
            trial = self._passive(self.metal.state(heat + step / 2.0 * first))
            heat = heat + step * matrix.solve(trial.change + now.change - first)
            state = self.metal.state(heat)
            peak = np.maximum(peak, state.temperature)
        return state.temperature, peak

    def _step(
        self, heat: Array, back: Array, now: _Rates, step: Array
    ) -> tuple[Array, Array, Array, _Rates]:
        """One step; conduction and the electrode's cooling are taken implicitly.

        (1 - g s J) k1 = f(y); (1 - g s J) k2 = f(y + s k1/2) + f(y) - k1; y + s k2, with
        g = 1 - 1/sqrt(2): second order for any J, so what J leaves out enters by its
        value in the middle of the step and every heat can be booked exactly.
        """
        matrix = Conduction(self.mesh, now.state.stiffness, now.sink, _GAMMA * step)
        first = matrix.solve(now.change)
        half = step / 2.0
        trial = self._rates(heat + half * first, back + half * now.back, now)
        right = trial.change + now.change
        right -= first
        second = matrix.solve(right)
        gained = step * trial.heats
        last = slice(-now.sink.shape[0], None)
        later = now.sink * (second[last] - first[last]) * self.mesh.width[last]
        gained[2] += _GAMMA * step**2 * later.sum(axis=0) * self.mesh.area
        return heat + step * second, back + step * trial.back, gained, trial

    def _rates(self, heat: Array, back: Array, before: _Rates | None) -> _Rates:
        """Heat made and lost and the currents at one state (half joint)."""
        mesh = self.mesh
        state, warm_back = self._state(heat), self._state(back)
        currents, joint_ohm, contact_ohm, spot, face, back_rate = self._electric(
            state, warm_back, before
        )
        density = currents.joint / mesh.area
        change = density**2 * mesh.spread * state.resistivity
        change[0] += currents.joint**2 * contact_ohm / (2.0 * mesh.area * mesh.width[0])
        if self.grid.clamp_cells:
            entering = self.heat_share * currents.total**2 * self.source.electrode
            change[mesh.free :] += entering / (mesh.area * mesh.width[mesh.free :].sum(axis=0))
        passive = self._passive(state)
        last = slice(-passive.taken.shape[0], None)
        volume = mesh.width * mesh.area
        heats = np.stack(
            [
                (change * volume).sum(axis=0),
                (passive.surface * volume[: mesh.free]).sum(axis=0),
                (passive.taken * volume[last]).sum(axis=0),
                back_rate * mesh.area * self.back_length,
            ]
        )
        change += passive.change
        return _Rates(
            change, state, passive.sink, heats, back_rate, warm_back.temperature, currents,
            joint_ohm, contact_ohm, spot, face,
        )  # fmt: skip

    def _passive(self, state: State) -> _Passive:
        """What conduction, the surface and the electrode do, with or without a current."""
        mesh = self.mesh
        surface = self.metal.lost(state, mesh.free) * mesh.side
        taken, sink = self._electrode(state)
        change = np.zeros_like(state.temperature)
        change[: mesh.free] -= surface
        change[-taken.shape[0] :] -= taken
        flow = state.kirchhoff[:-1] - state.kirchhoff[1:]
        change[:-1] -= flow * mesh.up
        change[1:] += flow * mesh.down
        return _Passive(change, surface, taken, sink)

    def _state(self, heat: Array) -> State:
        """The tables' state with the wire's own resistivity."""
        state = self.metal.state(heat)
        return state._replace(
            resistivity=state.resistivity * self.factor,
            resistivity_slope=state.resistivity_slope * self.factor,
        )

    def _electrode(self, state: State) -> tuple[Array, Array]:
        """Heat in W/m3 that the electrode takes from the last cells, and its slope."""
        mesh = self.mesh
        if self.grid.clamp_cells:
            reach = self.transfer * mesh.side
            warmer = state.temperature[mesh.free :] - self.electrode
            return warmer * reach, state.temperature_slope[mesh.free :] * reach
        reach = 1.0 / (mesh.edge_distance * mesh.width[-1:])
        return (state.kirchhoff[-1:] - self.end_theta) * reach, state.stiffness[-1:] * reach

    def _electric(
        self, state: State, back: State, before: _Rates | None
    ) -> tuple[Currents, Array, Array, Array, Array, Array]:
        """Resistances and currents; those of ``before`` start the contact's iteration."""
        mesh = self.mesh
        bulk = 2.0 * (state.resistivity * mesh.spread * mesh.width).sum(axis=0) / mesh.area
        face = self._face(state, before)
        steepness = state.resistivity_slope / state.temperature_slope[0]
        at_face = state.resistivity[0] + steepness * (face - state.temperature[0])
        joint = self._joint_guess() if before is None else before.currents.joint
        spot = face if before is None else before.spot
        through = self._joint_guess() / 3.0 if before is None else before.currents.back
        for _ in range(3 if before is None else 1):
            contact, spot = face_resistance(
                self.metal,
                face_degC=face,
                resistivity_ohm_m=at_face,
                current_A=joint,
                force_N=self.force,
                area_m2=mesh.area,
                spots=self.spots,
                start_degC=spot,
                rounds=_FIRST_ROUNDS if before is None else 2,
            )
            resistance, reactance = back_impedance(
                resistivity_ohm_m=back.resistivity,
                current_A=through,
                length_m=self.back_length,
                diameter_m=self.diameter,
                loop_inductance_H=self.inductance,
                pulsation_per_s=self.source.pulsation,
            )
            currents = divide(self.source, bulk + contact, resistance, reactance)
            joint, through = currents.joint, currents.back
        back_rate = currents.back**2 * resistance / (mesh.area * self.back_length)
        return currents, bulk + contact, contact, spot, face, back_rate

    def _face(self, state: State, before: _Rates | None) -> Array:
        """Temperature of the pressed faces: a parabola through two cells and the flux."""
        mesh, near = self.mesh, state.temperature[0]
        face: Array = near + mesh.bend * (near - state.temperature[1])
        if before is None:
            return face
        flux = before.currents.joint**2 * before.contact_ohm / (2.0 * mesh.area)
        gap = (mesh.width[0] + mesh.width[1]) / 2.0
        face += flux / state.conductivity * (mesh.width[0] / 2.0 - mesh.bend * gap)
        return face

    def _released(self, held: Array, face: Array) -> Array:
        """Temperature of the faces at the end of the hold."""
        if not self.grid.hold_steps:
            return face
        return np.asarray(held[0] + self.mesh.bend * (held[0] - held[1]))

    def _use(self, currents: Currents) -> Array:
        """Real power in W, the back's share of the current, heat of both electrodes' contacts."""
        contacts = 2.0 * self.source.electrode * currents.total**2
        share = currents.back / np.maximum(currents.total, 1e-9)
        return np.stack([currents.power, share, contacts])

    def _joint_guess(self) -> Array:
        """Current if the link had no resistance."""
        driven = self.source.voltage / np.hypot(self.source.resistance, self.source.reactance)
        given: Array = np.where(np.isnan(self.source.current), driven, self.source.current)
        return given

    def _gather(
        self,
        times: Array,
        course: list[_Rates],
        held: Array,
        peak: Array,
        stored: Array,
        sums: Array,
        use: Array,
    ) -> HeatedJoint:
        """Results in the units of the shop; ``stored`` in J/m2 a cell."""
        mesh, last, free = self.mesh, course[-1], self.mesh.free
        temperature = last.state.temperature
        made, surface, clamped, back = sums
        time = np.where(self.weld_time > 0.0, self.weld_time, 1.0)
        return HeatedJoint(
            position_mm=mesh.position * 1e3,
            width_mm=mesh.width * 1e3,
            temperature_degC=temperature,
            held_temperature_degC=held,
            peak_temperature_degC=peak,
            free_cells=free,
            joint_temperature_degC=last.face,
            released_temperature_degC=self._released(held, last.face),
            visible_temperature_degC=self._visible(temperature),
            edge_temperature_degC=self._edge(temperature),
            back_temperature_degC=last.back_degC,
            joint_heat_kJ=2e-3 * made,
            stored_heat_kJ=2e-3 * stored.sum(axis=0) * mesh.area,
            surface_heat_kJ=2e-3 * surface,
            electrode_heat_kJ=2e-3 * clamped,
            contact_heat_kJ=1e-3 * use[2],
            back_heat_kJ=1e-3 * back,
            machine_energy_kJ=1e-3 * use[0],
            apparent_power_kVA=1e-3 * np.max([rate.currents.apparent for rate in course], axis=0),
            power_factor=last.currents.power / np.maximum(last.currents.apparent, 1e-9),
            back_current_share=use[1] / time,
            history=self._history(times, course),
        )

    def _visible(self, temperature: Array) -> Array:
        """Mean over the length between the electrodes."""
        free = self.mesh.width[: self.mesh.free]
        return np.asarray((temperature[: self.mesh.free] * free).sum(axis=0) / free.sum(axis=0))

    def _edge(self, temperature: Array) -> Array:
        """Temperature at the electrode's edge, between its two nearest cells."""
        if not self.grid.clamp_cells:
            return self.electrode
        free = self.mesh.free
        inner, outer = self.mesh.width[free - 1], self.mesh.width[free]
        edge = temperature[free - 1] * outer + temperature[free] * inner
        return np.asarray(edge / (inner + outer))

    def _history(self, times: Array, course: list[_Rates]) -> JointHistory:
        def stack(pick: Callable[[_Rates], Array], scale: float = 1.0) -> Array:
            return np.stack([pick(rate) for rate in course]) * scale

        return JointHistory(
            time_s=times,
            secondary_current_kA=stack(lambda rate: rate.currents.total, 1e-3),
            secondary_voltage_V=stack(lambda rate: _voltage(rate.currents)),
            joint_current_kA=stack(lambda rate: rate.currents.joint, 1e-3),
            joint_resistance_microohm=stack(lambda rate: rate.joint_ohm, 1e6),
            contact_resistance_microohm=stack(lambda rate: rate.contact_ohm, 1e6),
            face_degC=stack(lambda rate: rate.face),
            visible_degC=stack(lambda rate: self._visible(rate.state.temperature)),
            edge_degC=stack(lambda rate: self._edge(rate.state.temperature)),
            contact_spot_degC=stack(lambda rate: rate.spot),
            back_degC=stack(lambda rate: rate.back_degC),
        )


def _voltage(currents: Currents) -> Array:
    """No-load voltage of the secondary that the current needs."""
    return currents.apparent / np.maximum(currents.total, 1e-9)
