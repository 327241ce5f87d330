"""A stud between the legs: against elastic theory, its own balance, and what it does to a link."""

import numpy as np
import pytest

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import prove_solid_link, pull_solid_link
from linkwright.mechanics.solid_model import link_model
from linkwright.mechanics.solid_stud import Stud, seat_of
from linkwright.quantities import ArgumentError

ANCHOR = LinkGeometry(20.0, 80.0, 72.0)
"""Proportions of a common stud link: 6 d long outside, 3.6 d wide."""
MILD = SwiftCurve.of_strength(690.0, 0.12, 0.002, 205.0)


@pytest.fixture(scope="module")
def open_link():
    return pull_solid_link(ANCHOR, MILD, fineness="coarse")


@pytest.fixture(scope="module")
def stud_link():
    return pull_solid_link(ANCHOR, MILD, fineness="coarse", stud=Stud(14.0))


def strut_share(wire, pitch, width):
    """Stud force over pull of an elastic link with a rigid strut, by Castigliano's theorem.

    A quarter of the centre line: half leg a, crown of radius R, pulled at its apex. Bending
    moment M0 + N x/2 - (F/2) h with x along the link from its middle, h inward from the leg; no
    rotation at either end, no move of the leg's middle; bending and stretching count.
    """
    R = (width - wire) / 2
    a = (pitch + wire) / 2 - R
    area, inertia = np.pi / 4 * wire**2, np.pi / 64 * wire**4
    leg, angle = np.linspace(0, a, 2001), np.linspace(0, np.pi / 2, 2001)
    x = np.concatenate([leg, a + R * np.sin(angle)])
    h = np.concatenate([0 * leg, R * (1 - np.cos(angle))])
    axial = np.stack([np.concatenate([0 * leg, -np.sin(angle)]),
                      np.concatenate([1 + 0 * leg, np.cos(angle)])]) / 2  # fmt: skip
    s = np.concatenate([leg, a + R * angle])
    parts = np.stack([1 + 0 * x, x / 2, -h / 2])  # of M0, N, F
    bend = np.trapezoid(parts[:, None] * parts[None], s, axis=-1) / inertia
    bend[1:, 1:] += np.trapezoid(axial[:, None] * axial[None], s, axis=-1) / area
    return float(np.linalg.solve(bend[:2, :2], -bend[:2, 2])[1])


def test_a_stiff_stud_carries_what_elastic_theory_says():
    """Castigliano on the centre line; a slender link, so that the theory of thin bars holds."""
    wire, pitch, width = 4.0, 80.0, 48.0
    link, steel = LinkGeometry(wire, pitch, width), SwiftCurve.of_strength(1600.0, 0.05, 0.001)
    seat = Stud(2.0, elastic_modulus_GPa=20500.0)
    pull = pull_solid_link(link, steel, fineness="coarse", stud=seat, factorisations=9)
    early = [r for r in pull.readings if 0.1 < r.force_kN < 1.5]
    share = early[-1].stud_force_kN / early[-1].force_kN
    assert share == pytest.approx(strut_share(wire, pitch, width), rel=0.02)


def test_a_stud_keeps_the_legs_apart(open_link, stud_link):
    """The free legs come together by half their distance, the propped ones hardly."""
    assert open_link.readings[-1].inner_width_mm < 24
    assert stud_link.readings[-1].inner_width_mm > 31.8
    assert stud_link.stiffness_kN_per_mm > 1.2 * open_link.stiffness_kN_per_mm
    assert stud_link.extension_at_maximum_mm < 0.85 * open_link.extension_at_maximum_mm


def test_work_goes_into_stud_and_steel(stud_link):
    assert abs(stud_link.unbalanced_work_percent) < 0.5
    assert all(reading.stud_force_kN > 0 for reading in stud_link.readings[1:])


def test_a_soft_stud_is_no_stud(open_link):
    """With a thousandth of a per cent of the modulus the link pulls as the open one."""
    soft = pull_solid_link(
        ANCHOR, MILD, fineness="coarse", stud=Stud(14.0, elastic_modulus_GPa=1e-3),
        factorisations=20,
    )  # fmt: skip
    at = soft.extension_mm[-1]
    assert soft.force_kN[-1] == pytest.approx(float(open_link.force_at(at)), rel=5e-3)


def test_a_stud_set_with_squeeze_presses_before_the_pull():
    model = pull_solid_link(
        ANCHOR, MILD, fineness="coarse", stud=Stud(14.0, squeeze_mm=0.05), factorisations=12
    )
    first = model.readings[0]
    assert first.force_kN == pytest.approx(0, abs=1e-4)
    assert first.stud_force_kN > 1
    assert first.inner_width_mm > 32


def test_a_proof_leaves_a_stud_link_shorter_than_an_open_one():
    set_ = [
        prove_solid_link(ANCHOR, MILD, 150.0, fineness="coarse", stud=stud).permanent_set_mm
        for stud in (None, Stud(14.0))
    ]
    assert 0 < set_[1] < 0.7 * set_[0]


def test_a_stud_with_play_carries_nothing_before_the_legs_reach_it(open_link):
    """It only pushes: up to then the link pulls as the open one, then the legs stand still."""
    play = pull_solid_link(ANCHOR, MILD, fineness="coarse", stud=Stud(14.0, squeeze_mm=-1.0))
    width = np.array([reading.inner_width_mm for reading in play.readings])
    force = np.array([reading.stud_force_kN for reading in play.readings])
    assert np.all(force >= 0)
    assert np.all(force[width > 31.05] == 0)
    free = np.flatnonzero(width > 31.05)
    np.testing.assert_allclose(
        play.force_kN[free], open_link.force_at(play.extension_mm[free]), atol=1.0
    )
    assert width.min() > 30.8
    assert force.max() > 50
    assert abs(play.unbalanced_work_percent) < 0.5


@pytest.fixture
def seat():
    mesh = link_model(ANCHOR, MILD, "coarse").part.mesh
    made = seat_of(mesh, Stud(14.0, squeeze_mm=0.1), 32.0)
    return made, mesh.nodes[mesh.elements[made.elements]]


def test_forces_are_the_slope_of_the_energy_and_stiffness_that_of_the_forces(seat):
    """Also where part of the skin has left its columns."""
    made, rest = seat
    at = rest + 0.1 * np.random.default_rng(3).standard_normal(rest.shape)
    way = np.random.default_rng(4).standard_normal(rest.shape)
    short = made._shortening(at)[made.column > 0]
    assert (short > 0).any()
    assert (short < 0).any()
    forces, _ = made.forces(at)
    h = 1e-7
    ends = [made.forces(at + sign * h * way) for sign in (1, -1)]
    assert (ends[0][1] - ends[1][1]) / (2 * h) == pytest.approx(
        float(np.sum(forces * way)), rel=1e-5
    )
    slope = (ends[0][0] - ends[1][0]).reshape(len(at), 60) / (2 * h)
    stiff = np.matmul(made.stiffness(at), way.reshape(len(at), 60, 1))[..., 0]
    np.testing.assert_allclose(slope, stiff, rtol=1e-4, atol=1e-4 * np.abs(stiff).max())


def test_the_seat_has_the_area_of_the_stud(seat):
    """E A/(L/2) for a quarter of it: the force of a squeeze on legs that do not move."""
    made, rest = seat
    assert made.column.sum() == pytest.approx(205e3 / 16 * np.pi / 4 * 14**2 / 4, rel=0.05)
    assert made.force_N(rest) == pytest.approx(205e3 / 16 * np.pi / 4 * 14**2 * 0.05, rel=0.05)


@pytest.mark.parametrize(
    ("stud", "name"),
    [(Stud(0.0), "stud_diameter_mm"), (Stud(21.0), "stud_diameter_mm"),
     (Stud(14.0, elastic_modulus_GPa=0.0), "stud_modulus_GPa"),
     (Stud(14.0, squeeze_mm=2.0), r"stud_squeeze_mm.*1\.6"),
     (Stud(14.0, squeeze_mm=-40.0), "play")],
)  # fmt: skip
def test_a_stud_that_cannot_be_is_named(stud, name):
    with pytest.raises(ArgumentError, match=name):
        link_model(ANCHOR, MILD, "coarse", stud=stud)
