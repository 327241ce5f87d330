"""Stress and strain of a pulled link at its nodes, and at the places a gauge would look.

    LinkFields, fields_of   strain, von Mises stress, stress along the wire, at every node
    stress_of, von_mises    Cauchy stress at the points of any body, and its equivalent
    at_places               stress along the wire inside and outside of leg and crown

Values at the eight points of an element are carried to its nodes by the trilinear function
through them, then averaged over the elements of a node.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import (
    Floats,
    as_matrix,
    deformation,
    hex_shapes,
)
from linkwright.mechanics.solid_mesh import Mesh
from linkwright.mechanics.solid_model import LinkModel
from linkwright.mechanics.solid_newton import Body, Solid
from linkwright.mechanics.solid_plasticity import respond

_POINT = 1 / np.sqrt(3.0)


class LinkFields(NamedTuple):
    """Fields of the part of a link that is modelled, at its nodes."""

    placed: Floats
    """Places of the nodes, (nodes, 3), mm."""
    strain: Floats
    """Equivalent plastic strain."""
    mises_MPa: Floats
    """Cauchy stress after von Mises."""
    along_MPa: Floats
    """Cauchy stress in the direction of the deformed wire."""


def fields_of(model: LinkModel, state: Solid) -> LinkFields:
    """The fields of a state."""
    mesh = model.body.mesh
    stress = stress_of(model.body, state)
    mises = von_mises(stress)
    _, derivative = hex_shapes(_points())
    along = np.einsum("pn,enx->epx", derivative[:, 2], state.placed[mesh.elements])
    along /= np.linalg.norm(along, axis=-1, keepdims=True)
    pulled = np.einsum("epx,epxy,epy->ep", along, stress, along)
    return LinkFields(
        state.placed[: len(model.part.mesh.nodes)],
        np.maximum(at_nodes(model, state.metal.plastic_strain), 0.0),
        np.maximum(at_nodes(model, mises), 0.0),
        at_nodes(model, pulled),
    )


def stress_of(body: Body, state: Solid) -> Floats:
    """Cauchy stress at the points of a body, (elements, 8, 3, 3)."""
    gradient = deformation(body.shapes, state.placed[body.mesh.elements])
    inverse: Floats = np.linalg.inv(gradient).astype(float, copy=False)
    response = respond(body.steel, state.metal, gradient, inverse)
    made: Floats = as_matrix(response.stress) / np.linalg.det(gradient)[..., None, None]
    return made


def von_mises(stress: Floats) -> Floats:
    """Equivalent stress of tensors (..., 3, 3)."""
    mean = np.trace(stress, axis1=-2, axis2=-1)[..., None, None] / 3 * np.eye(3)
    made: Floats = np.sqrt(1.5 * np.square(stress - mean).sum(axis=(-2, -1)))
    return made


def _points() -> Floats:
    axis = np.array([-_POINT, _POINT])
    return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)


def at_nodes(model: LinkModel, values: Floats) -> Floats:
    """Values at the nodes of the link's part from (elements, 8) of the body."""
    return on_mesh(model.part.mesh, values)


def on_mesh(mesh: Mesh, values: Floats) -> Floats:
    """Values at the nodes of a mesh from (elements, 8), its elements first."""
    face = [(-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0)]
    places = np.array(
        [(*p, -1) for p in face] + [(*p, 1) for p in face] + [(*p, 0) for p in face[:4]], float
    )
    shares = np.prod(1 + places[:, None] * np.sign(_points()) / _POINT, axis=2) / 8
    elements = mesh.elements
    own, count = values[: len(elements)], len(mesh.nodes)
    total = np.bincount(elements.ravel(), weights=(own @ shares.T).ravel(), minlength=count)
    made: Floats = total / np.bincount(elements.ravel(), minlength=count)
    return made


def at_places(model: LinkModel, along_MPa: Floats) -> dict[str, float]:
    """Stress along the wire in the plane of the link: inside and outside of leg and crown."""
    mesh = model.part.mesh
    rim = mesh.section.rim
    apex = mesh.layer(mesh.slices if model.cuts > 1 else mesh.slices // 2)
    leg, crown = mesh.layer(0)[rim], apex[rim]
    return {
        "leg inside": float(along_MPa[leg[0]]),
        "leg outside": float(along_MPa[leg[-1]]),
        "crown inside": float(along_MPa[crown[0]]),
        "crown outside": float(along_MPa[crown[-1]]),
    }
