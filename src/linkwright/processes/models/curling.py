"""Bushings and rollers curled from strip: blank, tool, the ring that springs out of it, forces.

- `curled_ring`: ring that a closing tool makes of a blank, its wall, seam gap and hoop force
- `curling_tool`, `curling_cut_length`: tool and blank for an outside wanted
- `strip_for_wall`: strip from which a wall comes out
- `mandrel_of_tool`, `mandrel_play`: the mandrel in the closed tool
- `curling_forces`: cutting off, bending to a U, to an O, closing
- `bend_over_thickness`: tightness of the bend
- `seam_peak`: how far the unbent ends stand out at the seam
- `curled_mass`, `blanks_per_metre`, `curling_rate`: mass of a ring, blanks of a metre, strokes

The neutral fibre of DIN 6935 gives the length of a blank; where it lies inside the middle the wall
thins by as much as the volume asks for. Springback is that of `wide_strip_curling`.

Caution: a press crushes hands; it is guarded and set up by licensed people under the local code.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.strip_springback import wide_strip_curling
from linkwright.processes.models.shearing import punching_force
from linkwright.processes.models.sheet_bending import din6935_factor, v_bending_force
from linkwright.quantities import ArgumentError

_CLOSING = (-5.0, 5.0)
_SHARE = (5e-324, 1.0)
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


@calculation(
    source="geometry; play as the works has it",
    gives="mandrel_diameter_mm",
    basis="computed",
    needs={"tool_bore_mm": POSITIVE, "thickness_mm": POSITIVE, "play_percent": NOT_NEGATIVE},
)
def mandrel_of_tool(
    *, tool_bore_mm: Values, thickness_mm: Values, play_percent: Values = 2.0
) -> Values:
    """Mandrel in the closed tool: the bore there less a share of the strip on each side.

    References: geometry; 2 % of the strip is common practice, no source.
    """
    return tool_bore_mm - 2.0 * thickness_mm * play_percent / 100.0


@calculation(source="difference of sizes", gives="mandrel_play_mm", basis="computed")
def mandrel_play(*, tool_bore_mm: Values, mandrel_diameter_mm: Values) -> Values:
    """Play of the mandrel in the closed ring; negative: thick strip jams it.

    References: geometry.
    """
    return tool_bore_mm - mandrel_diameter_mm


@calculation(
    source="definition",
    gives="bend_over_thickness",
    basis="computed",
    needs={"bore_mm": POSITIVE, "thickness_mm": POSITIVE},
)
def bend_over_thickness(*, bore_mm: Values, thickness_mm: Values) -> Values:
    """Inner radius of a ring over the thickness of its strip, to be held against the least one.

    References: definition; `minimum_bend_radius`.
    """
    return bore_mm / 2.0 / thickness_mm


class CurlingForces(NamedTuple):
    """Results of `curling_forces`."""

    cut_off_force_kN: Values
    u_bending_force_kN: Values
    o_bending_force_kN: Values
    closing_force_kN: Values
    ram_force_kN: Values
    """All stages at once, as one ram meets them."""


@calculation(
    source="cutting: Kalpakjian & Schmid, 6th ed. (2010), 0.7 T L (UTS); U: M. P. Groover, 5th ed. "
    "(2013), Sec. 19.2; O and closing: statics with the moment and hoop force of the strip",
    basis="computed",
    needs={
        "width_mm": POSITIVE,
        "thickness_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
        "mandrel_diameter_mm": POSITIVE,
        "bending_moment_per_width_N": NOT_NEGATIVE,
        "hoop_force_N_per_mm": NOT_NEGATIVE,
        "shear_over_tensile": _SHARE,
    },
)
def curling_forces(
    *,
    width_mm: Values,
    thickness_mm: Values,
    tensile_strength_MPa: Values,
    mandrel_diameter_mm: Values,
    bending_moment_per_width_N: Values,
    hoop_force_N_per_mm: Values,
    shear_over_tensile: Values = 0.7,
) -> CurlingForces:
    """Force of each stage of curling a strip of width w and thickness s.

        cut off  0.7 Rm w s
        U        1.33 Rm w s^2/(d + 2 s): the mandrel d sinks between two edges
        O        2 m w/s: two shells bend the ends with an arm of one thickness
        closing  2 N w: two shells squeeze the ring along its girth, friction left out

    m the bending moment of a millimetre of width before closing, N the hoop force of it. The ram
    of a tool that does all in one stroke, blank after blank, meets their sum.

    References: as the source; the arm is common practice, no source.

    Example:
        >>> got = curling_forces(width_mm=25.2, thickness_mm=1.5, tensile_strength_MPa=500.0,
        ...     mandrel_diameter_mm=8.2, bending_moment_per_width_N=340.0,
        ...     hoop_force_N_per_mm=860.0)
        >>> print([round(force, 1) for force in got])
        [13.2, 3.4, 11.4, 43.3, 71.4]
    """
    metal = {"thickness_mm": thickness_mm, "tensile_strength_MPa": tensile_strength_MPa}
    cut = punching_force(cut_length_mm=width_mm, shear_over_tensile=shear_over_tensile, **metal)
    opening = mandrel_diameter_mm + 2.0 * thickness_mm
    bent = v_bending_force(width_mm=width_mm, die_opening_mm=opening, **metal) / 1000.0
    ends = 2.0 * bending_moment_per_width_N * width_mm / thickness_mm / 1000.0
    closing = 2.0 * hoop_force_N_per_mm * width_mm / 1000.0
    return CurlingForces(cut, bent, ends, closing, cut + bent + ends + closing)


@calculation(
    source="geometry: a tangent leaves its circle by a^2/(2 R)",
    gives="seam_peak_um",
    basis="computed",
    needs={"outside_mm": POSITIVE, "thickness_mm": POSITIVE, "unbent_ratio": NOT_NEGATIVE},
)
def seam_peak(*, outside_mm: Values, thickness_mm: Values, unbent_ratio: Values = 0.5) -> Values:
    """How far the edges of the seam stand out where the last a = q s of the blank stays straight.

    An upper bound of the ovality that curling leaves: what closing presses flat is left out, and a
    release by an even moment leaves a circle. q half a thickness: common practice, no source.

    References: geometry.

    Example:
        >>> print(round(seam_peak(outside_mm=11.28, thickness_mm=1.5), 1))
        49.9
    """
    return (1000.0 * (unbent_ratio * np.asarray(thickness_mm, float)) ** 2 / outside_mm)[()]


@calculation(
    source="volume times density; density of steel as EN 1993-1-2:2005, 3.2.2",
    gives="piece_mass_kg",
    basis="computed",
    needs={"cut_length_mm": POSITIVE, "thickness_mm": POSITIVE, "width_mm": POSITIVE},
)
def curled_mass(
    *,
    cut_length_mm: Values,
    thickness_mm: Values,
    width_mm: Values,
    density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Mass of a ring, which is that of its blank.

    References: geometry.

    Example:
        >>> print(round(curled_mass(cut_length_mm=30.3, thickness_mm=1.5, width_mm=25.2), 5))
        0.00899
    """
    return cut_length_mm * thickness_mm * width_mm * 1e-9 * density_kg_per_m3


@calculation(
    source="definition of a rate",
    gives="blanks_per_m",
    basis="computed",
    needs={"cut_length_mm": POSITIVE},
)
def blanks_per_metre(*, cut_length_mm: Values) -> Values:
    """Blanks of a metre of strip that is cut off without waste.

    References: definition.
    """
    return 1000.0 / cut_length_mm


@calculation(
    source="definition of a speed",
    gives="strokes_per_min",
    basis="computed",
    needs={
        "cut_length_mm": POSITIVE,
        "feed_speed_m_per_min": POSITIVE,
        "greatest_strokes_per_min": POSITIVE,
    },
)
def curling_rate(
    *, cut_length_mm: Values, feed_speed_m_per_min: Values, greatest_strokes_per_min: Values
) -> Values:
    """Strokes a minute: what the feed brings in, at most what the press does.

    References: definition.

    Example:
        >>> print(curling_rate(cut_length_mm=100.0, feed_speed_m_per_min=8.0,
        ...                    greatest_strokes_per_min=120.0))
        80.0
    """
    fed = 1000.0 * np.asarray(feed_speed_m_per_min, float) / cut_length_mm
    return np.minimum(fed, greatest_strokes_per_min)[()]


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
