"""A factorised body kept for several iterations, with its contact solved on the border.

Offers `Chord`.

Between body and contact the iterations of a step are shared out. The body is costly to factorise
but changes smoothly: one factorisation serves while it makes headway, and what the iterates
taught is used again (Anderson's mixing, by least squares over the iterates of the chord). Contact
is cheap but changes by leaps, as points come and go: for a body linear between two iterates it is
solved to the end, on the border alone.

References: D. G. Anderson, J. ACM 12, 1965, 547-560; H. F. Walker and P. Ni, SIAM J. Numer.
Anal. 49, 2011, 1715-1735.
"""

from __future__ import annotations

import numpy as np

from linkwright.mechanics.solid_contact import Aim, Mirror, Touching, touch
from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_fronts import Condensed
from linkwright.mechanics.solid_joint import Together

_ROUNDS = 12
_CLOSE = 1e-3
_ALONG = 0.8
_KEPT = 1e-8  # directions that iterates share more closely than this teach nothing


class Chord:
    """One factorisation and the iterates that used it."""

    def __init__(self, body: Condensed | Together, mirror: Mirror | None, aim: Aim | None) -> None:
        """``aim`` follows the points whose nodes are the border."""
        self.body = body
        self._mirror, self._aim = mirror, aim
        self._places: list[Floats] = []
        self._moves: list[Floats] = []

    def move(self, placed: Floats, inner: Floats) -> Floats:
        """The next move of the nodes from their places and the forces inside the body."""
        work = self.body.forward(-inner)
        moved = self.body.backward(work, self._border(placed, work[self.body.border]))
        self._places.append(placed.ravel().copy())
        self._moves.append(moved)
        made = moved.copy()
        if len(self._moves) > 1:
            travel = np.diff(np.array(self._places), axis=0).T
            change = np.diff(np.array(self._moves), axis=0).T
            made -= (travel + change) @ np.linalg.lstsq(change, moved, rcond=_KEPT)[0]
        return made.reshape(placed.shape)

    def solved(self, load: Floats, contact: Touching | None) -> Floats:
        """Displacements for a load, body and contact linear."""
        work = self.body.forward(load)
        border = np.linalg.solve(self._stiffness(contact), work[self.body.border])
        return self.body.backward(work, border.astype(float, copy=False))

    def negative_pivots(self, contact: Touching | None) -> int:
        """Of body and contact together, the symmetric part of a contact with friction."""
        total = self._stiffness(contact)
        total = (total + total.T) / 2
        negative = self.body.negative_pivots
        try:
            np.linalg.cholesky(total)
        except np.linalg.LinAlgError:
            negative += int((np.linalg.eigvalsh(total) < 0).sum())
        return negative

    def _stiffness(self, contact: Touching | None) -> Floats:
        total = self.body.schur.copy()
        if contact is not None:
            chosen, into = self._within(contact.dofs)
            total[np.ix_(into, into)] += contact.stiffness[np.ix_(chosen, chosen)]
        return total

    def _within(self, dofs: Ints) -> tuple[Ints, Ints]:
        """Which of some degrees of freedom lie on the border, and where there."""
        border = self.body.border
        if not len(border):
            return dofs[:0], dofs[:0]
        at = np.minimum(np.searchsorted(border, dofs), len(border) - 1)
        chosen = np.flatnonzero(border[at] == dofs)
        return chosen, at[chosen]

    def _border(self, placed: Floats, load: Floats) -> Floats:
        """Moves of the border: S u + contact(u) = load, by Newton's method."""
        move = np.zeros_like(load)
        if not len(load):
            return move
        contact, error = self._met(placed, move, load)
        close = _CLOSE * np.linalg.norm(error)
        for _ in range(_ROUNDS):
            step = -np.linalg.solve(self._stiffness(contact), error)
            slope, share = float(error @ step), 1.0
            for _ in range(3):
                contact, error = self._met(placed, move + share * step, load)
                found = float(error @ step)
                # the energy's least value along the step lies before its end
                if found * slope > 0 or abs(found) <= _ALONG * abs(slope):
                    break
                share *= slope / (slope - found)
            move += share * step
            if np.linalg.norm(error) <= close:
                break
        return move

    def _met(self, placed: Floats, move: Floats, load: Floats) -> tuple[Touching | None, Floats]:
        at = placed.ravel().copy()
        at[self.body.border] += move
        error = self.body.schur @ move - load
        if self._mirror is None or self._aim is None:
            return None, error
        contact = touch(self._mirror, at.reshape(placed.shape), self._aim)
        chosen, into = self._within(contact.dofs)
        error[into] += contact.force[chosen]
        return contact, error
