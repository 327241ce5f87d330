"""Bushings and rollers curled from strip: blank, tool, the ring that springs out of it.

- `curled_ring`: ring that a closing tool makes of a blank, its wall, seam gap and hoop force
- `curling_tool`, `curling_cut_length`: tool and blank for an outside wanted
- `strip_for_wall`: strip from which a wall comes out

The neutral fibre of DIN 6935 gives the length of a blank; where it lies inside the middle the wall
thins by as much as the volume asks for. Springback is that of `wide_strip_curling`.

Forces and mandrel are in `curling_press`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.strip_springback import wide_strip_curling
from linkwright.processes.models.sheet_bending import din6935_factor
from linkwright.quantities import ArgumentError

_CLOSING = (-5.0, 5.0)
_ROUNDS = 40
_WIDEST = 0.5
"""Wall over outside radius from which a ring is no curled strip any more."""


class CurledRing(NamedTuple):
    """Results of `curled_ring`."""

    outside_mm: Values
    bore_mm: Values
    wall_mm: Values
    seam_gap_mm: Values
    """At the middle of the wall; 0: the edges touch."""
    closing_percent: Values
    """By how much the blank is longer than what just fills the tool; negative: shorter."""
    tool_bore_mm: Values
    springback_percent: Values
    """Of the outside over the closed tool."""
    bending_moment_per_width_N: Values
    """Before closing."""
    hoop_force_N_per_mm: Values
    """While the tool is closed."""
    outer_fibre_strain: Values


_STRIP = {
    "thickness_mm": POSITIVE,
    "K_MPa": POSITIVE,
    "n": (0.0, 0.999),
    "prestrain": NOT_NEGATIVE,
    "E_MPa": POSITIVE,
    "poisson": (0.0, 0.499),
}
_SOURCE = (
    "DIN 6935 (remembered) for the neutral fibre; constancy of volume; springback by "
    "T. X. Yu & L. C. Zhang, Plastic Bending (1996)"
)


@calculation(
    costly=True,
    source=_SOURCE,
    basis="computed",
    needs={**_STRIP, "closing_die_mm": POSITIVE, "cut_length_mm": POSITIVE},
)
def curled_ring(
    *,
    closing_die_mm: Values,
    cut_length_mm: Values,
    thickness_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> CurledRing:
    """Ring that springs out of a closed tool of bore D, made of a blank of length L.

    A blank that just fills the tool has L0 = 2 pi (r + k s/2), r the bore in the tool, k of
    DIN 6935, and the wall that its volume leaves, pi (R^2 - r^2) = L0 s with R = D/2. A longer one
    is upset by ln(L/L0), its wall again by volume; a shorter one leaves L0 - L open in the tool.
    Once free, the middle of the wall has the radius of `wide_strip_curling` and lengthens as the
    hoop force goes; what its length lacks of the circle is the seam gap. Edges that touch hold the
    ring at its length.

    Validity: bore above about twice the strip; friction on die and mandrel and the flat ends
    (`seam_peak`) are left out.

    Raises:
        ArgumentError: a strip too thick for the tool; as `wide_strip_curling`.

    References: as the source. The neutral fibre is a convention: try the first strip.

    Example:
        >>> ring = curled_ring(closing_die_mm=11.25, cut_length_mm=30.25, thickness_mm=1.5,
        ...                    K_MPa=800.0, n=0.2, prestrain=0.01)
        >>> print(round(ring.outside_mm, 3), round(ring.seam_gap_mm, 3))
        11.406 0.458
    """
    radius = np.asarray(closing_die_mm, float) / 2.0
    free_wall, full = _just_filled(radius, np.asarray(thickness_mm, float))
    closing = np.log(cut_length_mm / full)
    upset = np.sqrt(np.maximum(radius**2 - cut_length_mm * thickness_mm / np.pi, 0.0))
    wall = np.where(closing > 0.0, radius - upset, free_wall)
    middle = radius - wall / 2.0
    strip = wide_strip_curling(
        thickness_mm=wall, mean_radius_mm=middle, closing_strain=np.maximum(closing, 0.0),
        K_MPa=K_MPa, n=n, prestrain=prestrain, E_MPa=E_MPa, poisson=poisson,
    )  # fmt: skip
    arc = 2.0 * np.pi * middle * np.minimum(cut_length_mm / full, 1.0)
    arc = arc * (1.0 + strip.length_springback)
    gap = 2.0 * np.pi * strip.residual_radius_mm - arc
    left = np.where(gap > 0.0, strip.residual_radius_mm, arc / (2.0 * np.pi))
    outside = 2.0 * left + wall
    return CurledRing(
        outside[()],
        (2.0 * left - wall)[()],
        wall[()],
        np.maximum(gap, 0.0)[()],
        (100.0 * closing)[()],
        (2.0 * (radius - wall))[()],
        (50.0 * outside / radius - 100.0)[()],
        strip.bending_moment_per_width_N,
        strip.hoop_force_N_per_mm,
        strip.outer_fibre_strain,
    )


class CurlingTool(NamedTuple):
    """Results of `curling_tool`."""

    closing_die_mm: Values
    cut_length_mm: Values
    tool_bore_mm: Values


@calculation(
    costly=True,
    source="`curled_ring` solved for the tool",
    basis="computed",
    needs={**_STRIP, "outside_mm": POSITIVE, "closing_percent": _CLOSING},
)
def curling_tool(
    *,
    outside_mm: Values,
    closing_percent: Values,
    thickness_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> CurlingTool:
    """Closed tool and blank from which a ring of this outside springs.

    Die D with outside(D, L) as wanted and L = L0(D) exp(closing/100), by steps D + (wanted - got),
    which shrink by a factor of some fifty each.

    Raises `ArgumentError` as `curled_ring`.

    References: as `curled_ring`.

    Example:
        >>> tool = curling_tool(outside_mm=11.28, closing_percent=0.8, thickness_mm=1.5,
        ...                     K_MPa=800.0, n=0.2, prestrain=0.01)
        >>> print(round(tool.closing_die_mm, 3), round(tool.cut_length_mm, 2))
        11.255 30.44
    """
    die = np.asarray(outside_mm, float)
    for _ in range(_ROUNDS):
        cut = curling_cut_length(
            closing_die_mm=die, thickness_mm=thickness_mm, closing_percent=closing_percent
        )
        ring = curled_ring(
            closing_die_mm=die, cut_length_mm=cut, thickness_mm=thickness_mm, K_MPa=K_MPa, n=n,
            prestrain=prestrain, E_MPa=E_MPa, poisson=poisson,
        )  # fmt: skip
        off = outside_mm - ring.outside_mm
        if np.all(np.abs(off) <= 1e-12 * np.asarray(outside_mm)):
            break
        die = die + off
    return CurlingTool(die[()], cut, ring.tool_bore_mm)


@calculation(
    source="DIN 6935 (remembered) for the neutral fibre; constancy of volume",
    gives="cut_length_mm",
    basis="computed",
    needs={"closing_die_mm": POSITIVE, "thickness_mm": POSITIVE, "closing_percent": _CLOSING},
)
def curling_cut_length(
    *, closing_die_mm: Values, thickness_mm: Values, closing_percent: Values = 0.0
) -> Values:
    """Blank for a closed tool: L = 2 pi (r + k s/2) exp(c/100), r the bore of a ring that fills it.

    References: as `curled_ring`; `curled_bush_strip` is the same for a bore that is given.

    Example:
        >>> print(round(curling_cut_length(closing_die_mm=11.25, thickness_mm=1.5), 3))
        30.184
    """
    radius, strip = np.asarray(closing_die_mm, float) / 2.0, np.asarray(thickness_mm, float)
    return (_just_filled(radius, strip)[1] * np.exp(np.asarray(closing_percent) / 100.0))[()]


@calculation(
    source="constancy of volume with the blank of `curling_cut_length`",
    gives="thickness_mm",
    basis="computed",
    needs={"outside_mm": POSITIVE, "bore_mm": POSITIVE, "closing_percent": _CLOSING},
)
def strip_for_wall(*, outside_mm: Values, bore_mm: Values, closing_percent: Values) -> Values:
    """Strip from which a ring of this outside and bore comes: L(s) s = pi (R^2 - r^2).

    The ring is taken at its final girth, some 0.25 % above that in the closed tool: the wall of
    `curled_ring` comes out up to 0.6 % thicker.

    Raises `ArgumentError` where the bore is not below the outside.

    References: as `curled_ring`.

    Example:
        >>> print(round(strip_for_wall(outside_mm=11.28, bore_mm=8.33, closing_percent=0.8), 3))
        1.49
    """
    if np.any(np.asarray(bore_mm) >= outside_mm):
        raise ArgumentError("bore_mm", bore_mm, "mm", "below the outside")
    outer, inner = np.asarray(outside_mm, float) / 2.0, np.asarray(bore_mm, float) / 2.0
    section = outer**2 - inner**2
    strip = outer - inner
    for _ in range(_ROUNDS):
        k = din6935_factor(inner_radius_over_thickness=inner / strip)
        blank = (2.0 * inner + k * strip) * np.exp(np.asarray(closing_percent) / 100.0)
        strip = section / blank
    return strip[()]


def _just_filled(radius: Any, strip: Any) -> tuple[Any, Any]:
    """Wall and blank of a ring that fills a tool of this outer radius without being upset."""
    if np.any(strip >= _WIDEST * radius):
        accepted = f"below {_WIDEST * float(np.min(radius)):.4g} mm, half of the outer radius"
        raise ArgumentError("thickness_mm", float(np.max(strip)), "mm", accepted)
    wall = strip + 0.0 * radius
    for _ in range(_ROUNDS):
        bore = radius - wall
        k = din6935_factor(inner_radius_over_thickness=bore / strip)
        blank = 2.0 * np.pi * (bore + k * strip / 2.0)
        wall = radius - np.sqrt(radius**2 - blank * strip / np.pi)
    return wall, blank
