"""An opened eye cut by its own plane, as small patches with their strain, for pictures.

Offers `eye_cut`.
"""

from __future__ import annotations

import numpy as np

from linkwright.mechanics.solid_cut import Cut, patches_of, plane_of
from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_eye import EyePull
from linkwright.mechanics.solid_fields import on_mesh

_AROUND = 48


def eye_cut(pull: EyePull, pieces: int = 2) -> Cut:
    """The eye at the end of its pull, by equivalent plastic strain; the neighbour's wire bare."""
    mesh, state = pull.mesh, pull.last
    line, faces = plane_of(mesh)
    strain = np.maximum(on_mesh(mesh, state.metal.plastic_strain), 0.0)
    corners, shown = patches_of(state.placed[:, :2], strain, faces, pieces)
    ring = _disc(pull)
    edges = [
        np.array([mesh.nodes[mesh.layer(k)[node], :2] for k in range(mesh.slices + 1)])
        for node in (line[0], line[-1])
    ]
    return Cut(corners, shown, ring, np.zeros(len(ring)), edges)


def _disc(pull: EyePull) -> Floats:
    """The neighbour's wire cut across, as wedges of four corners."""
    wire, radius = pull.eye.wire_diameter_mm, pull.eye.mean_diameter_mm / 2
    angle = np.linspace(0, 2 * np.pi, _AROUND + 1)
    edge = np.stack([wire - radius + wire / 2 * np.cos(angle), wire / 2 * np.sin(angle)], axis=1)
    middle = np.broadcast_to([wire - radius, 0.0], edge[1:].shape)
    made: Floats = np.stack([middle, edge[:-1], edge[1:], middle], axis=1)
    return made
