"""The bend test of a single link: how far its surface is stretched at the deflection asked for.

- `bend_test_strain`: strain of the outer fibre of a leg in three-point bending round a mandrel

The set-up (span of the supports, mandrel) is that of the works' bench: read it in the standard
(EN 818-1) itself; nobody here could vouch for a figure.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


class BendTest(NamedTuple):
    """Results of `bend_test_strain`."""

    bend_surface_strain: Values
    """Strain of the outer fibre under the mandrel, engineering; the lesser of the next two."""
    free_strain: Values
    """If the bar bends freely between three points."""
    mandrel_strain: Values
    """If it lies on the mandrel."""
    bend_angle_deg: Values


@calculation(
    source="power-law bar as T. X. Yu & L. C. Zhang, Plastic Bending (1996); moment-area theorem, "
    "S. Timoshenko, Strength of Materials, Part I (1930); strain on a mandrel as S. Kalpakjian & "
    "S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. (2010), Sec. 16.5",
    needs={
        "wire_diameter_mm": POSITIVE, "deflection_mm": NOT_NEGATIVE, "span_mm": POSITIVE,
        "mandrel_diameter_mm": POSITIVE, "hardening_exponent": (0.005, 1.0),
    },
    valid={"hardening_exponent": (0.02, 1.0)},
    basis="computed",
)  # fmt: skip
def bend_test_strain(
    *,
    wire_diameter_mm: Values,
    deflection_mm: Values,
    span_mm: Values,
    mandrel_diameter_mm: Values,
    hardening_exponent: Values,
) -> BendTest:
    """Strain of the outer fibre of a leg at a deflection f under the mandrel.

    A bar of K e^n carries M = const k^n at the curvature k. In three-point bending M falls
    evenly from the mandrel to the supports (span L), so k = k0 (2 x/L)^(1/n), and the
    moment-area theorem gives

        f = k0 (L/2)^2 n/(1 + 2 n),   e_free = k0 d/2 = 2 f d (1 + 2 n)/(n L^2)

    n = 1 is the elastic bar, 6 f d/L^2. A bar that hardens little kinks: its curvature cannot
    pass that of the mandrel it lies on, e_mandrel = d/(D + d). The strain is the lesser of
    the two; the angle is 2 arctan(2 f/L). Plane sections, small deflection in the first; the
    round of the crowns and friction are not in it: a comparison between lots, not a stress.

    References: as the source.

    Example:
        >>> bent = bend_test_strain(wire_diameter_mm=8.0, deflection_mm=6.4, span_mm=32.0,
        ...                         mandrel_diameter_mm=24.0, hardening_exponent=0.06)
        >>> round(float(bent.bend_surface_strain), 3), round(float(bent.free_strain), 2)
        (0.25, 1.87)
    """
    n, d = np.asarray(hardening_exponent, float), np.asarray(wire_diameter_mm, float)
    free = 2.0 * np.asarray(deflection_mm) * d * (1.0 + 2.0 * n) / (n * np.square(span_mm))
    mandrel = d / (np.asarray(mandrel_diameter_mm) + d)
    angle = 2.0 * np.degrees(np.arctan(2.0 * np.asarray(deflection_mm) / span_mm))
    return BendTest(np.minimum(free, mandrel)[()], free[()], mandrel[()], angle[()])
