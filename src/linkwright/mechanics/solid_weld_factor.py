"""What a weld on one leg takes from a link or gives it, over the same link without it.

Offers `weld_factor` and `WeldFactor`.

Both links are solved on the same mesh, so that errors of the mesh fall out of the ratio.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import LinkNotSolved, prove_solid_link, pull_solid_link
from linkwright.mechanics.solid_octant import Fineness
from linkwright.mechanics.solid_weld import SOUND, Weld


class WeldFactor(NamedTuple):
    """Welded link over sound link."""

    maximum_force: float
    extension_at_maximum: float
    stiffness: float
    permanent_set: float | None
    """After the proof force; None where none was asked for."""


def weld_factor(
    geometry: LinkGeometry,
    curve: SwiftCurve,
    weld: Weld,
    *,
    fineness: str | Fineness = "medium",
    friction_coefficient: float = 0.0,
    proof_force_kN: float | None = None,
) -> WeldFactor:
    """The factors of a weld; with ``proof_force_kN`` also that of the set after it.

    The top of the force is flat, so the factor of the extension there is uncertain by some per
    cent while that of the force is not. Raises `LinkNotSolved` where one of the links was not
    pulled through its maximum, and what `pull_solid_link` and `prove_solid_link` raise.
    """
    welded, sound = (
        pull_solid_link(
            geometry, curve, fineness=fineness, weld=one, friction_coefficient=friction_coefficient
        )
        for one in (weld, SOUND)
    )
    for name, pull in (("welded", welded), ("sound", sound)):
        if not pull.passed:
            raise LinkNotSolved(f"the {name} link did not pass its maximum: {pull.ended}")
    left = None
    if proof_force_kN is not None:
        with_weld, without = (
            prove_solid_link(
                geometry, curve, proof_force_kN, fineness=fineness, weld=one,
                friction_coefficient=friction_coefficient,
            ).permanent_set_mm
            for one in (weld, SOUND)
        )  # fmt: skip
        left = with_weld / without
    return WeldFactor(
        welded.maximum_force_kN / sound.maximum_force_kN,
        welded.extension_at_maximum_mm / sound.extension_at_maximum_mm,
        welded.stiffness_kN_per_mm / sound.stiffness_kN_per_mm,
        left,
    )
