"""Lengths and volumes of an oval link on its way from wire to chain.

- `pitch_from_centreline`: pitch of a closed oval link of known centreline length
- `blank_length`, `welded_centreline`: before and after what the weld takes
- `stretched_pitch`, `unstretched_pitch`: pitch after an even stretch of the chain
- `thinned_diameter`: wire diameter after a plastic strain at constant volume
- `links_in_length`, `wire_mass`: amounts of a length of chain
- `outer_width`, `inner_width`, `inner_width_aim`: the one from the other
- `sized_by_wire`: a size that is held as a ratio to the wire
- `trimming_bore`, `trimmed_weld`, `affected_length_each_side`: what is left of the weld's bulge
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation

_GEOMETRY = "geometry of an oval link with semicircular ends"


@calculation(
    source=f"{_GEOMETRY}: inverse of L = pi (w - d) + 2 (p + 2 d - w)",
    gives="pitch_mm",
    basis="computed",
    needs={"centreline_length_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
)
def pitch_from_centreline(
    *, centreline_length_mm: Values, wire_diameter_mm: Values, outer_width_mm: Values
) -> Values:
    """Pitch (inner length) p = (L - pi (w - d))/2 + w - 2 d of an oval link.

    L centreline length, d wire diameter, w outer width, all in mm.

    References: plane geometry.

    Example:
        >>> print(round(pitch_from_centreline(
        ...     centreline_length_mm=172.75, wire_diameter_mm=16.0, outer_width_mm=55.2), 2))
        48.0
    """
    crowns = np.pi * (outer_width_mm - wire_diameter_mm)
    return 0.5 * (centreline_length_mm - crowns) + outer_width_mm - 2.0 * wire_diameter_mm


@calculation(
    source="balance of volume: what the weld takes must be cut",
    gives="cut_length_mm",
    basis="computed",
    needs={"centreline_length_mm": POSITIVE},
)
def blank_length(
    *, centreline_length_mm: Values, upset_length_mm: Values, burn_off_mm: Values
) -> Values:
    """Length to cut: centreline of the closed link, plus upset and burn-off of the weld.

    References: balance of volume.
    """
    return centreline_length_mm + upset_length_mm + burn_off_mm


@calculation(
    source="balance of volume: what the weld takes is missing from the centreline",
    gives="centreline_length_mm",
    basis="computed",
    needs={"cut_length_mm": POSITIVE},
)
def welded_centreline(
    *, cut_length_mm: Values, upset_length_mm: Values, burn_off_mm: Values
) -> Values:
    """Centreline length left after welding: cut length less upset and burn-off.

    References: balance of volume.
    """
    return cut_length_mm - upset_length_mm - burn_off_mm


@calculation(
    source="definition of engineering strain",
    gives="pitch_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE},
)
def stretched_pitch(*, pitch_mm: Values, stretch_percent: Values) -> Values:
    """Pitch after the chain has stretched evenly: p (1 + stretch/100).

    References: definition of engineering strain.
    """
    return pitch_mm * (1.0 + stretch_percent / 100.0)


@calculation(
    source="definition of engineering strain",
    gives="pitch_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE},
)
def unstretched_pitch(*, pitch_mm: Values, stretch_percent: Values) -> Values:
    """Pitch before an even stretch of the chain: p/(1 + stretch/100).

    References: definition of engineering strain.
    """
    return pitch_mm / (1.0 + stretch_percent / 100.0)


@calculation(
    source="constancy of volume in plastic flow",
    gives="wire_diameter_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE},
)
def thinned_diameter(*, wire_diameter_mm: Values, plastic_strain: Values) -> Values:
    """Wire diameter after a plastic true strain along the wire: d exp(-eps/2).

    References: constancy of volume in plastic flow.
    """
    return wire_diameter_mm * np.exp(-0.5 * plastic_strain)


@calculation(
    source="chain length over pitch, whole links",
    gives="links",
    basis="computed",
    needs={"length_m": POSITIVE, "pitch_mm": POSITIVE},
)
def links_in_length(*, length_m: Values, pitch_mm: Values) -> Values:
    """Number of links in a length of chain: length over pitch, rounded up to a whole link.

    References: a chain of n links is n pitches long.
    """
    return np.ceil(length_m * 1000.0 / pitch_mm - 1e-9)


@calculation(
    source="volume of a round wire times density",
    gives="mass_kg",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "length_mm": POSITIVE, "pieces": POSITIVE},
)
def wire_mass(
    *,
    wire_diameter_mm: Values,
    length_mm: Values,
    pieces: Values = 1.0,
    density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Mass of ``pieces`` round wires: n rho pi d^2/4 l; steel 7850 kg/m3 by default.

    References: EN 1993-1-2:2005, 3.2.2 (density of steel 7850 kg/m3).
    """
    volume_mm3 = np.pi / 4.0 * wire_diameter_mm**2 * length_mm * pieces
    return volume_mm3 * density_kg_per_m3 * 1e-9


@calculation(
    source=_GEOMETRY,
    gives="outer_width_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "inner_width_mm": POSITIVE},
)
def outer_width(*, wire_diameter_mm: Values, inner_width_mm: Values) -> Values:
    """Outer width of a link: inner width and two wires.

    References: plane geometry.
    """
    return inner_width_mm + 2.0 * wire_diameter_mm


@calculation(
    source=_GEOMETRY,
    gives="inner_width_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "outer_width_mm": POSITIVE},
)
def inner_width(*, wire_diameter_mm: Values, outer_width_mm: Values) -> Values:
    """Inner width of a link: outer width less two wires.

    References: plane geometry.
    """
    return outer_width_mm - 2.0 * wire_diameter_mm


@calculation(
    source=_GEOMETRY,
    gives="inner_radius_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "outer_width_mm": POSITIVE},
)
def inner_crown_radius(*, wire_diameter_mm: Values, outer_width_mm: Values) -> Values:
    """Inside radius of the crown, w/2 - d: half the inner width.

    References: plane geometry.
    """
    return 0.5 * outer_width_mm - wire_diameter_mm


@calculation(
    source=_GEOMETRY,
    gives="mean_radius_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "finger_radius_mm": POSITIVE},
)
def centre_radius_on_finger(*, wire_diameter_mm: Values, finger_radius_mm: Values) -> Values:
    """Radius of the wire's centre line where it lies on the finger: r + d/2.

    References: plane geometry.
    """
    return finger_radius_mm + 0.5 * wire_diameter_mm


@calculation(
    source=f"{_GEOMETRY}; the works' own factor on the radius after release",
    gives="outer_width_mm",
    basis="computed",
    needs={"mean_radius_mm": POSITIVE, "loaded_radius_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
)
def formed_width(
    *,
    mean_radius_mm: Values,
    loaded_radius_mm: Values,
    wire_diameter_mm: Values,
    springback_factor: Values = 1.0,
) -> Values:
    """Outer width of the formed link, w = 2 [R0 + f (R - R0)] + d.

    R0 loaded, R released centre-line radius; f scales how much springs back and is learned
    from the works' own links.

    References: plane geometry.
    """
    released = loaded_radius_mm + springback_factor * (mean_radius_mm - loaded_radius_mm)
    return 2.0 * released + wire_diameter_mm


@calculation(
    source=f"{_GEOMETRY}; the works' own factor on the radius after release",
    gives="inner_radius_mm",
    basis="computed",
    needs={"inner_radius_mm": POSITIVE, "finger_radius_mm": POSITIVE},
)
def corrected_finger_radius(
    *, inner_radius_mm: Values, finger_radius_mm: Values, springback_factor: Values
) -> Values:
    """Finger radius where the works' factor scales springback: r - f (r - r_finger).

    r wanted inside radius, r_finger finger by theory alone. First order in the springback.

    References: plane geometry.
    """
    return inner_radius_mm - springback_factor * (inner_radius_mm - finger_radius_mm)


@calculation(
    source="geometry: the trimming tool takes off what stands out beyond its bore",
    gives="weld_diameter_mm",
    basis="computed",
    needs={"bulge_diameter_mm": POSITIVE, "trimming_diameter_mm": POSITIVE},
)
def trimmed_weld(*, bulge_diameter_mm: Values, trimming_diameter_mm: Values) -> Values:
    """Diameter at the weld after trimming: the lesser of bulge and tool bore.

    References: geometry.
    """
    return np.minimum(bulge_diameter_mm, trimming_diameter_mm)


@calculation(
    source=f"{_GEOMETRY}; the ratio is the works' choice within the standard's limits",
    gives="inner_width_mm",
    basis="computed",
    needs={"nominal_diameter_mm": POSITIVE, "inner_width_ratio": POSITIVE},
)
def inner_width_aim(*, nominal_diameter_mm: Values, inner_width_ratio: Values) -> Values:
    """Inner width that the works aims at: ratio times the nominal diameter.

    References: none; EN 818-2 asks at least 1.3 d.
    """
    return nominal_diameter_mm * inner_width_ratio


@calculation(
    source="ratio to the wire that the works holds for its chain",
    gives="size_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "ratio": POSITIVE},
)
def sized_by_wire(*, wire_diameter_mm: Values, ratio: Values) -> Values:
    """A size as a multiple of the wire: pitch, eye, gap, or a tool and a bench set by it.

    References: none needed.
    """
    return wire_diameter_mm * ratio


@calculation(
    source="number of links times wire in each",
    gives="wire_length_m",
    basis="computed",
    needs={"links": POSITIVE, "fibre_length_mm": POSITIVE},
)
def wire_length(*, links: Values, fibre_length_mm: Values) -> Values:
    """Wire in a number of links, in metres.

    References: none needed.
    """
    return links * fibre_length_mm / 1000.0


@calculation(
    source="half of what the weld widens lies on either side of its middle",
    gives="affected_length_mm",
    basis="computed",
)
def affected_length_each_side(*, bulge_length_mm: Values) -> Values:
    """Length dimensionally affected by the weld on either side of its middle.

    References: definition in EN 818-2.
    """
    return 0.5 * bulge_length_mm


@calculation(
    source="ratio held by the works, within the weld diameter that the standard allows",
    gives="trimming_diameter_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "ratio": (1.0, 1.25)},
)
def trimming_bore(*, wire_diameter_mm: Values, ratio: Values) -> Values:
    """Bore of the trimming tool: ratio times the wire diameter.

    References: none; EN 818-2 allows 1.1 d at the weld.
    """
    return wire_diameter_mm * ratio
