"""Friction between skins in contact: Coulomb's limit, stick below it, derivatives, balance."""

import numpy as np
import pytest
from mechanics.solid_runs import LINK, STEEL, smooth_pull
from solid_bodies import box, on_plane, pulled

from linkwright.mechanics.solid_contact import HALF_TURN, Mirror, Side, aimed, touch
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.mechanics.solid_mesh import skin_of
from linkwright.mechanics.solid_model import link_model
from linkwright.mechanics.solid_newton import Body
from linkwright.mechanics.solid_octant import FINENESS, Outline, octant_mesh
from linkwright.mechanics.solid_plasticity import steel_of
from linkwright.quantities import ArgumentError

HARD = steel_of(205e3, 0.3, 1e6, 0.1, 1.0)


def block(friction, sideways):
    """A cube on its image, pressed by 1 and pushed along both diagonals by ``sideways``."""
    mesh = box((2, 2, 2))
    bottom = np.flatnonzero(mesh.section.points[:, 0] == 0)
    # rows of the skin run along y, columns along z; swept from y = 1 to 0 the box is right-handed
    turned = box((2, 2, 2), place=lambda y, depth, z: np.stack([depth, 1 - y, z], axis=1))
    rim = bottom[np.argsort(turned.section.points[bottom, 1])]
    skin = skin_of(turned, rim, turned.slices, 0)
    mirror = Mirror.of([Side(skin, skin, HALF_TURN)], turned.nodes, 1e6, friction)
    end = on_plane(turned, 0, 1.0)
    driven = (3 * end[:, None] + np.arange(3)).ravel()
    pattern = np.tile([-1.0, sideways, -sideways], len(end))
    none = np.zeros(0, dtype=np.intp)
    body = Body.of(turned, HARD, none, driven, pattern, mirror, 0.5)
    return body, pulled(body, 1e-4, 2e-5, 2e-5)


def normal_force(body, state):
    return float(state.contact.pressure @ body.mirror.area)


def test_slip_gives_coulombs_limit():
    """Dragged far enough, the support carries mu times the normal force sideways.

    Worked by hand: the work partner of pressing by 1 and dragging by (r, -r) is N + r sqrt(2) mu N
    (Coulomb's law); the rest is the turn of the face.
    """
    body, path = block(0.2, 3.0)
    normal = normal_force(body, path.last)
    assert abs(path.last.force) == pytest.approx(normal * (1 + 3.0 * np.sqrt(2) * 0.2), rel=5e-4)


def test_below_the_limit_the_block_sticks():
    """Little sideways: no work of slip, less than the limit, and as stiff as shear and spring."""
    body, path = block(0.3, 0.05)
    state = path.last
    normal = normal_force(body, state)
    side = (abs(state.force) - normal) / (0.05 * np.sqrt(2))
    assert 0 < side < 0.5 * 0.3 * normal
    assert state.rubbed < 1e-3 * state.stored


def test_work_is_stored_or_rubbed_away():
    """Elastic energy and work of slip are the work of the support, by steps of a fifth."""
    _, path = block(0.2, 3.0)
    state = path.last
    assert state.rubbed > 0.2 * state.stored
    assert path.work[-1] == pytest.approx(state.stored + state.spent, rel=0.02)


def test_stiffness_is_the_derivative_of_the_forces():
    """Central differences, points that stick and points that slip, not symmetric."""
    octant = octant_mesh(Outline(8.0, 24.0, 26.8, 9.4), FINENESS["coarse"])
    nodes = octant.mesh.nodes
    mirror = Mirror.of([Side(octant.skin, octant.skin, HALF_TURN)], nodes, 5e5, 0.15)
    random = np.random.default_rng(0)
    begun = nodes + [-0.2, 0.0, 0.0] + random.normal(size=nodes.shape) * 0.01
    first = touch(mirror, begun, aimed(mirror, begun, mirror.start, 2.0))
    aim = aimed(mirror, begun, first.place, 2.0, first.rubbing)
    placed = begun + random.normal(size=nodes.shape) * 0.03
    middle = touch(mirror, placed, aim)
    size = np.linalg.norm(middle.rubbing.traction, axis=1)
    pressed = middle.pressure > 0
    slips = size[pressed] > 0.999 * 0.15 * middle.pressure[pressed]
    assert slips.any()
    assert not slips.all()
    direction, step = random.normal(size=nodes.shape), 1e-6
    ends = []
    for sign in (1, -1):
        at = touch(mirror, placed + sign * step * direction, aim)
        force = np.zeros(nodes.size)
        force[at.dofs] = at.force
        ends.append(force[middle.dofs])
    change = (ends[0] - ends[1]) / (2 * step)
    pushed = middle.stiffness @ direction.ravel()[middle.dofs]
    np.testing.assert_allclose(pushed, change, atol=2e-6 * abs(change).max())
    assert abs(middle.stiffness - middle.stiffness.T).max() > 1e-3 * abs(middle.stiffness).max()


def test_friction_raises_the_maximum_of_a_link():
    """Mu = 0.15 adds 5 per cent on the coarsest mesh, and the work of the pull stays in balance.

    Reference (computed independently: two octants in contact, quadratic elements of a
    general-purpose code): about 6 per cent.
    """
    plain = smooth_pull()
    rough = pull_solid_link(LINK, STEEL, fineness="coarse", friction_coefficient=0.15)
    assert rough.passed
    assert 1.04 < rough.maximum_force_kN / plain.maximum_force_kN < 1.08
    assert abs(rough.unbalanced_work_percent) < 0.5
    assert 1 < rough.friction_work_percent < 10
    assert plain.friction_work_percent == 0


def test_vanishing_friction_is_none():
    """A coefficient of 1e-7 gives the forces of smooth links."""
    plain = smooth_pull()
    nearly = pull_solid_link(
        LINK, STEEL, fineness="coarse", factorisations=12, friction_coefficient=1e-7
    )
    count = min(len(plain.force_kN), len(nearly.force_kN))
    assert count > 6
    np.testing.assert_allclose(nearly.force_kN[:count], plain.force_kN[:count], rtol=1e-4)


def test_an_impossible_coefficient_is_refused():
    """From 0 to 0.5."""
    with pytest.raises(ArgumentError, match=r"0 to 0\.5"):
        link_model(LINK, STEEL, "coarse", friction_coefficient=0.9)
