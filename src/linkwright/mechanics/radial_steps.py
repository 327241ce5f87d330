"""The transient of radial heat flow in many round bars at once.

Offers `march`, which solves

    rho c(T) dT/dt = (1/r) d/dr(r k(T) dT/dr) + q(r, T, t)

for all members together, and `HeatHistory`, what it returns: heat content at the asked
positions, from which temperatures, times of crossing and cooling rates follow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.mechanics.radial_heat import Array, MetalTable, NoLoss, RadialGrid, SurfaceLoss

_GAMMA = 2.0 - np.sqrt(2.0)
_HALF = 0.5 * _GAMMA
_BACK = (1.0 - _GAMMA) ** 2 / (_GAMMA * (2.0 - _GAMMA))
_NEWTON = 6

_PER_RADIAN = 0.5 / np.pi

Source = Callable[[Array], tuple[Array, Array]]
"""``source(heat_J_per_m3)`` -> power (W/m) and its fall with temperature (W/mK).

All have shape (nodes, members), one control volume a node. Power is per length of bar, so
its sum over nodes is the whole power per length of each member. The fall (-dP/dT, zero where
unknown) enters the Newton steps only: it steadies a power that drops as the metal warms.
"""


@dataclass(frozen=True)
class HeatHistory:
    """What `march` kept: per position arrays (steps + 1, members) over the time of each member.

    Attributes: ``time_s``; ``heat_J_per_m3`` by position (share of the radius);
    ``mean_heat_J_per_m3`` of the section; ``end_heat_J_per_m3`` (nodes, members), from which
    a next `march` can go on; ``field_J_per_m3`` (steps + 1, nodes, members) only on request;
    ``source_W_per_m`` and ``lost_W_per_m`` (steps + 1, members), power put in and given off
    per length of bar.
    """

    metal: MetalTable
    grid: RadialGrid
    radius_m: Array
    time_s: Array
    heat_J_per_m3: dict[float, Array]
    mean_heat_J_per_m3: Array
    source_W_per_m: Array
    lost_W_per_m: Array
    end_heat_J_per_m3: Array
    field_J_per_m3: Array | None

    def temperature_degC(self, position: float) -> Array:
        """Temperature history (steps + 1, members) at a kept position."""
        return self.metal.temperature_at(self.heat_J_per_m3[position])

    def mean_temperature_degC(self) -> Array:
        """History of the temperature that the section would have if it were even."""
        return self.metal.temperature_at(self.mean_heat_J_per_m3)

    def end_temperature_degC(self) -> Array:
        """Temperatures (nodes, members) at the end."""
        return self.metal.temperature_at(self.end_heat_J_per_m3)

    def heat_gained_J_per_m(self) -> Array:
        """Heat taken up per length of bar from start to end (negative: given off)."""
        change = self.mean_heat_J_per_m3[-1] - self.mean_heat_J_per_m3[0]
        return np.asarray(np.pi * self.radius_m**2 * change)

    def heat_lost_J_per_m(self) -> Array:
        """Heat that the surface gave off per length of bar."""
        return np.asarray(np.trapezoid(self.lost_W_per_m, self.time_s, axis=0))

    def time_at(self, position: float, temperature_degC: float) -> Array:
        """First time (members,) at which the position cools to a temperature; nan if never.

        Between steps the heat content follows the cubic through both ends with slopes from
        the neighbouring steps. The rate is the slope of that cubic over rho c, so on the
        flank of a sharp peak of c it is known to some tens of per cent only, else to 0.2 %.
        """
        return self._crossing(position, temperature_degC)[0]

    def cooling_rate_at(self, position: float, temperature_degC: float) -> Array:
        """Cooling rate in K/s (members,) when the position first cools to a temperature."""
        rate = self._crossing(position, temperature_degC)[1]
        return -rate / self.metal.capacity_at(temperature_degC)

    def _crossing(self, position: float, temperature_degC: float) -> tuple[Array, Array]:
        level = float(self.metal.heat_at(temperature_degC))
        heat, time = self.heat_J_per_m3[position], self.time_s
        passed = (heat[:-1] >= level) & (heat[1:] < level)
        found = passed.any(axis=0)
        first = np.where(found, passed.argmax(axis=0), 0)
        member = np.arange(heat.shape[1])
        # four rows about the crossing; at an end of the history the last chord is repeated
        rows = np.clip(first + np.arange(-1, 3)[:, None], 0, heat.shape[0] - 1)
        spans = np.diff(time[rows, member], axis=0)
        chords = np.diff(heat[rows, member], axis=0)
        spans = np.where(spans > 0, spans, spans[1])
        chords = np.where(rows[1:] > rows[:-1], chords / spans, chords[1] / spans[1])
        before = (spans[1] * chords[0] + spans[0] * chords[1]) / (spans[0] + spans[1])
        after = (spans[2] * chords[1] + spans[1] * chords[2]) / (spans[1] + spans[2])
        start, end = heat[first, member] - level, heat[first + 1, member] - level
        share, slope = _cubic_root(start, end, before * spans[1], after * spans[1])
        when = time[first, member] + share * spans[1]
        return np.where(found, when, np.nan), np.where(found, slope / spans[1], np.nan)


def _cubic_root(start: Array, end: Array, rate: Array, rate_end: Array) -> tuple[Array, Array]:
    """Root in [0, 1] of the cubic with given ends and slopes, start >= 0 > end; and its slope.

    Newton steps that leave the bracket are replaced by halving it.
    """
    low, high = np.zeros_like(start), np.ones_like(start)
    with np.errstate(divide="ignore", invalid="ignore"):
        x = np.clip(np.nan_to_num(start / (start - end), nan=0.5), 0.0, 1.0)
        for _ in range(_NEWTON):
            value, slope = _cubic(x, start, end, rate, rate_end)
            low, high = np.where(value >= 0, x, low), np.where(value < 0, x, high)
            step = x - value / slope
            x = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
    return x, _cubic(x, start, end, rate, rate_end)[1]


def _cubic(x: Array, start: Array, end: Array, rate: Array, rate_end: Array) -> tuple[Array, Array]:
    square = 3.0 * (end - start) - 2.0 * rate - rate_end
    cube = 2.0 * (start - end) + rate + rate_end
    return start + x * (rate + x * (square + x * cube)), rate + x * (2 * square + 3 * x * cube)


def march(
    metal: MetalTable,
    grid: RadialGrid,
    *,
    radius_m: Any,
    start_heat_J_per_m3: Array,
    duration_s: Any,
    fractions: Array,
    loss: SurfaceLoss | None = None,
    source: Source | None = None,
    positions: tuple[float, ...] = (0.0, 0.5, 1.0),
    keep_field: bool = False,
) -> HeatHistory:
    """Follow the heat in many bars through one stage of a process.

    Space: finite volumes on ``grid`` for the heat content H with the Kirchhoff potential
    Phi, so dH/dt = F = div grad Phi(H). Time: TR-BDF2, L-stable and of second order, with
    one Newton step in each of its two stages:

        u1 = u + g dt/2 (F(u) + F(u1)),                                 g = 2 - sqrt(2)
        u' = (u1 - (1-g)^2 u)/(g (2-g)) + (1-g)/(2-g) dt F(u'),         begun at u1

    The symmetric tridiagonal systems are solved by elimination over all members, which are
    the contiguous last axis. The steps are chosen beforehand (``fractions`` of each member's
    own ``duration_s``), so a member never depends on the others.

    ``start_heat_J_per_m3`` (nodes, members) comes from ``metal.heat_at`` or from the end of
    an earlier stage. ``source`` is evaluated once a step; its change over the step is drawn
    on from the step before and corrected by its fall for what the metal does otherwise. First
    steps must be fine enough for a surface that meets water at once (`graded_fractions`).

    References: R. E. Bank et al., Transient simulation of silicon devices and circuits,
    IEEE Trans. Electron Devices 32 (1985) 1992-2007; M. E. Hosea, L. F. Shampine, Analysis
    and implementation of TR-BDF2, Appl. Numer. Math. 20 (1996) 21-37; S. V. Patankar,
    Numerical Heat Transfer and Fluid Flow (1980), ch. 4.
    """
    stage = _Stage(metal, grid, radius_m, start_heat_J_per_m3, loss or NoLoss(), source)
    duration = np.broadcast_to(np.asarray(duration_s, dtype=float), stage.radius.shape)
    nodes = {position: grid.node(position) for position in positions}
    count = len(fractions)
    shape = (count, stage.members)
    heat = {position: np.empty(shape) for position in positions}
    mean, power, lost = np.empty(shape), np.zeros(shape), np.empty(shape)
    field = np.empty((count, grid.nodes, stage.members)) if keep_field else None
    for index in range(count):
        stage.evaluate()
        for position, node in nodes.items():
            heat[position][index] = stage.heat[node]
        mean[index] = grid.mean(stage.heat)
        lost[index] = 2.0 * np.pi * stage.radius * stage.flux
        if stage.source is not None:
            power[index] = 2.0 * np.pi * stage.added.sum(axis=0)
        if field is not None:
            field[index] = stage.heat
        if index + 1 < count:
            stage.step((fractions[index + 1] - fractions[index]) * duration)
    return HeatHistory(
        metal, grid, stage.radius, np.multiply.outer(np.asarray(fractions), duration),
        heat, mean, power, lost, stage.heat, field,
    )  # fmt: skip


def _like(array: Array, count: int) -> list[Array]:
    return [np.empty_like(array) for _ in range(count)]


class _Stage:
    """State and work arrays of one `march`; all steps are done in place."""

    def __init__(
        self,
        metal: MetalTable,
        grid: RadialGrid,
        radius_m: Any,
        start: Array,
        loss: SurfaceLoss,
        source: Source | None,
    ) -> None:
        self.metal, self.grid, self.loss, self.source = metal, grid, loss, source
        self.heat = np.array(start, dtype=float, order="C", ndmin=2)
        self.members = self.heat.shape[1]
        self.radius = np.array(np.broadcast_to(np.asarray(radius_m, float), (self.members,)))
        self.square = self.radius**2
        self.volume, self.link = grid.volume[:, None], grid.link[:, None]
        self.balance, self.slope, self.phi, self.stiff = _like(self.heat, 4)
        self.first, self.second, self.spare = _like(self.heat, 3)
        self.flow = np.empty((grid.nodes - 1, self.members))
        self.cell = np.empty(self.heat.shape, dtype=np.intp)
        self.pivot = [np.empty(self.members) for _ in range(grid.nodes)]
        self.ratio = [np.empty(self.members) for _ in range(grid.nodes)]
        self.work = np.empty(self.members)
        self.last_span_s: Array | None = None
        size = self.heat if source is not None else np.empty((0, 0))
        self.added, self.added_before, self.heat_before = _like(size, 3)
        self.damping, self.growth, self.expected = _like(size, 3)
        self.flux: Array = np.zeros(self.members)
        self.lossiness = np.zeros(self.members)

    def evaluate(self) -> None:
        """Balance R2 v F of each control volume at the state reached."""
        if self.source is not None:
            power, fall = self.source(self.heat)
            # power per length over 2 pi is the balance of a control volume of one radian
            np.multiply(power, _PER_RADIAN, out=self.added)
            weight = _PER_RADIAN / self.metal.least_conductivity_W_per_mK
            np.multiply(fall, weight, out=self.damping)
        self.flux = self._balance(self.heat)
        if self.source is not None:
            self.balance += self.added

    def _trend(self, span_s: Array) -> None:
        """Change of source and heat content expected over the step, from the one before."""
        if self.last_span_s is None:
            self.growth[...] = 0.0
            self.expected[...] = 0.0
        else:
            ratio = span_s / self.last_span_s
            np.subtract(self.added, self.added_before, out=self.growth)
            np.subtract(self.heat, self.heat_before, out=self.expected)
            self.growth *= ratio
            self.expected *= ratio
        self.last_span_s = span_s
        self.added_before[...] = self.added
        self.heat_before[...] = self.heat

    def _balance(self, heat: Array) -> Array:
        """Balance and its slopes at a state; gives the flux out of the surface."""
        metal, phi, flow, slope, out = self.metal, self.phi, self.flow, self.slope, self.balance
        np.multiply(heat, metal.cells_per_heat, out=phi)
        self.cell[...] = phi
        metal.potential_slope.take(self.cell, mode="clip", out=slope)
        metal.potential_at_zero.take(self.cell, mode="clip", out=phi)
        np.multiply(slope, heat, out=out)
        phi += out
        np.subtract(phi[1:], phi[:-1], out=flow)
        flow *= self.link
        out[:-1] = flow
        out[-1] = 0.0
        out[1:] -= flow
        surface, warming = metal.temperature_and_slope(heat[-1])
        flux, steepness = self.loss.flux(surface)
        out[-1] -= self.radius * flux
        np.multiply(steepness, self.radius, out=self.lossiness)
        self.lossiness *= warming
        self.lossiness /= slope[-1]
        return flux

    def step(self, span_s: Array) -> None:
        """Advance all members by their own span; `evaluate` must have been called."""
        inverse = self.square / (_HALF * span_s)
        first, second = self.first, self.second
        np.multiply(self.balance, 2.0, out=first)
        if self.source is not None:
            self._trend(span_s)
            np.multiply(self.damping, self.slope, out=self.spare)
            self.spare *= self.expected
            self.spare += self.growth
            self.spare *= _GAMMA
            first += self.spare
        self._newton(inverse, first)
        self.heat += first
        self._balance(self.heat)
        np.multiply(first, self.volume, out=second)
        second *= inverse
        second *= _BACK
        second += self.balance
        if self.source is not None:
            second += self.added
            second += self.growth
            self.expected -= first
            self.expected *= self.damping
            self.expected *= self.slope
            second += self.expected
        self._newton(inverse, second)
        self.heat += second

    def _newton(self, inverse: Array, right: Array) -> None:
        """Turn a residual into the change of heat content by one linear solution."""
        np.divide(self.volume, self.slope, out=self.stiff)
        self.stiff *= inverse
        self._factorise()
        self._solve(right)
        right /= self.slope

    def _factorise(self) -> None:
        link, pivot, ratio = self.grid.link, self.pivot, self.ratio
        diagonal = self.stiff
        if self.source is not None:
            diagonal = np.add(self.stiff, self.damping, out=self.spare)
        np.add(diagonal[0], link[0], out=pivot[0])
        np.reciprocal(pivot[0], out=pivot[0])
        for row in range(1, self.grid.nodes):
            np.multiply(pivot[row - 1], link[row - 1], out=ratio[row])
            np.multiply(ratio[row], -link[row - 1], out=pivot[row])
            pivot[row] += diagonal[row]
            pivot[row] += link[row - 1] + (link[row] if row < self.grid.nodes - 1 else 0.0)
            if row == self.grid.nodes - 1:
                # a loss that falls with temperature may soften the step, never turn it
                pivot[row] += np.maximum(self.lossiness, -0.5 * self.stiff[row])
            np.reciprocal(pivot[row], out=pivot[row])

    def _solve(self, right: Array) -> None:
        pivot, ratio, work = self.pivot, self.ratio, self.work
        for row in range(1, self.grid.nodes):
            np.multiply(ratio[row], right[row - 1], out=work)
            right[row] += work
        right[-1] *= pivot[-1]
        for row in range(self.grid.nodes - 2, -1, -1):
            np.multiply(pivot[row], right[row], out=right[row])
            np.multiply(ratio[row + 1], right[row + 1], out=work)
            right[row] += work
