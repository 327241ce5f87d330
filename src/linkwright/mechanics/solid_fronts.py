"""Direct solution along the sweep: one dense front a slice, and a border for the contact.

    Fronts      the pattern of a swept mesh; `factor` gives a `Factors`, that gives `solve`

The stiffness of a swept mesh is block tridiagonal: a slice of cells touches two layers of nodes.
Eliminating layer after layer therefore needs nothing but dense factorisations of the size of a
layer, done by LAPACK and BLAS at nearly the full speed of the processor, and no search for an
order. Nodes in contact couple far-apart layers; they wait in a border that is carried along from
the first layer that has one, and are eliminated last. Compared with the general sparse
factorisation of scipy (SuperLU) this is several times faster; docs/models/solid_link.md has the
figures.

Fronts are symmetric: Cholesky where the front is positive, else the symmetric indefinite
factorisation (Bunch-Kaufman), which also counts the negative pivots: more than none at a
converged state of displacement control tell of a bifurcation.

References: B. M. Irons, Int. J. Numer. Meth. Engng 2, 1970 (frontal solution); G. H. Golub and
C. F. Van Loan, Matrix Computations, 4th edition, 2013, sections 4.2 and 4.4.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.linalg import blas, lapack, ldl

from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_mesh import Mesh


class _Front(NamedTuple):
    """One eliminated group of unknowns."""

    own: Ints
    """Degrees of freedom eliminated here."""
    after: Ints
    """Degrees of freedom that remain, next layer and border."""
    factor: Any
    below: Floats
    """A21 L^-T for a Cholesky front, A21 else; (after, own)."""


class Factors(NamedTuple):
    """A factorised stiffness."""

    fronts: list[_Front]
    size: int
    negative_pivots: int

    def solve(self, load: Floats) -> Floats:
        """Displacements for a load (degrees of freedom,); zero where nothing is free."""
        work = load.copy()
        for front in self.fronts:
            part = _forward(front, work[front.own])
            work[front.own] = part
            if len(front.after):
                work[front.after] -= front.below @ part
        result = np.zeros(self.size)
        for front in reversed(self.fronts):
            rest = result[front.after]
            result[front.own] = _backward(front, work[front.own], rest)
        return result


def _forward(front: _Front, load: Floats) -> Floats:
    if isinstance(front.factor, _Indefinite):
        return front.factor.solve(load)
    return _triangle(front.factor, load, transposed=False)


def _backward(front: _Front, load: Floats, rest: Floats) -> Floats:
    if isinstance(front.factor, _Indefinite):
        return load - front.factor.solve(front.below.T @ rest) if len(rest) else load
    known = load - front.below.T @ rest if len(rest) else load
    return _triangle(front.factor, known, transposed=True)


def _triangle(lower: Floats, load: Floats, *, transposed: bool) -> Floats:
    made: Floats = blas.dtrsv(lower, load, lower=1, trans=int(transposed))
    return made


class _Indefinite(NamedTuple):
    """L D L^T of a symmetric front that is not positive."""

    lower: Floats
    order: Ints
    inverse: Floats
    """Of the block-diagonal D."""
    negative: int

    def solve(self, load: Floats) -> Floats:
        """The front's unknowns for its load, one vector or columns."""
        first = np.linalg.solve(self.lower, load[self.order])
        made = np.empty_like(load)
        made[self.order] = np.linalg.solve(self.lower.T, self.inverse @ first)
        return made


def _indefinite(full: Floats) -> _Indefinite:
    lower, middle, order = ldl(full, lower=True)
    signs = np.linalg.eigvalsh(middle)
    return _Indefinite(lower[order], order, np.linalg.inv(middle), int((signs < 0).sum()))


class Fronts:
    """The pattern of a swept mesh with some degrees of freedom held."""

    def __init__(self, mesh: Mesh, held: Ints) -> None:
        """``held`` are degrees of freedom (3 node + axis) that do not move."""
        self.mesh = mesh
        self.size = 3 * len(mesh.nodes)
        self.free = np.ones(self.size, dtype=bool)
        self.free[held] = False
        cells = len(mesh.section.cells)
        local = mesh.elements[:cells]
        dofs = (3 * local[..., None] + np.arange(3)).reshape(cells, -1)
        self._span = 3 * (mesh.stride + len(mesh.section.points))
        flat = dofs[:, :, None] * self._span + dofs[:, None, :]
        entries, self._entry = np.unique(flat, return_inverse=True)
        self._entry = self._entry.ravel()
        self._rows, self._columns = np.divmod(entries, self._span)
        self._cells = cells

    def factor(self, stiffness: Floats, border: Ints, coupling: Floats) -> Factors:
        """Factorise element tangents (elements, 60, 60) plus a dense block.

        ``border`` are degrees of freedom in rising order and ``coupling`` their additional
        symmetric stiffness; held ones among them are left out.
        """
        chosen = self.free[border]
        border, coupling = border[chosen], coupling[np.ix_(chosen, chosen)]
        inner = self.free.copy()
        inner[border] = False
        stride = 3 * self.mesh.stride
        first_met = border[0] if len(border) else self.size
        fronts: list[_Front] = []
        negative = following = met = 0
        carried = np.zeros((0, 0), order="F")
        for k in range(self.mesh.slices):
            span = np.arange(k * stride, k * stride + self._span)
            own = span[:stride][inner[span[:stride]]]
            after = span[stride:][inner[span[stride:]]]
            here = border if first_met <= span[-1] else border[:0]
            after = np.concatenate([after, here])
            place = np.full(self.size, -1)
            place[own] = np.arange(len(own))
            place[after] = len(own) + np.arange(len(after))
            front = self._gathered(stiffness, k, place[span], len(own) + len(after))
            kept = np.concatenate([np.arange(following), np.arange(len(front) - met, len(front))])
            front[np.ix_(kept, kept)] += carried
            made, carried, bad = _eliminated(front, own, after)
            fronts.append(made)
            negative += bad
            following, met = len(after) - len(here), len(here)
        carried[following:, following:] += coupling
        last, _, bad = _eliminated(carried, after, border[:0])
        kept_fronts = [front for front in (*fronts, last) if len(front.own)]
        return Factors(kept_fronts, self.size, negative + bad)

    def _gathered(self, stiffness: Floats, k: int, place: Ints, size: int) -> Floats:
        """The dense front of a slice from its element tangents."""
        part = stiffness[k * self._cells : (k + 1) * self._cells]
        values = np.bincount(self._entry, weights=part.ravel(), minlength=len(self._rows))
        rows, columns = place[self._rows], place[self._columns]
        kept = (rows >= 0) & (columns >= 0)
        front = np.zeros((size, size), order="F")
        front[rows[kept], columns[kept]] = values[kept]
        return front


def _eliminated(front: Floats, own: Ints, after: Ints) -> tuple[_Front, Floats, int]:
    """The front after its own unknowns are gone: its factor, what remains, negative pivots.

    Only the lower triangle of ``front`` is read; what remains is symmetric in full.
    """
    n = len(own)
    if not n:
        return _Front(own, after, front, front), _mirrored(front), 0
    lower, failed = lapack.dpotrf(front[:n, :n], lower=1, clean=1)
    if not failed and not len(after):
        return _Front(own, after, lower, np.zeros((0, n))), np.zeros((0, 0)), 0
    if not failed:
        below = blas.dtrsm(1.0, lower, front[n:, :n], side=1, lower=1, trans_a=1)
        rest = blas.dsyrk(-1.0, below, beta=1.0, c=front[n:, n:], lower=1)
        return _Front(own, after, lower, below), _mirrored(rest), 0
    indefinite = _indefinite(_mirrored(front[:n, :n]))
    below = front[n:, :n]
    rest = front[n:, n:] - below @ indefinite.solve(below.T)
    return _Front(own, after, indefinite, below), _mirrored(rest), indefinite.negative


def _mirrored(lower: Floats) -> Floats:
    """The symmetric matrix of a lower triangle."""
    made: Floats = np.tril(lower) + np.tril(lower, -1).T
    return made
