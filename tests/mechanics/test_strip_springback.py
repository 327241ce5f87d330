"""Wide strip that is curled, squeezed and let go."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.strip_springback import wide_strip_curling
from linkwright.processes.models.sheet_bending import sheet_springback
from linkwright.quantities import ArgumentError

CURVE = {"K_MPa": 800.0, "n": 0.2, "prestrain": 0.01}


@pytest.mark.parametrize("radius", [3.0, 10.0, 100.0])
def test_ideal_plastic_strip_springs_by_gardiners_cubic(radius):
    """F. J. Gardiner, Trans. ASME 79 (1957) 1, with E and Y of plane strain."""
    strip = wide_strip_curling(thickness_mm=1.5, mean_radius_mm=radius, K_MPa=350.0, n=0.0)
    cubic = sheet_springback(
        thickness_mm=1.5,
        inner_radius_mm=radius,
        yield_MPa=350.0 * 2.0 / np.sqrt(3.0),
        E_MPa=206000.0 / (1.0 - 0.3**2),
    )
    assert strip.residual_radius_mm == pytest.approx(cubic.final_radius_mm, rel=1e-12)


def test_fully_plastic_moment_and_force_of_ideal_plastic_strip():
    """M = Y' t^2/4 for a tight bend; squeezed through, N = Y' t and no moment is left."""
    flow = 350.0 * 2.0 / np.sqrt(3.0)
    strip = wide_strip_curling(
        thickness_mm=2.0, mean_radius_mm=6.0, K_MPa=350.0, n=0.0, closing_strain=0.01
    )
    assert strip.bending_moment_per_width_N == pytest.approx(flow, rel=1e-3)
    assert strip.hoop_force_N_per_mm == pytest.approx(2.0 * flow, rel=1e-12)
    assert strip.moment_per_width_N == pytest.approx(0.0, abs=1e-9)


def _stepped(thickness, radius, squeeze, K_MPa, n, prestrain, E=206000.0, poisson=0.3):
    """The same by small steps of strain in 4000 fibres, each with its own yield stress."""
    factor = 2.0 / np.sqrt(3.0)
    k, e0, elastic = K_MPa * factor ** (1.0 + n), prestrain / factor, E / (1.0 - poisson**2)
    grid = np.linspace(0.0, 0.5, 200001)
    total = np.where(elastic * grid < k * (e0 + grid) ** n, 0.0, k * (e0 + grid) ** n)
    first = grid[np.argmax(total > 0.0)]
    y = (np.arange(4000) + 0.5) / 4000 * thickness - thickness / 2.0
    stress, path = np.zeros_like(y), np.full_like(y, first)
    limit = np.full_like(y, elastic * first)
    steps = [*(y / radius / 4000 for _ in range(4000)), *(-squeeze / 4000 for _ in range(4000))]
    for step in steps:
        trial = stress + elastic * step
        over = np.maximum(np.abs(trial) - limit, 0.0) / elastic
        path = path + over
        limit = np.where(over > 0.0, k * (e0 + path) ** n, limit)
        stress = np.clip(trial, -limit, limit)
    width = thickness / y.size
    return float(np.sum(stress * y) * width), float(-np.sum(stress) * width)


@pytest.mark.parametrize("squeeze", [0.0, 0.002, 0.004, 0.01])
def test_fibres_followed_step_by_step_give_the_same(squeeze):
    """An independent integration in time; 0.5 % of the plastic moment and force."""
    moment, force = _stepped(1.5, 4.9, squeeze, **CURVE)
    strip = wide_strip_curling(
        thickness_mm=1.5, mean_radius_mm=4.9, closing_strain=squeeze, **CURVE
    )
    assert strip.moment_per_width_N == pytest.approx(moment, abs=2.0)
    assert strip.hoop_force_N_per_mm == pytest.approx(force, abs=5.0)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    ratio=st.floats(1.5, 8.0),
    squeeze=st.floats(0.0, 0.02),
    strength=st.floats(300.0, 900.0),
    n=st.floats(0.05, 0.3),
)
def test_members_together_equal_members_alone_and_squeezing_takes_springback(
    ratio, squeeze, strength, n
):
    one = {"thickness_mm": 2.0, "mean_radius_mm": 2.0 * ratio, "K_MPa": strength, "n": n}
    both = wide_strip_curling(closing_strain=np.array([[0.0], [squeeze]]), prestrain=0.01, **one)
    alone = wide_strip_curling(closing_strain=squeeze, prestrain=0.01, **one)
    for wide, single in zip(both, alone, strict=True):
        assert np.asarray(wide).ravel()[-1] == pytest.approx(single, rel=1e-12, abs=1e-12)
    left = np.ravel(both.residual_radius_mm)
    assert left[1] <= left[0] * (1.0 + 1e-9)
    assert left[0] > one["mean_radius_mm"]


def test_more_nodes_change_nothing(monkeypatch):
    """24 nodes in each zone are within 0.1 N of 200: the kinks of turning fibres cost that much."""
    from linkwright.mechanics import strip_springback as module

    few = wide_strip_curling(thickness_mm=1.5, mean_radius_mm=4.9, closing_strain=0.003, **CURVE)
    nodes, weights = np.polynomial.legendre.leggauss(200)
    monkeypatch.setattr(module, "_NODES", nodes)
    monkeypatch.setattr(module, "_WEIGHTS", weights)
    many = wide_strip_curling(thickness_mm=1.5, mean_radius_mm=4.9, closing_strain=0.003, **CURVE)
    assert few.moment_per_width_N == pytest.approx(many.moment_per_width_N, abs=0.1)


@pytest.mark.parametrize(
    "wrong", [{"thickness_mm": 0.0}, {"closing_strain": -0.01}, {"mean_radius_mm": 5000.0},
              {"K_MPa": 1e6}]
)  # fmt: skip
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ArgumentError):
        wide_strip_curling(**{"thickness_mm": 1.5, "mean_radius_mm": 4.9, **CURVE, **wrong})
