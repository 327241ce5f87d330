"""Coulomb friction between skins in contact: stick by a penalty, slip at mu times the pressure.

    Grip, gripped       what friction remembers when a step begins
    Rubbing, rubbed     tractions, energies, forces and stiffness at a trial state

In a step the image Q of a tested point slips on the material point X0 of the skin that was nearest
to it when the step began. With the tangents t_a of the skin there, kept during the step,

    s_a = t_a . (Q - X0) less its value at the beginning
    T_trial = T_begin + k_t s,    T = T_trial min(1, mu p/|T_trial|)

with the pressure p of the trial state, so that the limit is met at the end of every step, not that
of the step before. The stiffness is the exact derivative and not symmetric; only the border of the
body sees it (`solid_chord`). k_t is 0.3 of the penalty of the gap. Work of slip is
(T_begin + T)/2 . (s - (T - T_begin)/k_t); a point that leaves loses what its spring held. A step
is not resolved further: a point that comes into contact counts as rubbing along the whole step's
way, and the turn of the tangents within a step is neglected.

References: T. A. Laursen, Computational Contact and Impact Mechanics, 2002, chapters 2 and 5;
P. Wriggers, Computational Contact Mechanics, 2nd edition, 2006, chapters 5 and 9.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_skin import Patch

STICK = 0.3
"""Stiffness of stick over that of the gap."""

Term = tuple[Ints, Floats, Ints, Floats]
"""Nodes (points, n), forces (points, 3 n), nodes (points, m), stiffness (points, 3 n, 3 m)."""


class Grip(NamedTuple):
    """The beginning of a step, for all tested points."""

    nodes: Ints
    """Of the faces that hold the nearest points, (points, 8)."""
    shares: Floats
    """Their shape functions."""
    frame: Floats
    """Two unit tangents, (points, 2, 3)."""
    away: Floats
    """Tangential parts of Q - X0, (points, 2)."""
    traction: Floats
    """(points, 2), MPa."""
    held: Floats
    """Energy of stick, N mm."""

    def of(self, points: Ints) -> Grip:
        """The same for some of the points."""
        return Grip(
            self.nodes[points], self.shares[points], self.frame[points], self.away[points],
            self.traction[points], self.held[points],
        )  # fmt: skip


class Pressed(NamedTuple):
    """Points under pressure at a trial state."""

    owner: Ints
    shares: Floats
    turn: Floats
    image: Floats
    pressure: Floats
    weight: Floats
    """Area that the points stand for, mm2."""
    gap_nodes: Ints
    gap_slope: Floats
    """Derivatives of the gaps by the places of these nodes, (points, 48)."""


class Rubbing(NamedTuple):
    """Friction at a trial state."""

    traction: Floats
    """Of all tested points, (points, 3), MPa, on the image."""
    held: Floats
    """Energy of stick of all of them, N mm."""
    spent: float
    """Work of slip in the step, N mm."""


def gripped(at: Patch, image: Floats, rubbing: Rubbing | None) -> Grip:
    """The beginning of a step; tractions turn with the skin and keep their size."""
    first = at.tangents[:, 0] / np.linalg.norm(at.tangents[:, 0], axis=1, keepdims=True)
    frame = np.stack([first, np.cross(at.normal, first)], axis=1)
    away = np.einsum("pax,px->pa", frame, image - at.point)
    kept, held = np.zeros_like(away), np.zeros(len(away))
    if rubbing is not None:
        kept = np.einsum("pax,px->pa", frame, rubbing.traction)
        size = np.linalg.norm(kept, axis=1, keepdims=True)
        kept *= np.linalg.norm(rubbing.traction, axis=1, keepdims=True) / np.maximum(size, 1e-300)
        held = rubbing.held
    return Grip(at.nodes, at.value, frame, away, kept, held)


def rubbed(
    every: Grip, points: Ints, pressed: Pressed, placed: Floats, friction: float, penalty: float
) -> tuple[Rubbing, list[Term]]:
    """Friction of the points under pressure, numbers ``points`` of all."""
    grip, stick = every.of(points), STICK * penalty
    met = np.matmul(grip.shares[:, None], placed[grip.nodes])[:, 0]
    slip = np.einsum("pax,px->pa", grip.frame, pressed.image - met) - grip.away
    trial = grip.traction + stick * slip
    size = np.maximum(np.linalg.norm(trial, axis=1), 1e-300)
    share = np.minimum(1.0, friction * pressed.pressure / size)
    traction = share[:, None] * trial
    made = _rubbing(
        every, points, pressed, traction, slip - (traction - grip.traction) / stick, stick
    )
    along, slides = trial / size[:, None], share < 1
    inner = np.eye(2) - (along[:, :, None] * along[:, None, :]) * slides[:, None, None]
    inner *= (pressed.weight * stick * share)[:, None, None]
    by_place = _by_place(pressed, grip)
    nodes = np.concatenate([pressed.owner, grip.nodes], axis=1)
    force = np.einsum("p,pa,pai->pi", pressed.weight, traction, by_place)
    turned = np.matmul(by_place.transpose(0, 2, 1), np.matmul(inner, by_place))
    # the limit follows the pressure of the trial state
    steep = -friction * penalty * pressed.weight * slides
    pushed = np.einsum("p,pa,pai->pi", steep, along, by_place)
    coupled = pushed[:, :, None] * pressed.gap_slope[:, None, :]
    none = np.zeros_like(force)
    return made, [(nodes, force, nodes, turned), (nodes, none, pressed.gap_nodes, coupled)]


def _rubbing(
    every: Grip, points: Ints, pressed: Pressed, traction: Floats, slid: Floats, stick: float
) -> Rubbing:
    grip = every.of(points)
    shown = np.zeros((len(every.held), 3))
    shown[points] = np.einsum("pa,pax->px", traction, grip.frame)
    held = np.zeros(len(every.held))
    held[points] = pressed.weight * np.square(traction).sum(axis=1) / (2 * stick)
    mean = (grip.traction + traction) / 2
    lost = pressed.weight * np.einsum("pa,pa->p", mean, slid)
    left = every.held.sum() - grip.held.sum()
    return Rubbing(shown, held, float(lost.sum() + left))


def _by_place(pressed: Pressed, grip: Grip) -> Floats:
    """Derivatives of the slip by the places of its nodes, (points, 2, 48)."""
    back = np.matmul(grip.frame, pressed.turn.transpose(0, 2, 1))
    own = pressed.shares[:, None, :, None] * back[:, :, None, :]
    other = -grip.shares[:, None, :, None] * grip.frame[:, :, None, :]
    made: Floats = np.concatenate([own, other], axis=2).reshape(len(own), 2, 48)
    return made
