"""Why did it fail: process variables ranked by how much of the gap they explain.

Each variable's part of the gap between failed and sound pieces is its slope times how far the
failed ones lie off. The slope is known twice: from the data, by least squares over all variables
with its standard error, and from the physics, as the sensitivity of the model with its doubt. The
two are joined by their precisions. Offers `rank_causes` and
`slopes`.

A variable that was never varied, or only together with another, is not cleared by the data; the
physics then carries it, and the ranking says so.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import stdtr

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_APART = 2.0
_DOUBT = 0.3


class RankedCauses(NamedTuple):
    """Results of `rank_causes`."""

    ranking: list[int]
    gap: float
    contribution: Values
    share_percent: Values
    unexplained_percent: float
    slope: Values
    slope_of_data: Values
    slope_of_data_u: Values
    shift_of_s: Values
    shift_p: Values
    physics_disagrees: list[int]
    affected: list[int]


@calculation(
    source="N. R. Draper & H. Smith, Applied Regression Analysis (slopes); B. L. Welch, Biometrika "
    "34 (1947) 28-35 (difference of means); precision weighting as in A. Gelman et al., Bayesian "
    "Data Analysis, Sec. 2.5; joined for this purpose (own)",
    needs={"doubt": POSITIVE},
    basis="computed",
)
def rank_causes(
    *,
    variables: Values,
    result: Values,
    failed: Values,
    sensitivities: Values | None = None,
    sensitivities_u: Values | None = None,
    doubt: float = _DOUBT,
) -> RankedCauses:
    """Process variables ranked by how much of the gap of the failed pieces they explain.

    gap = mean result of the failed - mean of the others. contribution_j = slope_j (mean of x_j of
    the failed - of the others). slope_j: least squares over all variables, joined with the
    sensitivity of the physics a_j (standard uncertainty doubt |a_j|) by precision; without it the
    data alone. Where the data cannot tell (too few pieces, dependent columns) the physics does.

    Args:
        variables: Table, a row each piece, a column each variable.
        result: What failed, such as a breaking force. failed: 1 or 0 for each piece.
        sensitivities: a_j in the unit of the result per unit of the variable.
        sensitivities_u: Their standard uncertainties; a very large one for a variable of which
            the physics knows nothing. doubt: Relative one, where these are left out.

    Returns:
        ranking: columns (from 1), greatest contribution towards the gap first; contributions and
        their share of the gap; what is left unexplained; slopes joined and of the data alone with
        its standard uncertainty; how far the failed lie off in standard deviations of the others
        and Welch's p; columns whose data and physics differ by over two standard uncertainties;
        sound pieces (from 1) whose leading variable lies where the failed ones' does.

    Raises:
        ArgumentError: fewer than 2 failed or 3 sound pieces; lists that do not fit each other.

    References:
        Draper & Smith, Applied Regression Analysis; Welch (1947).
    """
    x, y, bad = _checked(variables, result, failed)
    p = x.shape[1]
    known = None if sensitivities is None else np.broadcast_to(np.ravel(sensitivities), (p,))
    doubts = np.zeros(p)
    if known is not None:
        doubts = doubt * np.abs(known) if sensitivities_u is None else np.ravel(sensitivities_u)
    slope, error = slopes(x, y)
    joined = _joined(slope, error, known, doubts)
    move = x[bad].mean(axis=0) - x[~bad].mean(axis=0)
    gap = float(y[bad].mean() - y[~bad].mean())
    adds = joined * move
    with np.errstate(divide="ignore", invalid="ignore"):
        share = 100.0 * adds / gap if gap else np.zeros(p)
    order = np.argsort(-adds * np.sign(gap if gap else 1.0), kind="stable")
    shift, chance = _shifts(x, bad)
    apart: list[int] = []
    if known is not None:
        both = np.sqrt(error**2 + doubts**2)
        with np.errstate(invalid="ignore"):
            apart = [int(j) + 1 for j in np.flatnonzero(np.abs(slope - known) > _APART * both)]
    return RankedCauses(
        [int(j) + 1 for j in order], gap, adds, share, float(100.0 - share.sum()), joined, slope,
        error, shift, chance, apart, _affected(x[:, order[0]], bad, float(move[order[0]])),
    )  # fmt: skip


def _checked(
    variables: Values, result: Values, failed: Values
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    y, mark = np.ravel(result), np.ravel(failed)
    x = np.asarray(variables, float)
    x = x[:, None] if x.ndim == 1 else x
    if x.ndim != 2 or not len(x) == y.size == mark.size:
        text = f"{len(x)} rows, {y.size} results, {mark.size} marks"
        raise ArgumentError("variables", text, "", "one row, result and mark for each piece")
    if not np.isin(mark, (0.0, 1.0)).all():
        raise ArgumentError("failed", "the list", "", "a 1 or 0 for each piece")
    bad = mark > 0.5
    if bad.sum() < 2 or (~bad).sum() < 3:
        text = f"{int(bad.sum())} of {bad.size}"
        raise ArgumentError("failed", text, "", "at least 2 failed and 3 sound pieces")
    return x, y, bad


def slopes(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Slopes with standard errors; no slope and no bound where the data cannot tell."""
    n, p = x.shape
    away = x - x.mean(axis=0)
    size = np.sqrt(np.sum(away**2, axis=0))
    moved = size > 1e-12 * np.maximum(np.abs(x).max(axis=0), 1e-300)
    slope, error = np.zeros(p), np.full(p, np.inf)
    dof = n - 1 - int(moved.sum())
    if dof < 1 or not moved.any():
        return slope, error
    q = away[:, moved] / size[moved]
    left, values, right = np.linalg.svd(q, full_matrices=False)
    told = values > 1e-6 * values[0]
    held = right[told].T @ ((left.T @ (y - y.mean()))[told] / values[told])
    rest = y - y.mean() - q @ held
    s2 = float(rest @ rest) / dof
    spread = np.sqrt(s2 * np.sum((right[told].T / values[told]) ** 2, axis=1))
    lost = np.sum(right[~told] ** 2, axis=0) > 1e-6  # depends on another column
    slope[moved] = held / size[moved]
    error[moved] = np.where(lost, np.inf, spread / size[moved])
    return slope, error


def _joined(
    slope: np.ndarray, error: np.ndarray, known: np.ndarray | None, doubts: np.ndarray
) -> np.ndarray:
    if known is None:
        return slope
    of_physics = np.maximum(doubts, 1e-9 * max(float(np.abs(known).max()), 1e-100))
    a = 1.0 / of_physics**2
    with np.errstate(divide="ignore"):
        b = np.where(np.isfinite(error), 1.0 / np.maximum(error, 1e-300) ** 2, 0.0)
    return np.asarray((a * known + b * slope) / (a + b))


def _shifts(x: np.ndarray, bad: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    one, other = x[bad], x[~bad]
    v1, v2 = one.var(axis=0, ddof=1) / len(one), other.var(axis=0, ddof=1) / len(other)
    off = one.mean(axis=0) - other.mean(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.where(v1 + v2 > 0, off / np.sqrt(v1 + v2), 0.0)
        dof = np.where(v1 + v2 > 0, (v1 + v2) ** 2
                       / (v1**2 / (len(one) - 1) + v2**2 / (len(other) - 1)), 1.0)  # fmt: skip
        shift = np.where(other.std(axis=0) > 0, off / other.std(axis=0, ddof=1), 0.0)
    return shift, 2.0 * stdtr(dof, -np.abs(t))


def _affected(lead: np.ndarray, bad: np.ndarray, move: float) -> list[int]:
    """Sound pieces beyond the nearest of the failed ones, on the side that they lie off to."""
    if move == 0.0:
        return []
    edge = lead[bad].min() if move > 0 else lead[bad].max()
    out = (lead >= edge) if move > 0 else (lead <= edge)
    return [int(at) + 1 for at in np.flatnonzero(out & ~bad)]
