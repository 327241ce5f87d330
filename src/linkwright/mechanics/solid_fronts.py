"""Direct solution along the sweep: one dense front a slice, and a border for the contact.

    Fronts      the pattern of a swept mesh; `condensed` gives a `Condensed`
    Condensed   the body as its border sees it: `forward`, the border's own equations, `backward`

The stiffness of a swept mesh is block tridiagonal: a slice of cells touches two layers of nodes.
Eliminating layer after layer therefore needs nothing but dense factorisations of the size of a
layer, done by LAPACK and BLAS at nearly the full speed of the processor, and no search for an
order. Nodes in contact couple far-apart layers; they wait in a border, each from the layer where
it is first met, and are never eliminated: what is left of the body on the border, the Schur
complement S, is handed out. Contact may then change, and need not even be symmetric, at the cost
of small dense equations, without the body being factorised again. Compared with the general
sparse factorisation of scipy (SuperLU) this is several times faster; docs/models/solid_link.md
has the figures.

Fronts are symmetric: Cholesky where the front is positive, else the symmetric indefinite
factorisation (Bunch-Kaufman), which also counts the negative pivots: more than none at a
converged state of displacement control tell of a bifurcation.

References: B. M. Irons, Int. J. Numer. Meth. Engng 2, 1970 (frontal solution); G. H. Golub and
C. F. Van Loan, Matrix Computations, 4th edition, 2013, sections 4.2 and 4.4; J. S. Przemieniecki,
AIAA Journal 1, 1963 (substructures).
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


class Condensed(NamedTuple):
    """A factorised body, all but its border."""

    fronts: list[_Front]
    border: Ints
    """Degrees of freedom left, rising."""
    schur: Floats
    """Stiffness of the body as the border sees it."""
    size: int
    negative_pivots: int

    def forward(self, load: Floats) -> Floats:
        """A load (degrees of freedom,) half-way; its entries on the border are condensed."""
        work = load.copy()
        for front in self.fronts:
            part = _forward(front, work[front.own])
            work[front.own] = part
            if len(front.after):
                work[front.after] -= front.below @ part
        return work

    def backward(self, work: Floats, border: Floats) -> Floats:
        """Displacements for a load half-way and those of the border; zero where held."""
        result = np.zeros(self.size)
        result[self.border] = border
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
        dofs = (3 * mesh.elements[:cells, :, None] + np.arange(3)).reshape(cells, -1)
        self._span = 3 * (mesh.stride + len(mesh.section.points))
        low = np.tril_indices(dofs.shape[1])
        self._low = low[0] * dofs.shape[1] + low[1]
        one, other = dofs[:, low[0]], dofs[:, low[1]]
        flat = np.maximum(one, other) * self._span + np.minimum(one, other)
        entries, self._entry = np.unique(flat, return_inverse=True)
        self._entry = self._entry.ravel()
        self._rows, self._columns = np.divmod(entries, self._span)
        self._cells = cells
        self._known: dict[int, _Places] = {}

    def condensed(self, stiffness: Floats, border: Ints) -> Condensed:
        """Factorise element tangents (elements, 60, 60) but for a border.

        ``border`` are degrees of freedom in rising order; held ones among them are left out.
        """
        border = border[self.free[border]]
        inner = self.free.copy()
        inner[border] = False
        fronts: list[_Front] = []
        negative = following = 0
        carried = np.zeros((0, 0), order="F")
        after = border[:0]
        for k in range(self.mesh.slices):
            places = self._places(k, inner, border)
            own, after = places.own, places.after
            front = self._gathered(stiffness, k, places)
            layer = len(after) - places.met
            _added(front, carried, following, layer)
            made, carried, bad = _eliminated(front, own, after)
            fronts.append(made)
            negative += bad
            following = layer
        last = _Blocks(
            carried[:following, :following],
            carried[following:, :following],
            carried[following:, following:],
        )
        made, schur, bad = _eliminated(last, after[:following], after[following:])
        kept = [front for front in (*fronts, made) if len(front.own)]
        return Condensed(kept, border, _mirrored(schur), self.size, negative + bad)

    def _places(self, k: int, inner: Ints, border: Ints) -> _Places:
        """Where the entries of a slice go; remembered for slices the border does not touch."""
        stride = 3 * self.mesh.stride
        span = np.arange(k * stride, k * stride + self._span)
        here = border[: np.searchsorted(border, span[-1], side="right")]
        if not len(here) and k in self._known:
            return self._known[k]
        own = span[:stride][inner[span[:stride]]]
        after = np.concatenate([span[stride:][inner[span[stride:]]], here])
        place = np.full(self.size, -1)
        place[own] = np.arange(len(own))
        place[after] = len(own) + np.arange(len(after))
        place = place[span]
        one, other = place[self._rows], place[self._columns]
        high, low = np.maximum(one, other), np.minimum(one, other)
        n, m = len(own), len(after)
        groups = [
            np.flatnonzero((low >= 0) & (high < n)),
            np.flatnonzero((low >= 0) & (low < n) & (high >= n)),
            np.flatnonzero(low >= n),
        ]
        into = [
            high[groups[0]] + n * low[groups[0]],
            high[groups[1]] - n + m * low[groups[1]],
            high[groups[2]] - n + m * (low[groups[2]] - n),
        ]
        made = _Places(own, after, len(here), groups, into)
        if not len(here):
            self._known[k] = made
        return made

    def _gathered(self, stiffness: Floats, k: int, places: _Places) -> _Blocks:
        """The dense front of a slice from its element tangents, lower triangles."""
        part = stiffness[k * self._cells : (k + 1) * self._cells].reshape(self._cells, -1)
        values = np.bincount(
            self._entry, weights=part[:, self._low].ravel(), minlength=len(self._rows)
        )
        n, m = len(places.own), len(places.after)
        blocks = []
        for shape, group, into in zip(
            ((n, n), (m, n), (m, m)), places.groups, places.into, strict=True
        ):
            flat = np.zeros(shape[0] * shape[1])
            flat[into] = values[group]
            blocks.append(flat.reshape(shape, order="F"))
        return _Blocks(*blocks)


class _Places(NamedTuple):
    """Where the entries of a slice's stiffness go in its front."""

    own: Ints
    after: Ints
    met: int
    """Degrees of freedom of the border among ``after``; they stand last."""
    groups: list[Ints]
    """Entries of the three blocks."""
    into: list[Ints]
    """Their places, columns first."""


class _Blocks(NamedTuple):
    """A front: own, own below, and what remains; only lower triangles are read."""

    own: Floats
    below: Floats
    rest: Floats


def _added(front: _Blocks, carried: Floats, following: int, layer: int) -> None:
    """Put what the last front left on its layer and on the border met so far."""
    met = len(carried) - following
    front.own[:following, :following] += carried[:following, :following]
    front.below[layer : layer + met, :following] += carried[following:, :following]
    front.rest[layer : layer + met, layer : layer + met] += carried[following:, following:]


def _eliminated(front: _Blocks, own: Ints, after: Ints) -> tuple[_Front, Floats, int]:
    """The front after its own unknowns are gone: its factor, what remains, negative pivots.

    Only lower triangles are read and left.
    """
    if not len(own):
        return _Front(own, after, front.own, front.below), front.rest, 0
    lower, failed = lapack.dpotrf(front.own, lower=1, clean=1)
    if failed:
        indefinite = _indefinite(_mirrored(front.own))
        rest = front.rest - front.below @ indefinite.solve(front.below.T)
        return _Front(own, after, indefinite, front.below), rest, indefinite.negative
    if not len(after):
        return _Front(own, after, lower, front.below), front.rest, 0
    below = blas.dtrsm(1.0, lower, front.below, side=1, lower=1, trans_a=1, overwrite_b=1)
    rest = blas.dsyrk(-1.0, below, beta=1.0, c=front.rest, lower=1, overwrite_c=1)
    return _Front(own, after, lower, below), rest, 0


def _mirrored(lower: Floats) -> Floats:
    """The symmetric matrix of a lower triangle."""
    made: Floats = np.tril(lower) + np.tril(lower, -1).T
    return made
