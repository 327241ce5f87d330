"""Cells along half a joint and the tridiagonal solve over many members at once.

`Mesh` holds widths, couplings and the share of the current in every cell; `Conduction`
is the matrix of an implicit conduction step, factorised once for several right-hand
sides; `length_above` measures how much of a profile lies above a temperature.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Mesh(NamedTuple):
    """Half joint from the faces outwards, SI units, (cells, members) unless said."""

    area: Array
    """Section, m2 (members,)."""
    width: Array
    position: Array
    up: Array
    """1/(distance to the next middle * own width), (cells - 1, members)."""
    down: Array
    """1/(distance * next cell's width), (cells - 1, members)."""
    spread: Array
    """Mean square of the share of the joint's current that flows through a cell."""
    free: int
    """Cells before the electrode's edge."""
    edge_distance: Array
    """Last middle to the end of the mesh, m (members,)."""
    side: Array
    """Circumference over section, 1/m (members,)."""
    bend: Array
    """Share of (first - second value) that a parabola adds at the faces (members,)."""

    @classmethod
    def of(
        cls, *, free_cells: int, clamp_cells: int, diameter_m: Array, free_m: Array, clamp_m: Array
    ) -> Mesh:
        """Cells that widen away from the faces, and again away from the electrode's edge.

        The current passes out evenly along the clamp: share g = 1 - s/Lc at depth s.
        """
        ladder = np.arange(free_cells + 1) / free_cells
        free = np.diff(0.8 * ladder + 0.2 * ladder**2)[:, None] * free_m
        depth = (np.arange(clamp_cells + 1) / max(clamp_cells, 1)) ** 1.8
        clamp = np.diff(depth)[:, None] * clamp_m
        width = np.concatenate([free, clamp])
        ends = np.cumsum(width, axis=0)
        left = (1.0 - depth[:-1]) ** 3 - (1.0 - depth[1:]) ** 3
        share = left / (3.0 * np.diff(depth)) if clamp_cells else left
        distance = (width[1:] + width[:-1]) / 2.0
        first, gap = width[0] / 2.0, distance[0]
        return cls(
            area=np.pi / 4.0 * diameter_m**2,
            width=width,
            position=ends - width / 2.0,
            up=1.0 / (distance * width[:-1]),
            down=1.0 / (distance * width[1:]),
            spread=np.concatenate([np.ones(free_cells), share])[:, None],
            free=free_cells,
            edge_distance=width[-1] / 2.0,
            side=4.0 / diameter_m,
            bend=first**2 / ((first + gap) ** 2 - first**2),
        )


class Conduction:
    """Factors of I - w J, J the conduction of enthalpy with frozen diffusivity.

    weight: gamma * step, s (members,); sink: slope over enthalpy of the heat that the
    electrode takes from the last cells, 1/s (last cells, members). Columns are diagonally
    dominant, so no pivots are needed.
    """

    def __init__(self, mesh: Mesh, diffusivity: Array, sink: Array, weight: Array) -> None:
        scaled = diffusivity * weight
        self.upper = -mesh.up * scaled[1:]
        lower = -mesh.down * scaled[:-1]
        diagonal = np.ones_like(scaled)
        diagonal[:-1] -= lower * (mesh.up / mesh.down)
        diagonal[1:] -= self.upper * (mesh.down / mesh.up)
        diagonal[-sink.shape[0] :] += weight * sink
        self.factor = lower
        self.inverse = diagonal
        np.reciprocal(diagonal[0], out=diagonal[0])
        for row in range(1, diagonal.shape[0]):
            lower[row - 1] *= diagonal[row - 1]
            diagonal[row] -= lower[row - 1] * self.upper[row - 1]
            np.reciprocal(diagonal[row], out=diagonal[row])

    def solve(self, right: Array) -> Array:
        """The solution for one right-hand side (cells, members)."""
        answer = right.copy()
        for row in range(1, answer.shape[0]):
            answer[row] -= self.factor[row - 1] * answer[row - 1]
        answer[-1] *= self.inverse[-1]
        for row in range(answer.shape[0] - 2, -1, -1):
            answer[row] -= self.upper[row] * answer[row + 1]
            answer[row] *= self.inverse[row]
        return answer


def length_above(position: Array, value: Array, limit: Any) -> Array:
    """Length on which a profile lies above a limit, straight between its points.

    position, value: (points, members); the profile is taken as even from zero to its
    first point. The unit is that of ``position``.
    """
    low, high = value[:-1], value[1:]
    rise = np.where(high == low, 1.0, high - low)
    part = np.where(
        high == low, np.where(low > limit, 1.0, 0.0), np.clip((limit - low) / rise, 0.0, 1.0)
    )
    above = np.where(high == low, part, np.where(high > low, 1.0 - part, part))
    whole = (above * np.diff(position, axis=0)).sum(axis=0)
    return np.asarray(whole + np.where(value[0] > limit, position[0], 0.0))
