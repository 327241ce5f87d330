"""Lots accepted by measuring: the standard deviation method of one or two limits.

Offers `variables_acceptance`, `variables_k` and `estimated_percent_outside`.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np
from scipy.special import betainc

from linkwright.catalogue import Values, calculation
from linkwright.quantities import ArgumentError, UnknownName


class VariablesAcceptance(NamedTuple):
    """Results of `variables_acceptance`."""

    mean: float
    s: float
    quality_index: float
    accept: bool
    estimated_percent: float


class TabledK(NamedTuple):
    """Results of `variables_k`."""

    k_aql_1_0: float
    k_aql_2_5: float


@calculation(
    source="MIL-STD-414 (1957), Section B, form 1, Example B-1; basis of ISO 3951-1 and ANSI/ASQ "
    "Z1.9 (k method)",
    carries=("data", "upper_limit", "lower_limit", "mean", "s"),
)
def variables_acceptance(
    *,
    data: Values,
    k: float,
    upper_limit: float | None = None,
    lower_limit: float | None = None,
) -> VariablesAcceptance:
    """Acceptance by variables, k method: accept when (U - mean)/s >= k and (mean - L)/s >= k.

    With two limits each is held to the same k, which is the form for separate limits.

    Args:
        data: Readings. k: Acceptance constant. upper_limit, lower_limit: At least one.

    Returns:
        Mean, s, the smaller quality index, the decision, and the estimated per cent outside.

    References:
        MIL-STD-414 (1957), Section B; ISO 3951-1.
    """
    values = np.ravel(data)
    if values.size < 3 or values.std() == 0.0:
        raise ArgumentError("data", f"{values.size} values", "", "3 or more, not equal")
    mean, s = float(values.mean()), float(values.std(ddof=1))
    found = []
    if upper_limit is not None:
        found.append((upper_limit - mean) / s)
    if lower_limit is not None:
        found.append((mean - lower_limit) / s)
    if not found:
        raise ArgumentError("upper_limit", "none", "", "upper_limit, lower_limit or both")
    index = float(min(found))
    outside = sum(float(_outside(one, float(values.size))) for one in found)
    return VariablesAcceptance(mean, s, index, index >= k, outside)


@lru_cache(maxsize=1)
def _tables() -> dict[str, Any]:
    text = (
        files("linkwright.quality").joinpath("data", "variables_sampling.toml").read_text("utf-8")
    )
    return tomllib.loads(text)


@calculation(
    source="MIL-STD-414 (1957), Table B-1 (k of the standard deviation method, normal inspection, "
    "AQL 1.0 and 2.5)",
    basis="memory",
)
def variables_k(*, letter: str, n: float | None = None) -> TabledK:
    """Acceptance constant k by code letter of MIL-STD-414 for AQL 1.0 % and 2.5 %.

    Letters and sizes are those of MIL-STD-414, not of ISO 3951-1. Other AQLs are not held.

    Args:
        letter: C to M. n: Sample size; if given it has to be that of the letter.

    References:
        MIL-STD-414 (1957), Table B-1 (remembered).
    """
    tables = _tables()
    if letter.strip().upper() not in tables["letters"]:
        raise UnknownName("letter", letter, tables["letters"])
    place = tables["letters"].index(letter.strip().upper())
    if n is not None and int(n) != tables["sizes"][place]:
        raise ArgumentError("n", n, "", f"{tables['sizes'][place]}, the size of {letter}")
    return TabledK(tables["k_aql_1_0"][place], tables["k_aql_2_5"][place])


@calculation(
    source="G. J. Lieberman & G. J. Resnikoff, Journal of the American Statistical Association 50 "
    "(1955) 457-516; MIL-STD-414 (1957), Table B-5 (estimated per cent outside)",
    needs={"n": (3.0, 1e6)},
    gives="percent",
    basis="computed",
)
def estimated_percent_outside(*, quality_index: Values, n: Values) -> Values:
    """Least-variance unbiased estimate of the per cent outside a limit from the quality index.

    I_x(n/2 - 1, n/2 - 1), x = 1/2 - Q sqrt(n)/(2 (n - 1)), between 0 and 1.

    Args:
        quality_index: Q = (U - mean)/s or (mean - L)/s. n: Sample size.

    References:
        Lieberman & Resnikoff, JASA 50 (1955) 457-516.
    """
    return _outside(quality_index, n)


def _outside(quality_index: Values, n: Values) -> Values:
    size = np.asarray(n, float)
    x = 0.5 - np.asarray(quality_index) * np.sqrt(size) / (2.0 * (size - 1.0))
    return 100.0 * betainc(size / 2.0 - 1.0, size / 2.0 - 1.0, np.clip(x, 0.0, 1.0))
