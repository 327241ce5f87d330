"""Rules of ASME B29.1 that follow from pitch, pin or width of a chain, in inches.

`ansi_measuring_load`, `ansi_breaking_force`, `ansi_plate_heights`, `ansi_clearances`,
`ansi_proportions` and `ansi_strand_overlength`.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.standards.roller_chain import ansi_measuring_load_lbf

_HANDBOOK = "Machinery's Handbook, Transmission Roller Chain; ASME B29.1"


class PlateHeights(NamedTuple):
    """Results of `ansi_plate_heights`."""

    greatest_roller_link_plate_height_in: Values
    greatest_pin_link_plate_height_in: Values


class Clearances(NamedTuple):
    """Results of `ansi_clearances`."""

    greatest_pin_diameter_in: Values
    least_bushing_bore_in: Values
    greatest_roller_link_width_in: Values
    least_pin_plate_distance_in: Values


class Proportions(NamedTuple):
    """Results of `ansi_proportions`."""

    roller_diameter_in: Values
    inner_width_in: Values
    pin_diameter_in: Values
    plate_thickness_in: Values


@calculation(
    source=_HANDBOOK, gives="measuring_load_lbf", needs={"pitch_in": POSITIVE}, basis="published"
)
def ansi_measuring_load(*, pitch_in: Values) -> Values:
    """Load under which the length of a new ASME B29.1 chain is measured, one strand.

    F = 0.01 x 12500 p^2, at least 18 lbf and at most 1000 lbf, p in inches.

    References: ASME B29.1, measuring load; Machinery's Handbook, Transmission Roller Chain.

    Example:
        >>> ansi_measuring_load(pitch_in=1.0), ansi_measuring_load(pitch_in=3.0)
        (125.0, 1000.0)
    """
    return ansi_measuring_load_lbf(pitch_in)


@calculation(
    source=_HANDBOOK,
    gives="breaking_force_lbf",
    needs={"pitch_in": POSITIVE, "strands": (1.0, None)},
)
def ansi_breaking_force(*, pitch_in: Values, strands: Values = 1.0) -> Values:
    """Minimum ultimate tensile strength of an ASME B29.1 chain, not the light No. 41.

    F = 12500 n p^2 lbf, n strands, p in inches. Tables round it.

    References: ASME B29.1; Machinery's Handbook, Transmission Roller Chain.

    Example:
        >>> ansi_breaking_force(pitch_in=0.75, strands=3)
        21093.75
    """
    return strands * 12500.0 * pitch_in**2


@calculation(source=f"{_HANDBOOK}, general proportions", needs={"pitch_in": POSITIVE})
def ansi_plate_heights(*, pitch_in: Values) -> PlateHeights:
    """Greatest heights of roller link plates (0.95 p) and of pin link plates (0.82 p).

    References: Machinery's Handbook, Transmission Roller Chain, general proportions.

    Example:
        >>> ansi_plate_heights(pitch_in=1.0).greatest_pin_link_plate_height_in
        0.82
    """
    return PlateHeights(0.95 * pitch_in, 0.82 * pitch_in)


@calculation(
    source=f"{_HANDBOOK}, general proportions",
    needs={
        "pin_diameter_in": POSITIVE,
        "inner_width_in": POSITIVE,
        "plate_thickness_in": POSITIVE,
    },
)
def ansi_clearances(
    *, pin_diameter_in: Values, inner_width_in: Values, plate_thickness_in: Values
) -> Clearances:
    """Limits of pin, bushing bore and link widths, so that any two makes fit together.

    Greatest pin: nominal + 0.0005 in; least bushing bore: nominal pin + 0.0015 in; greatest
    width of the roller link: W + 2.12 T; least distance between pin link plates: that + 0.002 in,
    with W the inner width and T the plate thickness.

    References: Machinery's Handbook, Transmission Roller Chain, general proportions.

    Example:
        >>> limits = ansi_clearances(
        ...     pin_diameter_in=0.312, inner_width_in=0.625, plate_thickness_in=0.125
        ... )
        >>> round(limits.least_pin_plate_distance_in, 4)
        0.892
    """
    width = inner_width_in + 2.12 * plate_thickness_in
    return Clearances(pin_diameter_in + 0.0005, pin_diameter_in + 0.0015, width, width + 0.002)


@calculation(
    source=f"{_HANDBOOK}, general proportions", needs={"pitch_in": POSITIVE}, basis="memory"
)
def ansi_proportions(*, pitch_in: Values) -> Proportions:
    """Approximate roller, width, pin and plate of an ASME B29.1 chain by its pitch.

    Roller 5/8 p, width between inner plates 5/8 p, pin 5/16 p (half the roller), plate 1/8 p. The
    table (`ansi_chain`) rounds to sizes of wire, strip and shafting and stands before this rule.

    References: Machinery's Handbook, Transmission Roller Chain, general proportions.

    Example:
        >>> tuple(ansi_proportions(pitch_in=1.0))
        (0.625, 0.625, 0.3125, 0.125)
    """
    return Proportions(0.625 * pitch_in, 0.625 * pitch_in, 0.3125 * pitch_in, 0.125 * pitch_in)


@calculation(
    source=f"{_HANDBOOK}, length tolerance",
    gives="greatest_overlength_in_per_ft",
    needs={"pitch_in": POSITIVE},
    basis="memory",
)
def ansi_strand_overlength(*, pitch_in: Values) -> Values:
    """Greatest over-length of a new ASME B29.1 strand under its measuring load.

    0.001/p^2 + 0.015 inch a foot, p in inches, on at least 12 inches; no under-length.

    References: ASME B29.1, chain length tolerance; Machinery's Handbook.

    Example:
        >>> ansi_strand_overlength(pitch_in=1.0)
        0.016
    """
    return 0.001 / pitch_in**2 + 0.015
