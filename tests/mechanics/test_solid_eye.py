"""An open eye by finite elements: against the thin curved bar, and its own derivatives."""

import numpy as np
import pytest

from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.solid_eye import Eye, EyeNotOpened, _model, pull_eye
from linkwright.mechanics.solid_octant import FINENESS
from linkwright.processes.models.opening import eye_opening_force, eye_opening_stiffness
from linkwright.quantities import ArgumentError

WIRE = 2.642
NO_12 = Eye(WIRE, 3.35 * WIRE, 0.2 * WIRE)
DRAWN = SwiftCurve(700.0, 0.15, 0.5, 205.0)


@pytest.fixture(scope="module")
def opened():
    return pull_eye(NO_12, DRAWN, fineness="coarse")


def test_the_eye_opens_at_the_force_of_the_curved_bar(opened):
    """Large opening of a thin bar with hardening; coarse 3.7, fine 1.1 per cent below it."""
    thin = eye_opening_force(
        wire_diameter_mm=WIRE, eye_mean_diameter_mm=3.35 * WIRE, gap_mm=0.2 * WIRE, K_MPa=700.0,
        E_MPa=205e3, n=0.15, prestrain=0.5,
    )  # fmt: skip
    assert opened.opened
    assert opened.ended == "the neighbour can leave"
    assert opened.opening_force_N == pytest.approx(float(thin.opening_force_N), rel=0.05)
    assert opened.factorisations <= 120


def test_the_gap_grows_all_the_way(opened):
    gaps = np.array([reading.gap_mm for reading in opened.readings])
    assert gaps[0] == pytest.approx(0.2 * WIRE, rel=1e-6)
    assert np.all(np.diff(gaps) > 0)
    assert gaps[-1] >= WIRE
    assert float(opened.force_at_gap(0.8)) > 0.7 * opened.opening_force_N
    assert np.isnan(opened.force_at_gap(5.0))


def test_a_small_pull_is_elastic_as_castigliano_says():
    """Thin ring: the widening of the gap under a small force, 15 per cent for R = 1.7 d."""
    strong = SwiftCurve(6000.0, 0.05, 0.5, 205.0)
    pull = pull_eye(NO_12, strong, fineness="coarse", factorisations=25)
    first, last = pull.readings[4], pull.readings[9]
    stiff = (last.force_N - first.force_N) / (last.gap_mm - first.gap_mm)
    thin = eye_opening_stiffness(
        wire_diameter_mm=WIRE, eye_mean_diameter_mm=3.35 * WIRE, gap_mm=0.2 * WIRE, E_MPa=205e3
    )
    assert stiff == pytest.approx(float(thin.gap_stiffness_N_per_mm), rel=0.15)


def test_twice_the_size_takes_four_times_the_force():
    small, large = (
        pull_eye(Eye(*(k * np.array(NO_12))), DRAWN, fineness="coarse", factorisations=15)
        for k in (1.0, 2.0)
    )
    assert large.readings[-1].force_N == pytest.approx(4 * small.readings[-1].force_N, rel=1e-6)


def test_forces_are_the_slope_of_the_energy_and_stiffness_that_of_the_forces():
    body, mesh, _ = _model(NO_12, DRAWN, FINENESS["coarse"])
    ring = body.prop
    draw = np.random.default_rng(5)
    at = mesh.nodes[mesh.elements[ring.elements]].copy()
    at[..., 0] += 0.02  # into the ring
    at += 1e-3 * draw.standard_normal(at.shape)
    way = draw.standard_normal(at.shape)
    forces, energy = ring.forces(at)
    assert energy > 0
    h = 1e-6
    ends = [ring.forces(at + sign * h * way) for sign in (1, -1)]
    assert (ends[0][1] - ends[1][1]) / (2 * h) == pytest.approx(
        float(np.sum(forces * way)), rel=1e-5
    )
    slope = (ends[0][0] - ends[1][0]).reshape(len(at), 60) / (2 * h)
    stiff = np.matmul(ring.stiffness(at), way.reshape(len(at), 60, 1))[..., 0]
    np.testing.assert_allclose(slope, stiff, rtol=1e-4, atol=1e-4 * np.abs(stiff).max())


def test_a_pull_that_gets_nowhere_says_so():
    with pytest.raises(EyeNotOpened, match="no loaded state"):
        pull_eye(NO_12, DRAWN, fineness="coarse", factorisations=1)


@pytest.mark.parametrize(
    ("eye", "name"),
    [(Eye(0.0, 8.0, 0.5), "wire_diameter_mm"), (Eye(3.0, 6.0, 0.5), "eye_mean_diameter_mm"),
     (Eye(3.0, 9.0, 3.0), "gap_mm")],
)  # fmt: skip
def test_an_eye_that_cannot_be_is_named(eye, name):
    with pytest.raises(ArgumentError, match=name):
        pull_eye(eye, DRAWN)
