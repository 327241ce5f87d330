"""Contact with the mirrored neighbour: derivatives, symmetry, Hertz."""

import numpy as np
import pytest
from solid_bodies import on_plane, pulled

from linkwright.mechanics.solid_contact import HALF_TURN, Mirror, Side, aimed, touch
from linkwright.mechanics.solid_mesh import rectangle, skin_of, swept_mesh
from linkwright.mechanics.solid_newton import Body
from linkwright.mechanics.solid_octant import FINENESS, Outline, octant_mesh
from linkwright.mechanics.solid_plasticity import steel_of

LINK = Outline(8.0, 24.0, 26.8, 9.4)
PENALTY = 5e5


@pytest.fixture(scope="module")
def pressed():
    """The coarse octant pushed into its image, a little disturbed."""
    octant = octant_mesh(LINK, FINENESS["coarse"])
    nodes = octant.mesh.nodes
    mirror = Mirror.of([Side(octant.skin, octant.skin, HALF_TURN)], nodes, PENALTY)
    placed = nodes + [-0.2, 0.0, 0.0] + np.random.default_rng(0).normal(size=nodes.shape) * 0.01
    return mirror, placed


def spread(contact, size):
    force = np.zeros(size)
    force[contact.dofs] = contact.force
    return force


def test_force_is_the_derivative_of_the_energy_and_stiffness_that_of_the_force(pressed):
    """Central differences in a random direction, sliding of the nearest point included."""
    mirror, placed = pressed
    aim = aimed(mirror, placed, mirror.start, 2.0)
    middle = touch(mirror, placed, aim)
    assert (middle.pressure > 0).sum() > 8
    direction = np.random.default_rng(1).normal(size=placed.shape)
    step = 1e-6
    up = touch(mirror, placed + step * direction, aim)
    down = touch(mirror, placed - step * direction, aim)
    work = spread(middle, placed.size) @ direction.ravel()
    assert (up.energy - down.energy) / (2 * step) == pytest.approx(work, rel=1e-6)
    change = (spread(up, placed.size) - spread(down, placed.size))[middle.dofs] / (2 * step)
    pushed = middle.stiffness @ direction.ravel()[middle.dofs]
    np.testing.assert_allclose(pushed, change, atol=1e-6 * abs(change).max())


def test_links_that_just_touch_are_not_pressed():
    """Crossing circles of equal gap: no point is closer than the facets allow."""
    octant = octant_mesh(LINK, FINENESS["medium"])
    mirror = Mirror.of([Side(octant.skin, octant.skin, HALF_TURN)], octant.mesh.nodes, PENALTY)
    contact = touch(mirror, octant.mesh.nodes, aimed(mirror, octant.mesh.nodes, mirror.start, 4.0))
    assert contact.gap.min() > -1e-3
    # the gap of two crossing wires is r^2/2 (1/4 - 1/5.4) near the apex
    at = np.einsum("pn,pnx->px", mirror.shares, octant.mesh.nodes[mirror.owner])
    radius = np.hypot(at[:, 1], at[:, 2])
    near = radius < 1.2
    expected = radius[near] ** 2 / 2 * (1 / 4 - 1 / 5.4)
    np.testing.assert_allclose(contact.gap[near], expected, atol=2e-3)


def test_pushing_a_body_on_its_image_gives_the_force_of_the_whole_patch(pressed):
    """The force along x is pressure times area for a nearly flat patch."""
    mirror, placed = pressed
    contact = touch(mirror, placed, aimed(mirror, placed, mirror.start, 2.0))
    along = contact.force[contact.dofs % 3 == 0].sum()
    assert along < 0  # as a residual, it holds the body back
    assert -along == pytest.approx(contact.pressure @ mirror.area, rel=0.1)


def sphere_block(radius, size, cuts, deep):
    """A block at positive x with a spherical top, rows of the skin along y, columns along z."""

    def place(y, z, depth):
        top = radius - np.sqrt(radius**2 - y**2 - z**2)
        return np.stack([top + depth * (1 - top / size), y, z], axis=1)

    mesh = swept_mesh(rectangle(cuts, deep), cuts, place)
    top = np.flatnonzero(mesh.section.points[:, 1] == 0)
    rim = top[np.argsort(mesh.section.points[top, 0])]
    return mesh, skin_of(mesh, rim, 0, mesh.slices)


def test_spheres_follow_hertz():
    """Two equal spheres: the load lies as in Hertz's patch of radius (3 F R/(4 E*))^(1/3).

    Share of the force within half the radius 1 - (3/4)^1.5, mean distance of the load from the
    middle 3 pi/16 radii, both within 2 per cent; radius from the area under load within 5, as
    the penalty lets the rim yield. K. L. Johnson, Contact Mechanics, 1985, section 4.2; R is
    half the radius of a sphere.
    """
    radius, size = 20.0, 6.0
    cuts = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.1, 2.2, size])
    mesh, skin = sphere_block(radius, size, cuts, np.array([0.0, 0.3, 0.7, 1.4, 3.0, size]))
    hard = steel_of(205e3, 0.3, 1e6, 0.1, 1.0)
    mirror = Mirror.of([Side(skin, skin, HALF_TURN)], mesh.nodes, 800 * 205e3 / radius)
    end = on_plane(mesh, 0, size)
    fixed = np.concatenate([3 * on_plane(mesh, axis, 0.0) + axis for axis in (1, 2)])
    body = Body.of(mesh, hard, fixed, 3 * end, np.ones(len(end)), mirror, 1.0)
    state = pulled(body, -0.03, 0.01, 0.01).last
    force = 4 * abs(state.force)
    modulus = 205e3 / (2 * (1 - 0.3**2))
    patch = (3 * force * (radius / 2) / (4 * modulus)) ** (1 / 3)
    at = np.einsum("pn,pnx->px", mirror.shares, mesh.nodes[mirror.owner])
    middle = np.hypot(at[:, 1], at[:, 2])
    load = state.contact.pressure * mirror.area
    assert 4 * load.sum() == pytest.approx(force, rel=1e-3)
    within = load[middle < patch / 2].sum() / load.sum()
    assert within == pytest.approx(1 - 0.75**1.5, rel=0.02)
    assert load @ middle / load.sum() / patch == pytest.approx(3 * np.pi / 16, rel=0.02)
    area = 4 * mirror.area[state.contact.pressure > 0].sum()
    assert np.sqrt(area / np.pi) == pytest.approx(patch, rel=0.05)
