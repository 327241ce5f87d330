"""Nitrogen beside carbon in austenite: what it counts for when the steel is quenched.

- `carbon_with_nitrogen`: carbon that would do what carbon and nitrogen do together
"""

from __future__ import annotations

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_CARBON_OVER_NITROGEN = 12.011 / 14.007
"""Mass of an atom of carbon over that of one of nitrogen."""


@calculation(
    source="atom for atom: both sit in the same gaps of austenite; a convention, the works' own "
    "factor on it is learned from measured retained austenite",
    gives="carbon_percent",
    basis="computed",
    needs={
        "carbon_percent": NOT_NEGATIVE,
        "nitrogen_percent": NOT_NEGATIVE,
        "nitrogen_factor": POSITIVE,
    },
    valid={"nitrogen_percent": (0.0, 0.5)},
)
def carbon_with_nitrogen(
    *, carbon_percent: Values, nitrogen_percent: Values, nitrogen_factor: Values = 1.0
) -> Values:
    """Carbon that stands for carbon and nitrogen together: C + f (12.011/14.007) N.

    One atom of nitrogen counts for ``nitrogen_factor`` atoms of carbon: in the start of martensite
    and the austenite that stays, in the hardness of martensite, and in how slowly austenite falls
    to other constituents. That nitrogen lowers Ms, leaves more austenite and hardens deeper is
    common practice; no law with figures for alloyed steel was at hand that we could vouch for.
    Above some 0.5 % nitrogen leaves the austenite as gas or nitride.

    References: atomic masses (IUPAC); the rest a convention.

    Example:
    >>> print(round(carbon_with_nitrogen(carbon_percent=0.7, nitrogen_percent=0.3), 3))
    0.957
    """
    return carbon_percent + nitrogen_factor * _CARBON_OVER_NITROGEN * nitrogen_percent
