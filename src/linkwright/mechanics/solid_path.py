"""The way of a solid from pull to pull: steps that grow and shrink, and forces that are met.

    Path, follow        pull on until a target or a condition; what was passed is kept
    meet_force          the state at which the force has a given value
    crest               the greatest force between readings, and where it lies

Steps grow by a half after an easy step and are halved when no equilibrium is found. A way that
cannot go on ends with its last good state and a sentence that says why; it never guesses on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_newton import (
    Body,
    Count,
    NotBalanced,
    Solid,
    TooMany,
    advance,
    first_guess,
)

_GROWTH, _EASY, _HARD = 1.5, 3, 6
_FORCE_ROUNDS = 25
_CREST = 0.003


@dataclass
class Path:
    """States passed in turn; light figures of all, the states themselves where wanted."""

    states: list[Solid]
    reached: bool = False
    """Whether the target or the condition was met."""
    ended: str = ""
    """Why the way ended."""
    work: list[float] = field(default_factory=lambda: [0.0])
    """Work of the pulling force up to every state, N mm, by the trapezoidal rule."""

    @property
    def last(self) -> Solid:
        """The last good state."""
        return self.states[-1]

    def add(self, state: Solid) -> None:
        """Go on to a state."""
        last = self.last
        self.work.append(self.work[-1] + (state.force + last.force) / 2 * (state.pull - last.pull))
        self.states.append(state)


def follow(
    body: Body,
    state: Solid,
    target: float,
    count: Count,
    *,
    first: float,
    longest: float,
    enough: Callable[[Path], bool] | None = None,
) -> Path:
    """Pull from ``state`` to ``target`` (mm); steps between ``first``/50 and ``longest``.

    The way ends early when ``enough`` says so, when no step is found, or when the
    factorisations are used up; `Path.ended` tells.
    """
    path = Path([state])
    sign = 1.0 if target > state.pull else -1.0
    size = first
    while not path.reached:
        last = path.last
        left = abs(target - last.pull)
        # the last two steps share what is left, so that none is tiny
        size_now = left if left <= size * 1.001 else min(size, max(left / 2, 0.0))
        pull = target if size_now == left else last.pull + sign * size_now
        try:
            guess = _guess(body, last, pull, count)
            new = advance(body, last, pull, count, guess)
        except TooMany as error:
            path.ended = str(error)
            return path
        except NotBalanced as error:
            size = size_now / 2
            if size < first / 50:
                path.ended = f"{error}, also in steps of {size:.2g} mm"
                return path
            continue
        path.add(new)
        size = _next(size, size_now, new.factorisations, longest)
        path.reached = pull == target or (enough is not None and enough(path))
    path.ended = "the end was reached"
    return path


def _next(size: float, done: float, factorisations: int, longest: float) -> float:
    if factorisations <= _EASY:
        return min(max(size, done * _GROWTH), longest)
    return done * 0.7 if factorisations >= _HARD else max(size, done)


def _guess(body: Body, last: Solid, pull: float, count: Count) -> Floats:
    """How the step will go: as the last one, as a rigid body before the first, else by stiffness.

    After a turn of direction the last step says nothing. A parabola through two steps is no
    better than a line: points that come into contact bend the way at short notice.
    """
    step = pull - last.pull
    if last.last_pull * step > 0:
        return last.move * (step / last.last_pull)
    if last.last_pull == 0.0 and body.mirror is not None:
        move = np.zeros_like(last.placed)
        move[:, 0] = step  # nothing holds the body along x before it touches
        return move
    return first_guess(body, last, pull, count)


def meet_force(
    body: Body, low: Solid, high: Solid, force: float, close: float, count: Count
) -> Solid:
    """The state between two on one way whose force is ``force``, give or take ``close`` (N).

    False position with the Illinois rule on the pull, or halving; every trial is a step from
    the nearest state before it. Raises `NotBalanced` if it is not met.
    """
    left, right = low.pull, high.pull
    f_left, f_right = low.force - force, high.force - force
    if f_left * f_right > 0:
        raise NotBalanced(f"no force of {force:.6g} N on this way")
    base, beyond, found, kept = low, high, low, 0
    for _ in range(_FORCE_ROUNDS):
        if abs(found.force - force) <= close:
            return found
        pull = right - f_right * (right - left) / (f_right - f_left)
        if abs(kept) > 1:  # the same end stayed twice: the force bends sharply, as where links part
            pull = (left + right) / 2
        found = _between(body, base, beyond, pull, count)
        pull, error = found.pull, found.force - force
        if error * f_right > 0:
            right, f_right, f_left = pull, error, f_left / 2
            beyond, kept = found, min(kept, 0) - 1
        else:
            left, f_left, f_right = pull, error, f_right / 2
            base, kept = found, max(kept, 0) + 1
    raise NotBalanced(f"a force of {force:.6g} N was not met")


def _between(body: Body, base: Solid, beyond: Solid, pull: float, count: Count) -> Solid:
    """A state between two, or nearer to ``base`` where that step is too long."""
    for _ in range(3):
        share = (pull - base.pull) / (beyond.pull - base.pull)
        try:
            return advance(body, base, pull, count, (beyond.placed - base.placed) * share)
        except NotBalanced as error:
            reason = error
            pull = base.pull + (pull - base.pull) / 3
    raise reason


def crest(extension: Floats, force: Floats, peak: int) -> tuple[float, float]:
    """Top of the parabola through the readings near the greatest, by least squares.

    Points that come into contact shake the force a little, and a crest is flat; so all readings
    count that lie next to each other and less than `_CREST` below the greatest.
    """
    low = force < (1 - _CREST) * force[peak]
    first = peak - int(np.argmax(low[peak::-1])) + 1
    last = peak + int(np.argmax(low[peak:])) - 1 if low[peak:].any() else len(force) - 1
    near = slice(min(first, peak - 1), max(last, peak + 1) + 1)
    x, y = extension[near] - extension[peak], force[near]
    a, b, c = np.polyfit(x, y, 2)
    if a >= 0:
        return float(force[peak]), float(extension[peak])
    return float(c - b**2 / (4 * a)), float(extension[peak] - b / (2 * a))
