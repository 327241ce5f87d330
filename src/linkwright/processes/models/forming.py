"""Sums of cutting and forming: gauges, twist, shape of the bent section, rate, machines.

- `cut_tolerance_to_pitch`, `open_link_length`: what is gauged at the machine
- `bend_ovality`, `bend_strain_limit`, `formed_twist`: the bend itself
- `chain_rate`, `machine_hours`, `machines_for_hours`: how much chain, by how many machines
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.link_geometry import pitch_from_centreline


@calculation(
    source="geometry of an oval link: at constant width half of the length goes into the pitch",
    gives="pitch_shift_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "tolerance_ratio": NOT_NEGATIVE},
)
def cut_tolerance_to_pitch(*, wire_diameter_mm: Values, tolerance_ratio: Values = 0.02) -> Values:
    """What the tolerance of the cut length does to the pitch: half of ratio times wire.

    The tolerance of the cut is 0.02 of the wire by default (common practice, no source).

    References: p = (L - pi (w - d))/2 + w - 2 d, dp/dL = 1/2.

    Example:
        >>> print(cut_tolerance_to_pitch(wire_diameter_mm=8.0))
        0.08
    """
    return 0.5 * tolerance_ratio * wire_diameter_mm


@calculation(
    source="geometry of an oval link with semicircular ends, open by the gap",
    gives="open_link_length_mm",
    basis="computed",
    needs={"cut_length_mm": POSITIVE, "gap_mm": NOT_NEGATIVE, "wire_diameter_mm": POSITIVE},
)
def open_link_length(
    *, cut_length_mm: Values, gap_mm: Values, wire_diameter_mm: Values, outer_width_mm: Values
) -> Values:
    """Length over an open link: pitch of a centreline of wire and gap, and two wires.

    References: plane geometry.

    Example:
        >>> print(round(open_link_length(cut_length_mm=86.5, gap_mm=1.2, wire_diameter_mm=8.05,
        ...                              outer_width_mm=26.9), 2))
        41.14
    """
    pitch = pitch_from_centreline(
        centreline_length_mm=cut_length_mm + gap_mm,
        wire_diameter_mm=wire_diameter_mm,
        outer_width_mm=outer_width_mm,
    )
    return pitch + 2.0 * wire_diameter_mm


@calculation(
    source="constancy of volume, fibre by fibre: radial strain is minus half of the strain along "
    "the wire",
    gives="bend_ovality_percent",
    basis="computed",
    needs={"diameter_mm": POSITIVE, "inner_radius_mm": NOT_NEGATIVE},
)
def bend_ovality(*, diameter_mm: Values, inner_radius_mm: Values) -> Values:
    """Height of the bent section in the plane of the bend over its width, less 1.

    With e = 1/(1 + 2 R/d) the strain of the outer fibre and radial stretch (1 + e y/r)^(-1/2)
    the height is (d/e) [sqrt(1 + e) - sqrt(1 - e)]; at half height the width stays d. The
    outside thins less than the inside thickens. What the finger flattens is left out: it has
    to be measured.

    References: constancy of volume.

    Example:
        >>> print(round(bend_ovality(diameter_mm=8.0, inner_radius_mm=5.2), 2))
        2.58
    """
    e = diameter_mm / (2.0 * inner_radius_mm + diameter_mm)
    return 100.0 * ((np.sqrt(1.0 + e) - np.sqrt(1.0 - e)) / e - 1.0)


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Sec. 16.5: the outer fibre cracks at the fracture strain in tension",
    gives="greatest_true_strain",
    basis="computed",
    needs={"reduction_of_area_percent": (1e-6, 99.9), "prestrain": NOT_NEGATIVE},
)
def bend_strain_limit(*, reduction_of_area_percent: Values, prestrain: Values = 0.0) -> Values:
    """True strain at which the outside of a bend cracks, ln(1/(1 - r)) less what was drawn.

    r is the reduction of area of the rod in tension; the strain of drawing uses up a part.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed.
    (2010), Sec. 16.5 (see `minimum_bend_radius`); strains of successive work added.

    Example:
        >>> print(round(bend_strain_limit(reduction_of_area_percent=60.0, prestrain=0.11), 3))
        0.806
    """
    whole = -np.log1p(-np.asarray(reduction_of_area_percent, float) / 100.0)
    return np.maximum(whole - prestrain, 0.0)[()]


@calculation(
    source="the twist that the arms leave; what varies from link to link comes on top",
    gives="twist_deg",
    basis="computed",
)
def formed_twist(*, arm_misalignment_deg: Values = 0.0) -> Values:
    """Angle of one crown against the other about the link's length; 0 for arms in one plane.

    References: geometry.
    """
    return arm_misalignment_deg


@calculation(
    source="definition of a rate",
    gives="chain_rate_m_per_h",
    basis="computed",
    needs={"links_per_min": POSITIVE, "length_m": POSITIVE, "links": POSITIVE},
)
def chain_rate(*, links_per_min: Values, length_m: Values, links: Values) -> Values:
    """Chain that one machine makes in an hour: 60 rate length/links.

    References: definition of a rate.

    Example:
        >>> print(round(chain_rate(links_per_min=55.0, length_m=23.0, links=1000.0), 1))
        75.9
    """
    return 60.0 * links_per_min * length_m / links


@calculation(
    source="definition of a rate",
    gives="machine_hours_h",
    basis="computed",
    needs={"links_per_min": POSITIVE, "links": NOT_NEGATIVE},
)
def machine_hours(*, links_per_min: Values, links: Values) -> Values:
    """Hours that one machine alone would take for all links: n/(60 rate).

    References: definition of a rate.

    Example:
        >>> print(machine_hours(links_per_min=50.0, links=12000.0))
        4.0
    """
    return links / (60.0 * links_per_min)


@calculation(
    source="whole machines",
    gives="machines_needed_count",
    basis="computed",
    needs={"machine_hours_h": NOT_NEGATIVE, "hours_available_h": POSITIVE},
)
def machines_for_hours(*, machine_hours_h: Values, hours_available_h: Values) -> Values:
    """Machines that do the work within the hours there are: quotient, rounded up.

    References: none needed.

    Example:
        >>> print(machines_for_hours(machine_hours_h=130.0, hours_available_h=60.0))
        3.0
    """
    return np.ceil(np.asarray(machine_hours_h) / hours_available_h - 1e-9)[()]
