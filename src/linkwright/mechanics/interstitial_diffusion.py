"""Diffusion of carbon or nitrogen through the surface of round and flat bodies, many at once.

Offers

- `Layer`: the body: nodes over a cylinder, a tube or a plate, fine where gas meets metal,
- `GasStage`: a time at one temperature in one gas,
- `soak_in_gas`, which solves

    dc/dt = r^-m d/dr (r^m D(c) dc/dr),  D(c) = a exp(b c),   m = 1 round, 0 flat,
    D dc/dn = beta (c_gas - c) at a surface in gas, 0 at a centre,

- `exponential_law`: a and b of a diffusivity known at two contents.

Finite volumes that keep the mass to rounding: the flux between two nodes is the difference of
the potential a/b exp(b c), exact for any step of c. In time the two-stage L-stable method of
Alexander (SIAM J. Numer. Anal. 14 (1977) 1006), second order. Members are the first axis, nodes
the last; no member feels another.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]

_GAMMA = 1.0 - np.sqrt(0.5)
_NEWTON = 2
_GRADING = 3.0
_FLAT_EXPONENT = 1e-9


@dataclass(frozen=True)
class GasStage:
    """A time in gas: numbers, or one value a member.

    law: a in mm2/s and b of D = a exp(b c). content: that which the metal would take up in the
    end, in the unit of the content. transfer_mm_per_s: beta at the outside; ``inside_share`` is
    its share at the bore. steps: of time; they grow from the start, where the surface changes.
    """

    time_s: Array | float
    prefactor_mm2_per_s: Array | float
    exponent: Array | float
    content: Array | float
    transfer_mm_per_s: Array | float
    inside_share: Array | float = 1.0
    steps: int = 16


@dataclass(frozen=True)
class Layer:
    """Nodes of the bodies (members, nodes) in mm and what connects them.

    position: from the centre, the bore or the middle plane (node 0) to the outside (last).
    volume, area: of control volumes and of the faces between them, per radian and length or per
    area. inside: whether node 0 lies in gas (a bore) rather than at a centre.
    """

    position_mm: Array
    volume: Array
    area: Array
    outer_area: Array
    inner_area: Array
    inside: bool

    @classmethod
    def of(cls, outer_mm: Any, inner_mm: Any, *, flat: bool, nodes: int = 41) -> Layer:
        """Bodies between two radii, or a half plate of thickness ``outer_mm`` (``inner_mm`` 0).

        Raises `ArgumentError` where the inner radius is not below the outer, or for too few nodes.
        """
        outer = np.atleast_1d(np.asarray(outer_mm, float))
        inner = np.broadcast_to(np.asarray(inner_mm, float), outer.shape)
        if np.any(inner >= outer):
            raise ArgumentError("inner_mm", float(np.max(inner)), "mm", "below the outer size")
        if nodes < 5 or nodes % 2 == 0:
            raise ArgumentError("nodes", nodes, "", "an odd number from 5 on")
        tube = bool(np.any(inner > 0.0))
        share = _both_ends(nodes) if tube else _one_end(nodes)
        position = inner[:, None] + (outer - inner)[:, None] * share
        face = 0.5 * (position[:, 1:] + position[:, :-1])
        edges = np.concatenate((position[:, :1], face, position[:, -1:]), axis=1)
        volume = np.diff(edges) if flat else 0.5 * np.diff(edges**2)
        one = np.ones_like(outer)
        return cls(
            position, volume, np.ones_like(face) if flat else face,
            one if flat else outer, one if flat else inner, tube,
        )  # fmt: skip

    def depth_mm(self) -> Array:
        """Distance from the outside, the outer node first (the order of the nodes turned)."""
        return np.asarray((self.position_mm[:, -1:] - self.position_mm)[:, ::-1])


class Soaked(NamedTuple):
    """What `soak_in_gas` gives: contents at the nodes and what went in, per ``outer_area``."""

    content: Array
    uptake: Array


def exponential_law(
    diffusivity: Callable[[float], Any], low: float, high: float
) -> tuple[Array, Array]:
    """Prefactor a and exponent b of D = a exp(b c) through the diffusivity at two contents."""
    first, last = np.asarray(diffusivity(low), float), np.asarray(diffusivity(high), float)
    exponent = np.log(last / first) / (high - low)
    return first * np.exp(-exponent * low), exponent


def soak_in_gas(layer: Layer, content: Any, stages: Sequence[GasStage]) -> Soaked:
    """Contents after all stages and the uptake (mm times the unit of content) at all surfaces.

    A positive uptake went into the metal; it equals the change of the contents to rounding.
    """
    shape = layer.position_mm.shape
    start = np.broadcast_to(np.asarray(content, float)[..., None], shape)
    solver = _Solver(layer, np.array(start))
    for stage in stages:
        solver.run(stage)
    return Soaked(solver.content, solver.uptake / layer.outer_area)


def _one_end(nodes: int) -> Array:
    """Shares from 0 to 1, fine at 1."""
    run = np.linspace(0.0, _GRADING, nodes)
    return np.asarray((1.0 - np.expm1(run) / np.expm1(_GRADING))[::-1])


def _both_ends(nodes: int) -> Array:
    """Shares from 0 to 1, fine at both."""
    half = _one_end(nodes // 2 + 1)
    return np.concatenate((0.5 * (1.0 - half[::-1]), 0.5 + 0.5 * half[1:]))


class _Solver:
    """Steps all members in one tridiagonal system whose blocks do not touch."""

    def __init__(self, layer: Layer, content: Array) -> None:
        self.layer, self.content = layer, content
        self.members, self.nodes = content.shape
        self.uptake = np.zeros(self.members)
        self.link = layer.area / np.diff(layer.position_mm)
        self.lower, self.upper = np.zeros((2, self.members, self.nodes))

    def run(self, stage: GasStage) -> None:
        """Advance by one stage; members may have times of their own, also none."""
        gas = _Gas(
            self._column(stage.prefactor_mm2_per_s),
            self._column(stage.exponent),
            self._column(stage.content),
            self._column(stage.transfer_mm_per_s),
            self._column(stage.inside_share),
        )
        edges = (np.arange(stage.steps + 1) / stage.steps) ** 2
        for span in np.diff(edges):
            self._step(self._column(stage.time_s) * span, gas)

    def _column(self, value: Any) -> Array:
        return np.broadcast_to(np.asarray(value, float).reshape(-1, 1), (self.members, 1))

    def _step(self, span: Array, gas: _Gas) -> None:
        before = self.content
        first, rate, entry = self._stage(before, before, _GAMMA * span, gas)
        part = before + (1.0 - _GAMMA) * span * rate
        last, _, end = self._stage(part, first, _GAMMA * span, gas)
        self.uptake += ((1.0 - _GAMMA) * span * entry + _GAMMA * span * end)[:, 0]
        self.content = last

    def _stage(
        self, known: Array, guess: Array, weight: Array, gas: _Gas
    ) -> tuple[Array, Array, Array]:
        """Contents c = known + weight F(c); F itself; what enters through the surfaces."""
        content, volume = guess, self.layer.volume
        for _ in range(_NEWTON):
            flow, slope, entry = self._flows(content, gas)
            residual = volume * (known - content) + weight * flow
            diagonal = self._matrix(slope, weight, gas)
            change = _tridiagonal(self.lower, diagonal, self.upper, residual)
            content = content + change
            entry = entry - (self._transfers(gas) * change[:, [0, -1]]).sum(axis=1, keepdims=True)
        # the linear system leaves volume (content - known) = weight times the flow solved for
        rate = np.divide(content - known, weight, out=np.zeros_like(content), where=weight > 0.0)
        return content, rate, entry

    def _transfers(self, gas: _Gas) -> Array:
        """Transfer times area at node 0 and at the last node."""
        inner = gas.transfer * gas.inside_share * self.layer.inner_area[:, None]
        outer = gas.transfer * self.layer.outer_area[:, None]
        return np.concatenate((inner if self.layer.inside else 0.0 * inner, outer), axis=1)

    def _flows(self, content: Array, gas: _Gas) -> tuple[Array, Array, Array]:
        """Inflow of each control volume, diffusivity at the nodes, inflow at the surfaces."""
        diffusivity = gas.prefactor * np.exp(gas.exponent * content)
        even = np.abs(gas.exponent) < _FLAT_EXPONENT
        steep = np.where(even, 1.0, gas.exponent)
        potential = np.where(even, gas.prefactor * content, diffusivity / steep)
        between = self.link * np.diff(potential)
        flow = np.zeros_like(content)
        flow[:, :-1] += between
        flow[:, 1:] -= between
        entering = self._transfers(gas) * (gas.content - content[:, [0, -1]])
        flow[:, 0] += entering[:, 0]
        flow[:, -1] += entering[:, 1]
        return flow, diffusivity, entering.sum(axis=1, keepdims=True)

    def _matrix(self, slope: Array, weight: Array, gas: _Gas) -> Array:
        """Fill the off-diagonals of volume - weight dF/dc; gives the diagonal."""
        self.lower[:, 1:] = -weight * self.link * slope[:, :-1]
        self.upper[:, :-1] = -weight * self.link * slope[:, 1:]
        diagonal = self.layer.volume.copy()
        diagonal[:, :-1] += weight * self.link * slope[:, :-1]
        diagonal[:, 1:] += weight * self.link * slope[:, 1:]
        surface = weight * self._transfers(gas)
        diagonal[:, 0] += surface[:, 0]
        diagonal[:, -1] += surface[:, 1]
        return diagonal


class _Gas(NamedTuple):
    """One stage, each a column (members, 1)."""

    prefactor: Array
    exponent: Array
    content: Array
    transfer: Array
    inside_share: Array


def _tridiagonal(lower: Array, diagonal: Array, upper: Array, right: Array) -> Array:
    """Solve the members' systems as one: zeros stand where two members meet."""
    from scipy.linalg.lapack import dgtsv  # noqa: PLC0415 - heavy, on use

    *_, solution, failed = dgtsv(
        lower.ravel()[1:], diagonal.ravel(), upper.ravel()[:-1], right.reshape(-1, 1)
    )
    if failed:
        raise ArithmeticError("the diffusion matrix is singular")
    return np.asarray(solution).reshape(diagonal.shape)
