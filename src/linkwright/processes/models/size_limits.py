"""Limits as shares of a size, so that one works serves parts of every size.

- `share_of_size`: a share of a size
- `seam_peak_limit`: a share of the outside in micrometres
- `roller_play`: play of a roller on its bushing

A band about a size is `band_about`.
"""

from __future__ import annotations

from linkwright.catalogue import POSITIVE, Values, calculation


@calculation(
    source="definition of a share", gives="share_mm", basis="computed", needs={"size_mm": POSITIVE}
)
def share_of_size(*, size_mm: Values, share_percent: Values) -> Values:
    """Share of a size: s q/100.

    References: definition; the share is the works' own.
    """
    return size_mm * share_percent / 100.0


@calculation(
    source="definition of a share",
    gives="seam_peak_limit_um",
    basis="computed",
    needs={"outside_mm": POSITIVE},
)
def seam_peak_limit(*, outside_mm: Values, share_percent: Values) -> Values:
    """How far a seam may stand out, as share of the outside: 10 D q, in um.

    References: definition; the share is the works' own.
    """
    return 10.0 * outside_mm * share_percent


@calculation(
    source="difference of sizes over the bushing",
    gives="roller_play_percent",
    basis="computed",
    needs={"roller_bore_mm": POSITIVE, "bushing_outside_mm": POSITIVE},
)
def roller_play(*, roller_bore_mm: Values, bushing_outside_mm: Values) -> Values:
    """Play of a roller on its bushing as share of the bushing: 100 (b - D)/D.

    References: geometry; 1 % is common practice, no source (`roller_bore`).

    Example:
        >>> print(round(roller_play(roller_bore_mm=11.39, bushing_outside_mm=11.28), 2))
        0.98
    """
    return 100.0 * (roller_bore_mm - bushing_outside_mm) / bushing_outside_mm
