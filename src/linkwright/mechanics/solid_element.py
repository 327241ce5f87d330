"""Quadratic hexahedra of 20 nodes with eight integration points, all elements at once.

    Shapes, shapes_of        gradients of the shape functions in the unloaded body
    deformation              deformation gradients at all points
    element_forces           nodal forces from Kirchhoff stresses
    element_stiffness        tangent from spatial moduli and stresses, symmetric
    face_shapes              shape functions of a face of eight nodes, with derivatives
    hex_shapes               shape functions of the hexahedron, with derivatives

Why this element: with 2 x 2 x 2 points the 20 nodes carry bending without parasitic shear and
plastic flow without volumetric locking (eight volume constraints against about twelve free
displacements an element), and a curved bar needs few of them across. The six spurious modes
of a single element do not pass on to its neighbours.

Order of nodes: the eight of the bottom face (four corners, then four middles of the edges from
corner to next corner), the eight of the top face, the four middles of the upright edges.
Components of symmetric tensors stand as xx, yy, zz, xy, yz, xz.

References: O. C. Zienkiewicz and R. L. Taylor, The Finite Element Method, vol. 1, 5th edition,
2000, chapters 8 and 9 (serendipity functions, reduced integration); J. C. Simo and
T. J. R. Hughes, Computational Inelasticity, 1998, chapter 9 (finite strain).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.quantities import LinkwrightError

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

NODES, POINTS = 20, 8
"""Nodes and integration points of an element."""

_FACE = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0)], float)
_PLACES = np.array(
    [(*p, -1.0) for p in _FACE] + [(*p, 1.0) for p in _FACE] + [(*p, 0.0) for p in _FACE[:4]]
)
_FIRST, _SECOND = np.array([0, 1, 2, 0, 1, 0]), np.array([0, 1, 2, 1, 2, 2])
"""Rows and columns of the six components of a symmetric tensor."""


class ShapeError(LinkwrightError):
    """An element is turned inside out."""


def face_shapes(places: Floats) -> tuple[Floats, Floats, Floats]:
    """Values (n, 8), first (n, 2, 8) and second derivatives (n, 3, 8: 11, 22, 12).

    ``places`` are coordinates from -1 to 1, shape (n, 2).
    """
    a, b = _FACE.T
    x, y = places[:, :1], places[:, 1:]
    corner, across = (a * b) != 0, a == 0
    u, v = 1 + a * x, 1 + b * y
    zero = np.zeros_like(u)

    def chosen(at_corner: Floats, mid_x: Floats, mid_y: Floats) -> Floats:
        return np.where(corner, at_corner, np.where(across, mid_x, mid_y))

    value = chosen(u * v * (a * x + b * y - 1) / 4, (1 - x**2) * v / 2, (1 - y**2) * u / 2)
    by_x = chosen(a * v * (2 * a * x + b * y) / 4, -x * v, (1 - y**2) * a / 2)
    by_y = chosen(b * u * (2 * b * y + a * x) / 4, (1 - x**2) * b / 2, -y * u)
    twice_x = chosen(v / 2 + zero, -v, zero)
    twice_y = chosen(u / 2 + zero, zero, -u)
    mixed = chosen(a * b * (2 * a * x + 2 * b * y + 1) / 4, -x * b, -y * a)
    return value, np.stack([by_x, by_y], axis=1), np.stack([twice_x, twice_y, mixed], axis=1)


def hex_shapes(places: Floats) -> tuple[Floats, Floats]:
    """Values (n, 20) and derivatives (n, 3, 20) at coordinates from -1 to 1, shape (n, 3)."""
    at = _PLACES[None]
    x = places[:, None, :]
    factor = 1 + at * x
    corner = np.all(at != 0, axis=2)
    middle = np.where(at == 0, 1 - x**2, factor)
    product = factor.prod(axis=2)
    total = (at * x).sum(axis=2) - 2
    value = np.where(corner, product * total / 8, middle.prod(axis=2) / 4)
    derivative = np.empty((len(places), 3, NODES))
    for axis in range(3):
        others = [i for i in range(3) if i != axis]
        a = at[..., axis]
        rest = factor[..., others].prod(axis=2)
        at_corner = a * rest * (total + factor[..., axis]) / 8
        slope = np.where(a == 0, -2 * x[..., axis], a)
        at_middle = slope * middle[..., others].prod(axis=2) / 4
        derivative[:, axis] = np.where(corner, at_corner, at_middle)
    return value, derivative


def _gauss(order: int) -> tuple[Floats, Floats]:
    place, weight = np.polynomial.legendre.leggauss(order)
    grid = np.stack(np.meshgrid(place, place, place, indexing="ij"), axis=-1).reshape(-1, 3)
    weights = np.einsum("i,j,k->ijk", weight, weight, weight).ravel()
    return grid, weights


class Shapes(NamedTuple):
    """Gradients of the shape functions in the unloaded body."""

    value: Floats
    """(8, 20): the same for every element."""
    gradient: Floats
    """(elements, 8, 3, 20)."""
    weight: Floats
    """Volume of every point, (elements, 8)."""


def shapes_of(nodes: Floats, elements: Ints) -> Shapes:
    """Gradients and volumes for nodes (n, 3) and elements (m, 20).

    Raises `ShapeError` if an element has no positive volume at a point.
    """
    places, weights = _gauss(2)
    value, derivative = hex_shapes(places)
    jacobian = np.einsum("pan,enx->epax", derivative, nodes[elements], optimize=True)
    volume = np.linalg.det(jacobian)
    if volume.min() <= 0:
        worst = int(np.argmin(volume.min(axis=1)))
        raise ShapeError(f"element {worst} of the mesh is turned inside out")
    gradient = np.linalg.solve(jacobian, np.broadcast_to(derivative, (len(elements), 8, 3, 20)))
    return Shapes(value, gradient, volume * weights)


def deformation(shapes: Shapes, placed: Floats) -> Floats:
    """Deformation gradients (elements, 8, 3, 3); ``placed`` are nodes of elements (m, 20, 3)."""
    by = np.matmul(shapes.gradient, placed[:, None])
    turned: Floats = np.swapaxes(by, 2, 3)
    return turned


def spatial_gradients(shapes: Shapes, inverse: Floats) -> Floats:
    """Gradients in the deformed body (elements, 8, 3, 20) from inverses of F."""
    made: Floats = np.matmul(np.swapaxes(inverse, 2, 3), shapes.gradient)
    return made


def element_forces(shapes: Shapes, spatial: Floats, stress: Floats) -> Floats:
    """Nodal forces (elements, 20, 3); ``stress`` is Kirchhoff stress (elements, 8, 6)."""
    weighted = as_matrix(stress) * shapes.weight[..., None, None]
    forces: Floats = np.swapaxes(np.matmul(weighted, spatial).sum(axis=1), 1, 2)
    return forces


def element_stiffness(shapes: Shapes, spatial: Floats, stress: Floats, moduli: Floats) -> Floats:
    """Tangents (elements, 60, 60); ``moduli`` (elements, 8, 6, 6) relate the rate of stress.

    K_ai,bk = sum over points of V (B_a D B_b + grad N_a . tau . grad N_b delta_ik), with tau
    the Kirchhoff stress and V the volume in the unloaded body.
    """
    count = len(spatial)
    by_strain = np.zeros((count, POINTS, 6, NODES, 3))
    for row, (i, j) in enumerate(zip(_FIRST, _SECOND, strict=True)):
        by_strain[:, :, row, :, i] = spatial[:, :, j]
        by_strain[:, :, row, :, j] = spatial[:, :, i]
    flat = by_strain.reshape(count, POINTS, 6, NODES * 3)
    weight = shapes.weight[..., None, None]
    pushed = np.matmul(moduli * weight, flat)
    stiffness: Floats = np.matmul(
        flat.reshape(count, POINTS * 6, 60).transpose(0, 2, 1),
        pushed.reshape(count, POINTS * 6, 60),
    )
    flow = np.matmul(as_matrix(stress) * weight, spatial)
    turned = np.matmul(
        spatial.reshape(count, POINTS * 3, NODES).transpose(0, 2, 1),
        flow.reshape(count, POINTS * 3, NODES),
    )
    shaped = stiffness.reshape(count, NODES, 3, NODES, 3)
    for axis in range(3):
        shaped[:, :, axis, :, axis] += turned
    return stiffness


def as_matrix(six: Floats) -> Floats:
    """The symmetric 3 x 3 tensors of six components in the last axis."""
    order = [0, 3, 5, 3, 1, 4, 5, 4, 2]
    return six[..., order].reshape(*six.shape[:-1], 3, 3)


def as_six(matrix: Floats) -> Floats:
    """The six components of symmetric 3 x 3 tensors."""
    return matrix[..., _FIRST, _SECOND]
