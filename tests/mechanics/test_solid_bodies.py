"""Solids against closed forms: tube, round bar, ring, and how the error falls with the mesh."""

import numpy as np
import pytest
from solid_bodies import bar, box, on_plane, pulled, soft_steel

from linkwright.mechanics.solid_mesh import half_disc, rectangle, swept_mesh
from linkwright.mechanics.solid_newton import Body
from linkwright.mechanics.solid_plasticity import steel_of

YOUNG, POISSON = 205e3, 0.3
HARD = steel_of(YOUNG, POISSON, 1e6, 0.1, 1.0)


def tube(cells, inner, outer, steel):
    """A quarter of a tube in plane strain; the inner surface is driven outward."""

    def place(z, radius, angle):
        return np.stack([radius * np.cos(angle), radius * np.sin(angle), z], axis=1)

    section = rectangle(np.linspace(inner, outer, cells + 1), np.linspace(0, np.pi / 2, cells + 1))
    mesh = swept_mesh(section, np.array([0.0, 1.0]), place)
    radius = np.hypot(mesh.nodes[:, 0], mesh.nodes[:, 1])
    # on the curved surface middle nodes lie on the circle too
    inside = np.flatnonzero(np.abs(radius - inner) < 1e-9)
    fixed = np.concatenate(
        [3 * np.arange(len(radius)) + 2]
        + [3 * np.flatnonzero(np.abs(mesh.nodes[:, axis]) < 1e-9) + axis for axis in (0, 1)]
    )
    driven = (3 * inside[:, None] + np.arange(2)).ravel()
    pattern = (mesh.nodes[inside, :2] / inner).ravel()
    return Body.of(mesh, steel, fixed, driven, pattern)


def tube_pressure(body, inner, push, steps=1):
    state = pulled(body, push, push / steps, push / steps).last
    return state.force / (inner * np.pi / 2), state


def test_elastic_tube_follows_lame():
    """Pressure for a small widening, plane strain, within 0.1 per cent.

    u_a = p a (1 + nu)/E ((1 - 2 nu) a^2 + b^2)/(b^2 - a^2); S. Timoshenko and J. N. Goodier,
    Theory of Elasticity, article 28.
    """
    push = 1e-5
    pressure, _ = tube_pressure(tube(4, 1.0, 2.0, HARD), 1.0, push)
    per_pressure = (1 + POISSON) / YOUNG * ((1 - 2 * POISSON) + 4) / 3
    assert pressure == pytest.approx(push / per_pressure, rel=1e-3)


def test_error_of_the_tube_falls_with_at_least_the_third_power_of_the_cells():
    """Observed order over three meshes, against the exact solution."""
    push = 1e-6
    exact = push / ((1 + POISSON) / YOUNG * ((1 - 2 * POISSON) + 4) / 3)
    errors = []
    for cells in (2, 4, 8):
        pressure, _ = tube_pressure(tube(cells, 1.0, 2.0, HARD), 1.0, push)
        errors.append(abs(pressure / exact - 1))
    order = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(order > 2.8), (errors, order)


@pytest.mark.parametrize("cells", [2, 4, 8])
def test_plastic_tube_does_not_lock(cells):
    """Pressure of the fully plastic tube, 2/sqrt(3) Y ln(b/a), on any mesh within 1 per cent.

    R. Hill, The Mathematical Theory of Plasticity, 1950, chapter V. A locking element would
    go on rising, and more so on a coarse mesh. Radii and pressure are those of the widened tube.
    """
    steel = soft_steel(500.0)
    push = 0.01
    pressure, state = tube_pressure(tube(cells, 1.0, 2.0, steel), 1.0, push, steps=6)
    assert state.metal.plastic_strain.min() > 1e-4
    outer = np.sqrt(4 + (1 + push) ** 2 - 1)
    strength = 500.0 * 1e-3**1e-4
    expected = 2 / np.sqrt(3) * strength * np.log(outer / (1 + push)) * (1 + push)
    assert pressure == pytest.approx(expected, rel=0.01)


def bent_bar(steel, turn):
    """Half a round bar of diameter 2, length 3, its end plane turned by ``turn``; moment."""

    def place(x, across, up):
        return np.stack([x, across, up], axis=1)

    # the sweep runs along x, the section's first axis along y
    mesh = swept_mesh(half_disc(2, 2), np.linspace(0.0, 3.0, 4), place)
    end, flat = mesh.layer(-1), on_plane(mesh, 2, 0.0)
    start = mesh.layer(0)
    centre = start[np.argmin(np.hypot(mesh.nodes[start, 1], mesh.nodes[start, 2]))]
    fixed = np.concatenate([3 * start, 3 * flat + 2, [3 * centre + 1]])
    body = Body.of(mesh, steel, fixed, 3 * end, mesh.nodes[end, 1])
    return 2 * pulled(body, turn, turn / 6, turn / 6).last.force


def test_round_bar_bends_by_euler_and_bernoulli():
    """Elastic moment E I k for pure bending, within 0.2 per cent."""
    turn = 1e-4
    assert bent_bar(HARD, turn) == pytest.approx(YOUNG * np.pi / 4 * turn / 3, rel=2e-3)


def test_round_bar_has_its_plastic_moment():
    """Y d^3/6, 16/(3 pi) = 1.70 times the elastic one, within 1 per cent.

    S. Timoshenko, Strength of Materials, Part II, chapter on plastic bending.
    """
    strength = 500.0 * 1e-3**1e-4
    first_yield = strength / YOUNG
    moment = bent_bar(soft_steel(500.0), 3 * 12 * first_yield)
    # the rest of the elastic core carries 1/2 of (curvature ratio)^-2 less at most
    assert moment == pytest.approx(strength * 8 / 6, rel=0.01)


def test_ring_pulled_along_its_diameter():
    """Widening F R^3/(E I) (k1 pi/4 - 2 k2^2/pi) within 1 per cent; R six bar diameters.

    k1 = 1 - a + b, k2 = 1 - a, a = I/(A R^2), b = (10/9) E I/(G A R^2): Roark's Formulas for
    Stress and Strain, circular rings, case 1 (from memory). Checks bending of a curved round bar.
    """
    mean, radius = 6.0, 0.5

    def place(angle, outward, up):
        r = mean + radius * outward
        return np.stack([r * np.sin(angle), r * np.cos(angle), radius * up], axis=1)

    mesh = swept_mesh(half_disc(1, 1), np.linspace(0.0, np.pi / 2, 13), place)
    fixed = np.concatenate([3 * mesh.layer(0), 3 * on_plane(mesh, 2, 0.0) + 2,
                            3 * mesh.layer(-1) + 1])  # fmt: skip
    end = mesh.layer(-1)
    push = 1e-3
    body = Body.of(mesh, HARD, fixed, 3 * end, np.ones(len(end)))
    force = 4 * pulled(body, push, push, push).last.force  # both halves of the section, both sides
    inertia, area = np.pi * radius**4 / 4, np.pi * radius**2
    a = inertia / (area * mean**2)
    b = 10 / 9 * 2.6 * a
    share = (1 - a + b) * np.pi / 4 - 2 * (1 - a) ** 2 / np.pi
    assert 2 * push == pytest.approx(force * mean**3 / (YOUNG * inertia) * share, rel=0.01)


def test_necking_bar_passes_its_maximum_at_considere():
    """A uniform bar has its greatest force at the logarithmic strain n - e0, of K n^n e^(e0-n).

    The elastic stretch, strength over modulus, lowers the force by that share.
    """
    steel = steel_of(YOUNG, POISSON, 1000.0, 0.15, 0.01)
    body = bar(box((2, 1, 1), (2.0, 1.0, 1.0)), steel, 2.0)
    path = pulled(body, 0.4, 0.004, 0.02)
    force = np.array([state.force for state in path.states])
    pull = np.array([state.pull for state in path.states])
    true_stress = 1000 * 0.15**0.15
    expected = true_stress * np.exp(0.01 - 0.15 - true_stress / YOUNG)
    assert force.max() == pytest.approx(expected, rel=2e-4)
    assert np.log(1 + pull[force.argmax()] / 2) == pytest.approx(0.14, abs=0.02)


def test_energy_balances():
    """Work of the force is stored or spent, within 0.5 per cent over forty steps."""
    steel = steel_of(YOUNG, POISSON, 1000.0, 0.15, 0.01)
    path = pulled(bar(box((2, 1, 1), (2.0, 1.0, 1.0)), steel, 2.0), 0.1, 0.002, 0.003)
    assert path.last.stored + path.last.spent == pytest.approx(path.work[-1], rel=5e-3)
