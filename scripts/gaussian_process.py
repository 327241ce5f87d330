"""A Gaussian process over few, dear runs: smooth in between, with what leaving runs out would say.

    GaussianProcess         fitted by the greatest marginal likelihood
    .at                     its mean anywhere
    .left_out               errors of every group of values from a fit without that group

A linear trend with a wide prior, a Matern-5/2 departure from it with a length for every
input, and noise. Leaving out a group needs no other fit: its error is the inverse of its block of
the inverse covariance times the weights there. The lengths are those of the fit to all.

References: C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006,
sections 2.7, 4.2 and 5.4.2 (equations from memory; the block form follows from the same algebra).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize

from linkwright.mechanics.section import Floats

_SIZE, _MOST_NOISE, _LENGTH = (-8.0, 3.0), 1.0, (-2.0, 4.0)
"""Bounds of the logarithms."""
_BLOCK = 1024
_STEPS = 40


@dataclass(frozen=True)
class GaussianProcess:
    """Values at inputs (values, axes)."""

    inputs: Floats
    values: Floats
    logs: Floats
    """Logarithms of the departure's size, of the noise, of the lengths."""
    slope: float = 1.0
    """Standard deviation of the trend's slopes before any value is known."""

    @classmethod
    def fitted(
        cls,
        inputs: Floats,
        values: Floats,
        sample: NDArray[np.bool_] | None = None,
        least_noise: float = 0.0003,
    ) -> GaussianProcess:
        """Fit sizes and lengths, to a ``sample`` of the values if there are many."""
        some = np.ones(len(values), dtype=bool) if sample is None else sample
        start = np.array([-2.0, max(-4.0, np.log(least_noise)), *np.ones(inputs.shape[1])])
        bounds = [_SIZE, (np.log(least_noise), _MOST_NOISE), *[_LENGTH] * inputs.shape[1]]
        found = minimize(
            lambda logs: _unlikely(inputs[some], values[some], logs), start,
            method="L-BFGS-B", bounds=bounds, options={"maxiter": _STEPS},
        )  # fmt: skip
        return cls(inputs, values, np.asarray(found.x))

    @classmethod
    def trend(cls, inputs: Floats, values: Floats, noise: float, slope: float) -> GaussianProcess:
        """The linear trend alone, for very few values; ``slope`` keeps it near a constant."""
        logs = np.array([-30.0, np.log(noise), *np.zeros(inputs.shape[1])])
        return cls(inputs, values, logs, slope)

    def at(self, places: Floats) -> Floats:
        """The mean at places."""
        weights = cho_solve(self._factor(), self.values)
        found = np.empty(len(places))
        for start in range(0, len(places), _BLOCK):
            some = slice(start, start + _BLOCK)
            found[some] = _kernel(places[some], self.inputs, self.logs, self.slope) @ weights
        return found

    def left_out(self, groups: NDArray[np.intp]) -> Floats:
        """Value less what a fit without its group gives there."""
        inverse = cho_solve(self._factor(), np.eye(len(self.values)))
        weights = inverse @ self.values
        errors = np.empty(len(self.values))
        for group in np.unique(groups):
            own = np.flatnonzero(groups == group)
            errors[own] = np.linalg.solve(inverse[np.ix_(own, own)], weights[own])
        return errors

    def _factor(self) -> tuple[Floats, bool]:
        factor: tuple[Floats, bool] = cho_factor(
            _covariance(self.inputs, self.logs, self.slope), lower=True
        )
        return factor


def _kernel(here: Floats, there: Floats, logs: Floats, slope: float) -> Floats:
    apart = (here[:, None] - there[None]) * np.exp(-logs[2:])
    far = np.sqrt(5 * np.einsum("ijk,ijk->ij", apart, apart))
    departure = np.exp(2 * logs[0]) * (1 + far + far**2 / 3) * np.exp(-far)
    return np.asarray(1 + slope**2 * (here @ there.T) + departure)


def _covariance(inputs: Floats, logs: Floats, slope: float) -> Floats:
    whole = _kernel(inputs, inputs, logs, slope)
    whole[np.diag_indices(len(whole))] += np.exp(2 * logs[1])
    return whole


def _unlikely(inputs: Floats, values: Floats, logs: Floats) -> float:
    """Less the logarithm of the marginal likelihood, but for a constant."""
    try:
        factor = cho_factor(_covariance(inputs, logs, 1.0), lower=True)
    except np.linalg.LinAlgError:
        return 1e10
    fit = values @ cho_solve(factor, values) / 2
    return float(fit + np.log(np.diag(factor[0])).sum())
