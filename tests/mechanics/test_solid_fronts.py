"""Fronts along the sweep against a dense solution."""

import numpy as np
import pytest
from solid_bodies import box

from linkwright.mechanics.solid_fronts import Fronts
from linkwright.mechanics.solid_joint import Joint

MESH = box((4, 2, 1))
HELD = (3 * MESH.layer(0)[:, None] + np.arange(3)).ravel()


def parts(seed):
    """Symmetric positive element tangents."""
    made = np.random.default_rng(seed).normal(size=(len(MESH.elements), 60, 60))
    return made @ made.transpose(0, 2, 1) + 60 * np.eye(60)


def dense(stiffness, border, coupling):
    total = np.zeros((MESH.nodes.size, MESH.nodes.size))
    dofs = (3 * MESH.elements[..., None] + np.arange(3)).reshape(len(MESH.elements), 60)
    for rows, part in zip(dofs, stiffness, strict=True):
        total[np.ix_(rows, rows)] += part
    total[np.ix_(border, border)] += coupling
    return total


@pytest.mark.parametrize("sign", [1.0, -40.0], ids=["positive", "indefinite"])
@pytest.mark.parametrize("stations", [(), (2, 4), (0, 3)])
def test_solution_equals_the_dense_one(sign, stations):
    """With and without a border that couples far layers, positive or not."""
    nodes = np.array([MESH.layer(s)[j] for s in stations for j in (0, 3, 5)], dtype=int)
    border = (3 * nodes[:, None] + np.arange(3)).ravel()
    coupling = np.random.default_rng(1).normal(size=(len(border), len(border)))
    coupling = sign * coupling @ coupling.T
    stiffness = parts(0)
    load = np.random.default_rng(2).normal(size=MESH.nodes.size)
    fronts = Fronts(MESH, HELD)
    body = fronts.condensed(stiffness, border)
    work = body.forward(load)
    chosen = fronts.free[border]
    total = body.schur + coupling[np.ix_(chosen, chosen)]
    found = body.backward(work, np.linalg.solve(total, work[body.border]))
    free = np.flatnonzero(fronts.free)
    matrix = dense(stiffness, border, coupling)[np.ix_(free, free)]
    expected = np.zeros_like(load)
    expected[free] = np.linalg.solve(matrix, load[free])
    np.testing.assert_allclose(found, expected, rtol=1e-7, atol=1e-9 * abs(expected).max())
    # Sylvester's law: as many negative pivots as negative eigenvalues
    negative = body.negative_pivots + (np.linalg.eigvalsh(total) < 0).sum()
    assert negative == (np.linalg.eigvalsh(matrix) < 0).sum()


def test_bodies_side_by_side_are_those_bodies():
    """Two bodies with a coupled border against a dense solution of both."""
    other = box((2, 1, 1))
    held = 3 * other.layer(0)[:, None] + np.arange(3)
    joint = Joint([Fronts(MESH, HELD), Fronts(other, held.ravel())])
    first, size = MESH.nodes.size, MESH.nodes.size + other.nodes.size
    nodes = np.array([MESH.layer(2)[3], MESH.layer(4)[0], len(MESH.nodes) + other.layer(1)[2]])
    border = (3 * nodes[:, None] + np.arange(3)).ravel()
    random = np.random.default_rng(3)
    coupling = random.normal(size=(len(border), len(border)))  # not symmetric, as with friction
    made = random.normal(size=(len(other.elements), 60, 60))
    one, two = parts(0), made @ made.transpose(0, 2, 1) + 60 * np.eye(60)
    matrix = np.zeros((size, size))
    none = np.zeros((0, 0))
    matrix[:first, :first] = dense(one, border[:0], none)
    dofs = first + (3 * other.elements[..., None] + np.arange(3)).reshape(-1, 60)
    for rows, part in zip(dofs, two, strict=True):
        matrix[np.ix_(rows, rows)] += part
    matrix[np.ix_(border, border)] += coupling
    load = random.normal(size=size)
    expected, free = np.zeros(size), np.flatnonzero(joint.free)
    expected[free] = np.linalg.solve(matrix[np.ix_(free, free)], load[free])
    body = joint.condensed(np.concatenate([one, two]), border)
    work = body.forward(load)
    found = body.backward(work, np.linalg.solve(body.schur + coupling, work[body.border]))
    np.testing.assert_allclose(found, expected, atol=1e-9 * abs(expected).max())
    assert body.negative_pivots == 0
