"""Breaking force of chain from tests of pieces, by the normal law and by Weibull's.

Offers `breaking_force_of_chain`: a longer chain is as strong as its weakest link.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import ndtri

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quality.weibull import weibull_fit
from linkwright.quantities import ArgumentError


class ChainStrength(NamedTuple):
    """Results of `breaking_force_of_chain`."""

    n: int
    mean: float
    s: float
    shape: float
    scale: float
    median_normal: Values
    median_weibull: Values
    value_normal: Values
    value_weibull: Values
    least_seen: float


@calculation(
    source="W. Weibull, A Statistical Theory of the Strength of Materials (1939); least of N "
    "normal values: H. A. David & H. N. Nagaraja, Order Statistics (weakest link, breaking force)",
    needs={"forces": POSITIVE, "links_in_piece": (1.0, None), "links": (1.0, None),
           "reliability": (1e-6, 1.0 - 1e-9)},
    carries=(
        "forces", "mean", "s", "scale", "median_normal", "median_weibull", "value_normal",
        "value_weibull", "least_seen",
    ),
)  # fmt: skip
def breaking_force_of_chain(
    *, forces: Values, links_in_piece: float, links: Values, reliability: float = 0.99
) -> ChainStrength:
    """Breaking force of chains of N links from tests on pieces of n links.

    A chain of N links is the weakest of N/n pieces: R_chain = R_piece^(N/n). Normal law: mean and
    s of the tests; Weibull law by maximum likelihood. Both are given, as far beyond the tests the
    two part: what is between them is not known from the tests.

    Args:
        forces: Breaking forces of the pieces, at least 3. links_in_piece: n. links: N of the
            chains. reliability: Share that reaches ``value``.

    Returns:
        The fits; median and the force that the share of all chains reaches, by both laws.

    References:
        W. Weibull (1939); David & Nagaraja, Order Statistics.
    """
    values = np.ravel(forces)
    if values.size < 3:
        raise ArgumentError("forces", f"{values.size} values", "", "at least 3", "is too few")
    fitted = weibull_fit(failures=values)
    mean, s = float(values.mean()), float(values.std(ddof=1))
    pieces = np.asarray(links, float) / links_in_piece

    def normal(share: float) -> Values:
        # 1 - share^(1/pieces) without losing its digits
        return mean + s * ndtri(-np.expm1(np.log(share) / pieces))

    def weibull(share: float) -> Values:
        return fitted.scale * (-np.log(share) / pieces) ** (1.0 / fitted.shape)

    return ChainStrength(
        values.size, mean, s, fitted.shape, fitted.scale, normal(0.5), weibull(0.5),
        normal(reliability), weibull(reliability), float(values.min()),
    )  # fmt: skip
