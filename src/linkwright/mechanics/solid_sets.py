"""One pull of the solid link and the sets that it leaves from several forces on the way.

    pull_and_unload, PullAndSets

The states of one pull are kept; from each that lies nearest to a wanted share of the maximum
force the link is unloaded. Loading once for all of them costs half of proving each anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_link import (
    SLACK,
    LinkNotSolved,
    SolidPull,
    pull_solid_link,
    unloaded,
)
from linkwright.mechanics.solid_model import read
from linkwright.mechanics.solid_newton import Count
from linkwright.mechanics.solid_octant import Fineness

_FALL = 0.01  # soft links on a coarse mesh waver by some tenths of a per cent before their maximum
_LONGEST = 0.0125
"""Longest step of unloading, in wire diameters of one half pitch."""


@dataclass(frozen=True)
class PullAndSets:
    """A pull, and the set after each of some forces of it."""

    pull: SolidPull
    share: Floats
    """Force from which the link was unloaded, over the maximum force."""
    permanent_set_mm: Floats
    """Growth of the pitch; nan where no way back was found."""
    troubles: tuple[str, ...]
    """Why there was none."""
    factorisations: int
    """Of the pull and of all unloading."""


def pull_and_unload(
    geometry: LinkGeometry,
    curve: SwiftCurve,
    shares: Sequence[float],
    *,
    fineness: str | Fineness = "medium",
    friction_coefficient: float = 0.0,
    factorisations: int = 400,
    longest_step: float = 0.0125,
) -> PullAndSets:
    """Pull to beyond the maximum force and unload from the states nearest to ``shares`` of it.

    ``factorisations`` are allowed for the pull, and as many again for every unloading;
    ``longest_step`` as in `pull_solid_link`. The share that was unloaded from is that of the
    state, so no error of meeting a force is in it.

    Raises as `pull_solid_link`.
    """
    pull = pull_solid_link(
        geometry, curve, fineness=fineness, friction_coefficient=friction_coefficient,
        factorisations=factorisations, longest_step=longest_step, fall=_FALL,
    )  # fmt: skip
    force = pull.force_kN / pull.maximum_force_kN
    rising = force[: int(np.argmax(force)) + 1]
    longest = _LONGEST * pull.model.outline.wire_mm
    chosen = [int(np.argmin(np.abs(rising - share))) for share in shares]
    grown, troubles, done = [], [], pull.factorisations
    for index in chosen:
        count = Count(factorisations)
        try:
            state = pull.states[index]
            back = unloaded(pull.model, state, SLACK * state.force, longest, count)
            grown.append(read(pull.model, back[-1]).extension_mm)
        except LinkNotSolved as error:
            grown.append(np.nan)
            troubles.append(f"from {rising[index]:.3f} of the maximum force: {error}")
        done += count.done
    return PullAndSets(pull, rising[chosen], np.array(grown), tuple(troubles), done)
