"""What a quenching bath does: severity by Grossmann, and the bar it hardens.

- `quench_severity`: range of H of a medium and agitation
- `heat_transfer_of_severity`: h = 2 k H
- `ideal_diameter_of_bar`: the ideal diameter that a bar and a bath equal

A severity stands for a whole quench by one number; it holds for comparison, not for a course
of temperature.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.conduction import cylinder_roots
from linkwright.quantities import UnknownName

_GROSSMANN = (
    "M. A. Grossmann & E. C. Bain, Principles of Heat Treatment, 5th ed. (1964); "
    "ASM Handbook, Vol. 4, quench severity H"
)
_TERMS = 12
# Least and greatest H (1/in) by medium and agitation.
_SEVERITY = {
    "air, no agitation": (0.02, 0.02),
    "oil, no agitation": (0.25, 0.30),
    "oil, mild agitation": (0.30, 0.35),
    "oil, moderate agitation": (0.35, 0.40),
    "oil, good agitation": (0.40, 0.50),
    "oil, strong agitation": (0.50, 0.80),
    "oil, violent agitation": (0.80, 1.10),
    "water, no agitation": (0.90, 1.00),
    "water, mild agitation": (1.00, 1.10),
    "water, moderate agitation": (1.20, 1.30),
    "water, good agitation": (1.40, 1.50),
    "water, strong agitation": (1.60, 2.00),
    "water, violent agitation": (4.00, 4.00),
    "brine, no agitation": (2.00, 2.00),
    "brine, mild agitation": (2.00, 2.20),
    "brine, violent agitation": (5.00, 5.00),
}


class Severity(NamedTuple):
    """Results of `quench_severity`."""

    H_low_per_in: Values
    H_high_per_in: Values


@calculation(source=_GROSSMANN, basis="memory")
def quench_severity(*, medium: str | Sequence[str]) -> Severity:
    """Least and greatest Grossmann severity H (1/in) of a medium, or of several.

    ``medium`` reads "oil, good agitation"; the media are air, oil, water and brine, the
    agitation no, mild, moderate, good, strong or violent. Raises `UnknownName`.

    >>> quench_severity(medium="water, no agitation").H_high_per_in
    1.0

    References: Grossmann & Bain (1964), values recalled.
    """
    names = [medium] if isinstance(medium, str) else list(medium)
    for name in names:
        if name not in _SEVERITY:
            raise UnknownName("medium", name, _SEVERITY)
    rows = [_SEVERITY[name] for name in names]
    if isinstance(medium, str):
        return Severity(*rows[0])
    return Severity(*(np.array(column) for column in zip(*rows, strict=True)))


@calculation(
    source=f"{_GROSSMANN}, definition H = h/(2k)",
    gives="heat_transfer_W_per_m2K",
    needs={"H_per_in": POSITIVE, "conductivity_W_per_mK": POSITIVE},
)
def heat_transfer_of_severity(*, H_per_in: Values, conductivity_W_per_mK: Values = 36.0) -> Values:
    """Mean heat transfer coefficient that a severity stands for: h = 2 k H.

    References: Grossmann & Bain (1964).
    """
    return 2.0 * conductivity_W_per_mK * H_per_in / 0.0254


class IdealBar(NamedTuple):
    """Results of `ideal_diameter_of_bar`."""

    half_temperature_fourier_ideal: Values
    half_temperature_fourier: Values
    ideal_diameter_in: Values


@calculation(
    source="method of M. A. Grossmann, M. Asimow & S. F. Urban, in Hardenability of Alloy Steels "
    "(ASM, 1939): equal time to half temperature",
    needs={"diameter_in": POSITIVE, "H_per_in": POSITIVE},
    valid={"H_per_in": (0.01, 100.0)},
    basis="computed",
)
def ideal_diameter_of_bar(*, diameter_in: Values, H_per_in: Values) -> IdealBar:
    """Ideal diameter that cools at its centre as the bar does in its bath.

    Both centres reach half temperature in the same time. Bi = h R/k = H D for the bar, infinite
    for the ideal quench; with Fo the Fourier number at half temperature,

        D_I = D sqrt(Fo(Bi)/Fo_ideal)

    Fo from the full series of a long cylinder with constant properties; the published charts
    may differ by a few per cent.

    References: Grossmann, Asimow & Urban (1939).
    """
    ideal = float(_half_temperature_fourier(None))
    bar = _half_temperature_fourier(np.asarray(H_per_in * diameter_in, dtype=float))
    return IdealBar(ideal, bar[()], diameter_in * np.sqrt(bar / ideal)[()])


def _half_temperature_fourier(biot: Any) -> Any:
    """Fourier number at which the centre is half way; None is the ideal quench.

    The first term alone is right to a few per cent at half temperature, so half and twice its
    solution bracket the root; twelve terms are exact to rounding there.
    """
    from scipy.optimize.elementwise import find_root  # noqa: PLC0415 - heavy, on use
    from scipy.special import j0, j1, jn_zeros  # noqa: PLC0415 - heavy, on use

    z = jn_zeros(0, _TERMS) if biot is None else cylinder_roots(biot, _TERMS)
    share = 2.0 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))
    first = np.log(2.0 * share[..., 0]) / z[..., 0] ** 2

    def excess(fourier: Any, *parts: Any) -> Any:
        roots, shares = np.array(parts[:_TERMS]), np.array(parts[_TERMS:])
        return (shares * np.exp(-(roots**2) * fourier)).sum(axis=0) - 0.5

    parts = (*np.moveaxis(z, -1, 0), *np.moveaxis(share, -1, 0))
    found = find_root(excess, (0.5 * first, 2.0 * first), args=parts)
    return np.asarray(found.x)
