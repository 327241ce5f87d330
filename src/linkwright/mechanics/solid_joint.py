"""Several swept bodies that meet in nothing but their contact, factorised one by one.

    Joint, Together     as `Fronts` and `Condensed`, for bodies one after another

What each leaves on its part of the border stands side by side; the contact couples it there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.linalg import block_diag

from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_fronts import Condensed, Fronts


class Together(NamedTuple):
    """Factorised bodies, all but their border."""

    parts: list[Condensed]
    border: Ints
    """Degrees of freedom left, rising."""
    schur: Floats
    """Stiffness of the bodies as the border sees it."""

    @property
    def negative_pivots(self) -> int:
        """Of all bodies."""
        return sum(part.negative_pivots for part in self.parts)

    def forward(self, load: Floats) -> Floats:
        """A load half-way; its entries on the border are condensed."""
        sizes = np.cumsum([part.size for part in self.parts])[:-1]
        pieces = np.split(load, sizes)
        return np.concatenate(
            [part.forward(piece) for part, piece in zip(self.parts, pieces, strict=True)]
        )

    def backward(self, work: Floats, border: Floats) -> Floats:
        """Displacements for a load half-way and those of the border; zero where held."""
        sizes = np.cumsum([part.size for part in self.parts])[:-1]
        counts = np.cumsum([len(part.border) for part in self.parts])[:-1]
        pieces = zip(self.parts, np.split(work, sizes), np.split(border, counts), strict=True)
        return np.concatenate([part.backward(piece, edge) for part, piece, edge in pieces])


class Joint:
    """The patterns of swept bodies, one after another in their degrees of freedom."""

    def __init__(self, parts: Sequence[Fronts]) -> None:
        """In the order of their nodes and elements."""
        self.parts = list(parts)
        self.free = np.concatenate([part.free for part in parts])
        self._first = np.cumsum([0, *(part.size for part in parts)])
        self._elements = np.cumsum([len(part.mesh.elements) for part in parts])[:-1]

    def condensed(self, stiffness: Floats, border: Ints) -> Together:
        """Factorise element tangents of all bodies but for a border of all."""
        tangents = np.split(stiffness, self._elements)
        edges = np.split(border, np.searchsorted(border, self._first[1:-1]))
        made = [
            part.condensed(tangent, edge - first)
            for part, tangent, edge, first in zip(
                self.parts, tangents, edges, self._first[:-1], strict=True
            )
        ]
        starts = zip(made, self._first[:-1], strict=True)
        return Together(
            made,
            np.concatenate([part.border + first for part, first in starts]),
            block_diag(*(part.schur for part in made)),
        )
