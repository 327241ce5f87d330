"""Bar needed for an obround link and mass of its chain (`obround_link_blank`)."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError


class ObroundBlank(NamedTuple):
    """Results of `obround_link_blank`."""

    centreline_length_mm: Values
    mass_per_length_kg_per_m: Values


@calculation(
    source="Geometry of two semicircles and two straights",
    needs={
        "wire_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "outer_width_mm": POSITIVE,
        "density_kg_per_m3": POSITIVE,
    },
    basis="computed",
)
def obround_link_blank(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    density_kg_per_m3: Values = 7850.0,
) -> ObroundBlank:
    """Centre-line length of the bar of an obround link and mass per metre of chain.

    L = pi (w - d) + 2 (p + 2 d - w); m = rho (pi d^2 / 4) L / p. No upset, no weld loss.

    Args:
        wire_diameter_mm: Bar diameter d.
        pitch_mm: Inner length of the link p.
        outer_width_mm: Outer width w, between 2 d and p + 2 d.
        density_kg_per_m3: Density of the steel rho.

    Raises:
        ArgumentError: a width that leaves no room inside or exceeds the outer length.

    References:
        Geometry of two semicircles and two straights.

    Example:
        >>> blank = obround_link_blank(wire_diameter_mm=16, pitch_mm=48, outer_width_mm=55.2)
        >>> round(blank.centreline_length_mm, 2), round(blank.mass_per_length_kg_per_m, 2)
        (172.75, 5.68)
    """
    d, p, w = wire_diameter_mm, pitch_mm, outer_width_mm
    if np.any(np.asarray(w) <= 2.0 * d) or np.any(np.asarray(w) > p + 2.0 * d):
        raise ArgumentError("outer_width_mm", f"{w}", "mm", "between 2 d and p + 2 d")
    length = math.pi * (w - d) + 2.0 * (p + 2.0 * d - w)
    section_m2 = math.pi / 4.0 * (d / 1000.0) ** 2
    return ObroundBlank(length, density_kg_per_m3 * section_m2 * length / p)
