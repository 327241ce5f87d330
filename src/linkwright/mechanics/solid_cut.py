"""A pulled link cut by its own plane, as small patches with their strain, for pictures.

    Cut, cut_of     the whole link, and the neighbours' wires at both ends
    plane_of        where the plane of a link cuts its mesh
    patches_of      faces cut in small pieces

Coordinates: along the chain and across it, in mm, from the middle of the link.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_fields import LinkFields
from linkwright.mechanics.solid_mesh import Mesh, skin_of
from linkwright.mechanics.solid_model import LinkModel

_ALONG = ((1.0, 1.0), (-1.0, 1.0))
_BOTH = tuple((along, across) for along in (1.0, -1.0) for across in (1.0, -1.0))


class Cut(NamedTuple):
    """Patches of four corners, each with one value."""

    link: Floats
    """(patches, 4, 2)."""
    link_values: Floats
    neighbours: Floats
    """The neighbours' wires, cut across at their crowns; none where the legs differ."""
    neighbour_values: Floats
    before: list[Floats]
    """Lines of the unloaded link: inner and outer edge, each (points, 2)."""


def cut_of(model: LinkModel, fields: LinkFields, values: Floats, pieces: int = 2) -> Cut:
    """The cut with a field of the nodes; every face in ``pieces`` x ``pieces`` patches."""
    mesh = model.part.mesh
    line, faces = plane_of(mesh)
    middle = fields.placed[model.part.pulled[0], 0]
    corners, shown = patches_of(fields.placed[:, :2] - [middle, 0.0], values, faces, pieces)
    edge = _edges(model, line)
    if model.cuts == 1:  # the neighbour is another body, of which there are no fields
        none = np.zeros((0, 4, 2))
        return Cut(_mirrored(corners, _ALONG), np.tile(shown, 2), none, np.zeros(0), edge)
    end = mesh.section.cells + mesh.layer(-1)[0]
    # the neighbour stands at right angles: its thickness lies across this link
    turned = np.stack([-fields.placed[:, 0] - middle, fields.placed[:, 2]], axis=1)
    across, across_shown = patches_of(turned, values, end, pieces)
    return Cut(
        _mirrored(corners, _BOTH), np.tile(shown, 4),
        _mirrored(across, _BOTH), np.tile(across_shown, 4), edge,
    )  # fmt: skip


def plane_of(mesh: Mesh) -> tuple[Ints, Ints]:
    """Nodes of a section that lie in the plane of the link, inside first, and the faces there."""
    points = mesh.section.points
    flat = np.flatnonzero(np.abs(points[:, 1]) < 1e-9)
    line = flat[np.argsort(points[flat, 0])]
    return line, skin_of(mesh, line, 0, mesh.slices).faces.reshape(-1, 8)


def patches_of(places: Floats, values: Floats, faces: Ints, pieces: int) -> tuple[Floats, Floats]:
    """Patches (n, 4, 2) of faces of eight nodes, each with the value at its middle."""
    cut = np.linspace(-1.0, 1.0, pieces + 1)
    low = np.stack(np.meshgrid(cut[:-1], cut[:-1], indexing="ij"), axis=-1).reshape(-1, 1, 2)
    step = 2.0 / pieces
    around = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * step
    corner = face_shapes((low + around).reshape(-1, 2))[0]
    centre = face_shapes((low + step / 2).reshape(-1, 2))[0]
    made = np.einsum("pn,fnx->fpx", corner, places[faces]).reshape(-1, 4, 2)
    return made, np.einsum("pn,fn->fp", centre, values[faces]).ravel()


def _mirrored(patches: Floats, ways: Sequence[tuple[float, float]]) -> Floats:
    """The same turned along and across."""
    made: Floats = np.concatenate([patches * way for way in ways])
    return made


def _edges(model: LinkModel, line: Ints) -> list[Floats]:
    mesh = model.part.mesh
    lines = []
    for node in (line[0], line[-1]):
        way = np.array([mesh.nodes[mesh.layer(k)[node], :2] for k in range(mesh.slices + 1)])
        way[:, 0] += model.outline.pitch_mm / 2
        if model.cuts > 1:
            way = np.concatenate([way, way[::-1] * [1.0, -1.0]])
        lines.append(np.concatenate([way, way[::-1] * [-1.0, 1.0]]))
    return lines
