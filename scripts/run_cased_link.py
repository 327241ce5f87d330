"""A link with a case, by finite elements and by the beam model: how far the two are apart.

The case is one ring of elements deep, so that its area is exact, bears at any strain and is a step
in strength. Prints breaking force and set over those of the same link of the core's metal, and the
greatest strain along the wire near the surface at the proof force.

    python scripts/run_cased_link.py [coarse|medium]
"""

from __future__ import annotations

import sys

import numpy as np

from linkwright.mechanics.cased_section import LinkCase
from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_element import deformation
from linkwright.mechanics.solid_link import SolidPull, prove_solid_link, pull_solid_link
from linkwright.mechanics.solid_octant import Fineness

WIRE_mm = 8.0
LINK = LinkGeometry(WIRE_mm, 24.0, 26.4)
CORE = SwiftCurve.of_strength(1400.0, 0.06, 0.005)
PROOF_kN = 50.8
RATIO = 1.35
DEPTH_mm = 0.48
FINE = {
    "coarse": Fineness(1, 4, 5, 3, 0.5),
    "medium": Fineness(2, 4, 8, 5, 0.35),
}
# a ring of the disc is a quarter of what the core leaves of the radius
STEP = ((0.0, 1.0, 1.0 + 1e-9), (1.0, 1.0, 0.0))


def _cased(depth_mm: np.ndarray) -> np.ndarray:
    return np.where(depth_mm < 1.02 * DEPTH_mm, RATIO, 1.0)


def _strain(pull: SolidPull) -> float:
    """Greatest strain along the wire near the surface at the proof force; logarithmic.

    Along the wire, as bending stretches a case: what the neighbour presses into the crown flows
    sideways under pressure, which a bend test says nothing about.
    """
    body, part = pull.model.body, pull.model.part
    near = part.depth_share < 0.5 * DEPTH_mm / (WIRE_mm / 2.0)
    outline = pull.model.outline
    radius = (outline.outer_width_mm - outline.wire_mm) / 2.0
    angle = np.clip((part.along_mm - outline.lengths[0]) / radius, 0.0, np.pi / 2.0)
    along = np.stack([np.cos(angle), -np.sin(angle), np.zeros_like(angle)], axis=-1)
    found = []
    for state in pull.states[: pull.peak + 1]:
        gradient = deformation(body.shapes, state.placed[body.mesh.elements])
        stretch = np.linalg.norm(np.einsum("...ij,...j->...i", gradient, along), axis=-1)
        found.append(np.log(stretch[near]).max())
    return float(np.interp(PROOF_kN, pull.force_kN[: pull.peak + 1], found))


def main(name: str) -> None:
    """Both models with and without the case."""
    found: dict[str, tuple[float, float, float]] = {}
    for label, strength in (("core", None), ("cased", _cased)):
        proof = prove_solid_link(LINK, CORE, PROOF_kN, fineness=FINE[name], strength_at=strength)
        pull = pull_solid_link(
            LINK, CORE, fineness=FINE[name], strength_at=strength, factorisations=400
        )
        found[label] = (pull.maximum_force_kN, proof.permanent_set_mm, _strain(pull))
        print("solid", label, *(f"{value:.4f}" for value in found[label]), pull.passed, flush=True)
    case = LinkCase(DEPTH_mm, RATIO, np.inf, *STEP)
    beam: dict[str, tuple[float, float, float]] = {}
    for label, one in (("core", None), ("cased", case)):
        pulled, proved = pull_link(LINK, CORE, case=one), prove_link(LINK, CORE, PROOF_kN, case=one)
        beam[label] = (pulled.peak.force_kN, proved.permanent_set_mm, proved.greatest_strain)
        print("beam", label, *(f"{value:.4f}" for value in beam[label]))
    for k, what in enumerate(("force", "set", "strain")):
        ratios = [one["cased"][k] / one["core"][k] for one in (found, beam)]
        print(f"{what} cased over core: solid {ratios[0]:.4f}, beam {ratios[1]:.4f}")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "coarse")
