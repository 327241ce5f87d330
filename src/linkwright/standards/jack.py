"""Jack chain: wire by gauge and wire needed for a link.

`jack_chain_wire`, `jack_chain_blank_radial` and `jack_chain_blank_tangent`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, convert
from linkwright.standards.reader import published_table

_EYE = {
    "wire_diameter_mm": POSITIVE,
    "eye_mean_diameter_mm": POSITIVE,
    "neck_length_mm": NOT_NEGATIVE,
}


class JackLink(NamedTuple):
    """Results of the two jack chain blanks."""

    wire_length_mm: Values
    pitch_mm: Values


@calculation(
    source="Steel Wire Gauge (Washburn and Moen), as in Machinery's Handbook, Wire and "
    "Sheet Metal Gages",
    gives="wire_diameter_mm",
    basis="memory",
)
def jack_chain_wire(*, steel_wire_gauge: Values | str) -> Values:
    """Wire diameter of jack chain by its number, the Steel Wire Gauge.

    That jack chain is numbered by this gauge is common practice of the trade, no source.

    Args:
        steel_wire_gauge: 0 to 20, or "2/0" to "7/0".

    Returns:
        Diameter in mm; the table is in inches.

    Raises:
        ArgumentError: a number that the gauge table does not list.

    References:
        Machinery's Handbook, Wire and Sheet Metal Gages, Steel Wire Gauge, remembered.

    Example:
        >>> [round(float(jack_chain_wire(steel_wire_gauge=no)), 4) for no in (12, "2/0")]
        [2.6797, 8.4074]
    """
    names = [_gauge_name(entry) for entry in np.atleast_1d(steel_wire_gauge).ravel()]
    table = published_table("steel_wire_gauge")
    for name in names:
        if not table.holds(name):
            reason = f"is not listed in {table.source}"
            raise ArgumentError("steel_wire_gauge", name, "", "7/0 to 2/0, 0 to 20", reason)
    diameters = np.array([table.column(name, "wire_diameter_in") for name in names])
    return convert(diameters.reshape(np.shape(steel_wire_gauge))[()], "in", "mm")


@calculation(
    source="Geometry: two full eyes, neck on the line of centres", needs=_EYE, basis="computed"
)
def jack_chain_blank_radial(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, neck_length_mm: Values
) -> JackLink:
    """Wire and pitch of a single jack chain link, neck on the line through both centres.

    L = 2 pi D + s; the neck joins the centre circles of the eyes at their nearest points,
    s apart, so the inner length eye to eye is s + 2 D - d.

    Args:
        wire_diameter_mm: Wire diameter d.
        eye_mean_diameter_mm: Mean diameter D of the eyes.
        neck_length_mm: Length s of the straight neck.

    References:
        Geometry (bending at constant length of the centre line).

    Example:
        >>> round(
        ...     jack_chain_blank_radial(
        ...         wire_diameter_mm=2.68, eye_mean_diameter_mm=9, neck_length_mm=6
        ...     ).pitch_mm,
        ...     2,
        ... )
        21.32
    """
    length = 2.0 * math.pi * eye_mean_diameter_mm + neck_length_mm
    return JackLink(length, neck_length_mm + 2.0 * eye_mean_diameter_mm - wire_diameter_mm)


@calculation(
    source="Geometry: two full eyes, neck tangent to both centre circles",
    needs=_EYE,
    basis="computed",
)
def jack_chain_blank_tangent(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, neck_length_mm: Values
) -> JackLink:
    """Wire and pitch of a single jack chain link whose neck is tangent to both eyes.

    L = 2 pi D + s; the eye centres lie s apart along the neck, so the inner length eye to
    eye is s + D - d.

    Args:
        wire_diameter_mm: Wire diameter d.
        eye_mean_diameter_mm: Mean diameter D of the eyes.
        neck_length_mm: Length s of the straight neck.

    References:
        Geometry (bending at constant length of the centre line).

    Example:
        >>> round(
        ...     jack_chain_blank_tangent(
        ...         wire_diameter_mm=2.68, eye_mean_diameter_mm=9, neck_length_mm=6
        ...     ).pitch_mm,
        ...     2,
        ... )
        12.32
    """
    length = 2.0 * math.pi * eye_mean_diameter_mm + neck_length_mm
    return JackLink(length, neck_length_mm + eye_mean_diameter_mm - wire_diameter_mm)


def _gauge_name(entry: object) -> str:
    """The table's name: 16.0 is "16", "00" is "2/0"."""
    if not isinstance(entry, str):
        return f"{float(entry):g}"  # type: ignore[arg-type]
    bare = entry.strip()
    return f"{len(bare)}/0" if len(bare) > 1 and set(bare) == {"0"} else bare
