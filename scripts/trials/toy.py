"""Trial: the chance of a lot against exact integrals, over many seeds.

Two toys whose chance is an integral over one normal variable u:

    straight:  x = 100 + 3 f + 2 l + 1.5 z
    bent:      x = 100 exp(0.03 f + 0.02 l) + 1.5 z     (a product, which the fit lacks)

f a factor, l of the lot, z of the link; every one of n tested links must show x >= 96. The
chance is the integral of phi(u) Phi((m(u) - 96)/1.5)^n, with m the mean of a lot.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
from measured import Figure
from scipy.integrate import quad
from scipy.special import log_ndtr

from linkwright.planning.chance import Chance, chance_of
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.influence import design_of, influence_of
from linkwright.route import Factor, Requirement, Scatter
from trials.outcome import Counts, Listing, Outcome

LIMIT, LINK, PIECES = 96.0, 1.5, (1, 2, 20, 8000)
TARGET = 0.01
TOYS: dict[str, tuple[Callable[..., np.ndarray], Callable[[float, float], float]]] = {
    "straight": (
        lambda f, lot: 100.0 + 3.0 * f + 2.0 * lot,
        lambda u, share: 100.0 + math.hypot(3.0 * share, 2.0) * u,
    ),
    "bent": (
        lambda f, lot: 100.0 * np.exp(0.03 * f + 0.02 * lot),
        lambda u, share: 100.0 * math.exp(math.hypot(0.03 * share, 0.02) * u),
    ),
}
"""Mean of a lot from its deviates, and from the one variable u (share 0: without the factor)."""


def run(counts: Counts, _: Path) -> Outcome:
    """Errors of the chance and of the chance at median factors, by toy and number of pieces."""
    rows, worst, missed_by, inside = [], 0.0, [], []
    for name, (mean, of_one) in TOYS.items():
        for pieces in PIECES:
            exact = [_exact(of_one, pieces, share) for share in (1.0, 0.0)]
            found = [_estimate(mean, pieces, seed) for seed in range(1, 1 + counts.seeds)]
            errors = np.array([[c.chance - exact[0], c.at_factors - exact[1]] for c in found])
            inside += [abs(c.chance - exact[0]) <= 2.0 * c.error for c in found]
            worst = max(worst, float(np.abs(errors).max()))
            rms = np.sqrt(np.mean(errors**2, axis=0))
            missed_by += errors[:, 0].tolist()
            rows.append(_row(name, pieces, exact, errors, rms))
    figures = (
        Figure("seeds of each toy", counts.seeds),
        Figure("worst error of a chance", 100 * worst, "%", greatest=100 * TARGET),
        Figure("rms error of the chance", 100 * float(np.sqrt(np.mean(np.square(missed_by)))), "%"),
        Figure("share of chances within twice their own standard error",
               100 * float(np.mean(inside)), "%", least=90.0),
    )  # fmt: skip
    head = ("toy", "pieces", "exact", "worst error", "rms error", "mean error",
            "exact at median factors", "worst error", "rms error")  # fmt: skip
    return Outcome(figures, (Listing("Chance in per cent, errors in per cent points", head,
                                     tuple(rows)),))  # fmt: skip


def _row(
    name: str, pieces: int, exact: list[float], errors: np.ndarray, rms: np.ndarray
) -> tuple[str, ...]:
    worst = np.abs(errors).max(axis=0)
    numbers = (
        exact[0], worst[0], rms[0], errors[:, 0].mean(), exact[1], worst[1], rms[1]
    )  # fmt: skip
    return (name, str(pieces), *(f"{100 * value:.3f}" for value in numbers))


def _estimate(mean: Callable[..., np.ndarray], pieces: int, seed: int) -> Chance:
    ensemble = Ensemble(seed=seed)
    conditions = drawn(
        [Scatter("lot/a/b/l", 1.0, "toy"), Scatter("link/a/b/z", 1.0, "toy")],
        [Factor("f", 1.0, 1.0, "toy")],
        ensemble,
    )
    draws = conditions.draws
    values = mean(draws["f"], draws["lot/a/b/l"]) + LINK * draws["link/a/b/z"]
    influence = influence_of(values, design_of(conditions, ensemble))
    return chance_of(values, Requirement("x", LIMIT, None, pieces, "toy"), influence)


def _exact(mean: Callable[[float, float], float], pieces: int, share: float) -> float:
    def density(u: float) -> float:
        log_chance = pieces * float(log_ndtr((mean(u, share) - LIMIT) / LINK))
        return math.exp(log_chance - u * u / 2.0) / math.sqrt(2.0 * math.pi)

    return float(quad(density, -9.0, 9.0, epsabs=1e-11, limit=400)[0])
