"""Quadratic hexahedra: patch tests, tangents, rotation."""

import numpy as np
import pytest
from solid_bodies import STEEL, box

from linkwright.mechanics.solid_element import (
    ShapeError,
    as_matrix,
    as_six,
    deformation,
    element_forces,
    element_stiffness,
    face_shapes,
    hex_shapes,
    shapes_of,
    spatial_gradients,
)
from linkwright.mechanics.solid_newton import Body, Count, advance, at_rest
from linkwright.mechanics.solid_plasticity import fresh_metal, respond


def distorted(amount=0.12, seed=1):
    """A box of 3 x 2 x 2 cells with its inner corners moved and edges kept straight."""
    mesh = box((3, 2, 2), (1.5, 1.0, 1.0))
    nodes = mesh.nodes.copy()
    corners = np.unique(mesh.elements[:, [0, 1, 2, 3, 8, 9, 10, 11]])
    low, high = nodes.min(axis=0), nodes.max(axis=0)
    inner = corners[np.all((nodes[corners] > low) & (nodes[corners] < high), axis=1)]
    nodes[inner] += np.random.default_rng(seed).uniform(-amount, amount, (len(inner), 3))
    for cell in mesh.elements:
        for middle, (a, b) in zip(
            (4, 5, 6, 7, 12, 13, 14, 15, 16, 17, 18, 19),
            ((0, 1), (1, 2), (2, 3), (3, 0), (8, 9), (9, 10), (10, 11), (11, 8),
             (0, 8), (1, 9), (2, 10), (3, 11)),
            strict=True,
        ):  # fmt: skip
            nodes[cell[middle]] = (nodes[cell[a]] + nodes[cell[b]]) / 2
    return mesh._replace(nodes=nodes)


@pytest.mark.parametrize("scale", [1e-4, 0.05], ids=["elastic", "plastic"])
def test_patch_of_distorted_cells_carries_a_uniform_strain(scale):
    """With an affine motion of the surface the inside follows and every point is stressed alike.

    Patch test: B. M. Irons; Zienkiewicz and Taylor, The Finite Element Method, chapter 10.
    """
    mesh = distorted()
    low, high = mesh.nodes.min(axis=0), mesh.nodes.max(axis=0)
    skin = np.flatnonzero(np.any((mesh.nodes <= low + 1e-9) | (mesh.nodes >= high - 1e-9), axis=1))
    motion = np.array([[1.0, 0.4, -0.2], [0.1, -0.5, 0.3], [0.2, 0.1, -0.4]])
    driven = (3 * skin[:, None] + np.arange(3)).ravel()
    body = Body.of(mesh, STEEL, driven[:0], driven, (mesh.nodes[skin] @ motion.T).ravel())
    state = advance(body, at_rest(body), scale, Count(20), np.zeros_like(mesh.nodes))
    expected = mesh.nodes + scale * mesh.nodes @ motion.T
    np.testing.assert_allclose(state.placed, expected, atol=1e-6 * scale)
    strain = state.metal.plastic_strain
    assert (strain.min() > 0.01) == (scale > 0.01)
    np.testing.assert_allclose(strain, strain.mean(), rtol=1e-4)


def test_forces_and_tangent_agree_after_plastic_flow():
    """The tangent is the derivative of the nodal forces, to the accuracy of differences."""
    rng = np.random.default_rng(2)
    mesh = box((1, 1, 1))
    nodes = mesh.nodes + rng.normal(size=(20, 3)) * 0.02
    shapes = shapes_of(nodes, mesh.elements)
    bent = nodes @ (np.eye(3) + rng.normal(size=(3, 3)) * 0.03).T

    def answer(placed, metal):
        gradient = deformation(shapes, placed[mesh.elements])
        inverse = np.linalg.inv(gradient)
        response = respond(STEEL, metal, gradient, inverse)
        return response, spatial_gradients(shapes, inverse)

    metal = answer(bent, fresh_metal((1, 8)))[0].metal
    assert metal.plastic_strain.min() > 0.005
    placed = bent + rng.normal(size=(20, 3)) * 0.01
    response, spatial = answer(placed, metal)
    tangent = element_stiffness(shapes, spatial, response.stress, response.moduli())[0]

    def force(nodes_now):
        response, spatial = answer(nodes_now, metal)
        return element_forces(shapes, spatial, response.stress).ravel()  # in the element's order

    direction = rng.normal(size=(20, 3))
    change = (force(placed + 1e-6 * direction) - force(placed - 1e-6 * direction)) / 2e-6
    along = direction[mesh.elements[0]].ravel()
    np.testing.assert_allclose(tangent @ along, change, atol=1e-6 * abs(change).max())
    np.testing.assert_allclose(tangent, tangent.T, atol=1e-10 * abs(tangent).max())


def test_shape_functions_reproduce_quadratic_fields():
    """Values sum to one, and derivatives of x y + z^2 are exact anywhere in the element."""
    places = np.random.default_rng(3).uniform(-1, 1, (7, 3))
    mesh = box((1, 1, 1), (2.0, 2.0, 2.0))
    at = mesh.nodes[mesh.elements[0]] - 1  # stations run along x, the third coordinate
    value, derivative = hex_shapes(places)
    field = at[:, 0] * at[:, 1] + at[:, 2] ** 2
    np.testing.assert_allclose(value.sum(axis=1), 1.0)
    point = value @ at
    jacobian = derivative @ at
    slope = np.linalg.solve(jacobian, (derivative @ field)[..., None])[..., 0]
    exact = np.stack([point[:, 1], point[:, 0], 2 * point[:, 2]], axis=1)
    np.testing.assert_allclose(slope, exact, atol=1e-12)


def test_derivatives_of_a_face_are_those_of_its_values():
    """First and second derivatives of the face functions, by central differences."""
    places = np.random.default_rng(4).uniform(-0.9, 0.9, (5, 2))
    _, slope, bend = face_shapes(places)
    step = 1e-5
    for axis in (0, 1):
        move = step * np.eye(2)[axis]
        up, down = face_shapes(places + move), face_shapes(places - move)
        np.testing.assert_allclose((up[0] - down[0]) / (2 * step), slope[:, axis], atol=1e-9)
        np.testing.assert_allclose(
            (up[1][:, axis] - down[1][:, axis]) / (2 * step), bend[:, axis], atol=1e-9
        )
    np.testing.assert_allclose((up[1][:, 0] - down[1][:, 0]) / (2 * step), bend[:, 2], atol=1e-9)


def test_one_element_has_six_rigid_and_six_spurious_motions():
    """Eight points of six strains leave 60 - 48 motions without energy."""
    mesh = box((1, 1, 1))
    shapes = shapes_of(mesh.nodes, mesh.elements)
    gradient = deformation(shapes, mesh.nodes[mesh.elements])
    response = respond(STEEL, fresh_metal((1, 8)), gradient, gradient)
    tangent = element_stiffness(shapes, shapes.gradient, response.stress, response.moduli())[0]
    values = np.linalg.eigvalsh(tangent)
    assert (np.abs(values) < 1e-9 * values.max()).sum() == 12


def test_spurious_motions_do_not_pass_on_to_a_neighbour():
    """Eight elements held against rigid motion have none left."""
    mesh = box((2, 2, 2))
    shapes = shapes_of(mesh.nodes, mesh.elements)
    gradient = deformation(shapes, mesh.nodes[mesh.elements])
    response = respond(STEEL, fresh_metal((8, 8)), gradient, gradient)
    parts = element_stiffness(shapes, shapes.gradient, response.stress, response.moduli())
    total = np.zeros((mesh.nodes.size, mesh.nodes.size))
    dofs = (3 * mesh.elements[..., None] + np.arange(3)).reshape(8, 60)
    for rows, part in zip(dofs, parts, strict=True):
        total[np.ix_(rows, rows)] += part
    values = np.linalg.eigvalsh(total)
    assert (np.abs(values) < 1e-9 * values.max()).sum() == 6


def test_element_inside_out_is_refused():
    """The message names the element."""
    mesh = box((1, 1, 1))
    with pytest.raises(ShapeError, match="element 0"):
        shapes_of(mesh.nodes * [1.0, 1.0, -1.0], mesh.elements)


def test_six_components_there_and_back():
    """A symmetric tensor survives its six components."""
    matrix = np.random.default_rng(5).normal(size=(4, 3, 3))
    matrix += matrix.transpose(0, 2, 1)
    np.testing.assert_array_equal(as_matrix(as_six(matrix)), matrix)
