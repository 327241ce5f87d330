"""Members: 512 lots of 8 links, every source of scatter a stratified column of its own.

A column's numbers depend on the seed and on the column's name only, so adding an operation
or changing a setting moves no other column: a what-if shows the change, not new noise.

Heat, lot and factor columns have one stratified deviate a lot. Link columns have four
stratified deviates a lot, each used with both signs: the four mirrored pairs cancel in the
lot's mean, and their half differences give the spread within a lot (see `chance`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from linkwright.route import Conditions, Factor, Scatter

LOTS, PAIRS = 512, 4


@dataclass(frozen=True, slots=True)
class Ensemble:
    """How many members and from which seed."""

    lots: int = LOTS
    pairs: int = PAIRS
    seed: int = 1

    @property
    def links(self) -> int:
        """Links in a lot: each pair gives two."""
        return 2 * self.pairs

    @property
    def members(self) -> int:
        """Lots times links."""
        return self.lots * self.links


def stratified(name: str, count: int, seed: int) -> np.ndarray:
    """``count`` standard normal deviates, one from each of ``count`` equal strata, shuffled.

    Each stratum gives the deviate at a random place inside it. The stream is seeded by
    SHA-256 of seed and name: no other column can move it.
    """
    own = stream(name, seed)
    inside = own.random(count)
    return np.asarray(ndtri((own.permutation(count) + inside) / count))


def middles(name: str, count: int, seed: int) -> np.ndarray:
    """The same with the middle of each stratum: for a mean over few, where no chance may enter."""
    return np.asarray(ndtri((stream(name, seed).permutation(count) + 0.5) / count))


def stream(name: str, seed: int) -> np.random.Generator:
    """A stream of random numbers of its own for a name: SHA-256 of seed and name."""
    digest = hashlib.sha256(f"{seed}/{name}".encode()).digest()
    return np.random.default_rng(np.frombuffer(digest, dtype=np.uint32))


def lot_column(name: str, ensemble: Ensemble) -> np.ndarray:
    """Deviates of a heat, lot or factor column: shape (lots, 1)."""
    return stratified(name, ensemble.lots, ensemble.seed)[:, None]


def link_column(name: str, ensemble: Ensemble) -> np.ndarray:
    """Deviates of a link column: shape (lots, links), the second half mirrors the first."""
    half = stratified(name, ensemble.lots * ensemble.pairs, ensemble.seed)
    half = half.reshape(ensemble.lots, ensemble.pairs)
    return np.concatenate([half, -half], axis=1)


def drawn(scatter: Iterable[Scatter], factors: Iterable[Factor], ensemble: Ensemble) -> Conditions:
    """Conditions for all members of an ensemble."""
    sources = {source.name: source for source in scatter}
    unknowns = {factor.name: factor for factor in factors}
    draws = {
        name: link_column(name, ensemble) if source.level == "link" else lot_column(name, ensemble)
        for name, source in sources.items()
    }
    draws |= {name: lot_column(name, ensemble) for name in unknowns}
    return Conditions(sources, unknowns, draws)


def single(conditions: Conditions, lot: int, link: int) -> Conditions:
    """The conditions of one member alone, for the test that a member does not know others."""
    kept = {
        name: draw[lot : lot + 1, link : link + 1] if draw.shape[1] > 1 else draw[lot : lot + 1]
        for name, draw in conditions.draws.items()
    }
    return Conditions(conditions.scatter, conditions.factors, kept)
