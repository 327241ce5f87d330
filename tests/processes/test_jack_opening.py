"""Opening of an eye: closed forms, an independent integration, and invariants."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from linkwright.mechanics.bending import round_bar_plastic_moments
from linkwright.processes.models.opening import (
    eye_collapse_force,
    eye_opening_force,
    eye_opening_stiffness,
    force_against_gap,
)
from linkwright.quantities import ArgumentError

FEW = settings(derandomize=True, max_examples=25, deadline=None)
EYE: dict[str, Any] = {"wire_diameter_mm": 2.68, "eye_mean_diameter_mm": 9.0}
WIRE: dict[str, Any] = {"K_MPa": 680.0, "n": 0.26, "prestrain": 1.44}
E_MPA = 206000.0


def _bending_stiffness() -> float:
    return float(E_MPA * np.pi * EYE["wire_diameter_mm"] ** 4 / 64.0)


def test_stretch_of_the_crown_is_that_of_a_semicircular_bar() -> None:
    """S. P. Timoshenko, Strength of Materials: pi F R^3/(2 E I) for a semicircular bar."""
    stiff = eye_opening_stiffness(gap_mm=0.5, E_MPa=E_MPA, **EYE).crown_stiffness_N_per_mm
    assert 1.0 / stiff == pytest.approx(np.pi * 4.5**3 / (2.0 * _bending_stiffness()), rel=1e-12)


@pytest.mark.parametrize("gap", [0.1, 0.5, 2.0])
def test_widening_of_the_gap_is_castiglianos_integral(gap: float) -> None:
    """Unit load along the line from neck to end, integrated over the bar by quadrature."""
    radius = 4.5
    missing = 2.0 * np.arcsin((gap + 1.34) / 9.0)
    # crown at the origin, neck at (0, 2 R), end at angle pi - missing on the free side
    rest = np.pi - missing
    end = np.array([-radius * np.sin(rest), radius * (1.0 - np.cos(rest))])
    way = end - np.array([0.0, 2.0 * radius])
    way = way / np.hypot(*way)

    def product(t: float) -> float:
        x, y = radius * np.sin(t), radius * (1.0 - np.cos(t))
        unit = (end[0] - x) * way[1] - (end[1] - y) * way[0]
        return float(radius * np.sin(t) * unit * radius)

    moved = quad(product, 0.0, np.pi)[0] / _bending_stiffness()
    stiff = eye_opening_stiffness(gap_mm=gap, E_MPa=E_MPA, **EYE).gap_stiffness_N_per_mm
    assert 1.0 / stiff == pytest.approx(abs(moved), rel=1e-9)


def test_a_small_pull_of_the_large_opening_is_the_elastic_one() -> None:
    """The first steps of the opening curve have the slope of the closed form."""
    pull = force_against_gap(gap_mm=0.5, K_MPa=5e4, E_MPa=E_MPA, points=60, **EYE)
    small = slice(4, 12)
    slope = (pull["gap_mm"][small] - pull["gap_mm"][0]) / pull["force_N"][small]
    stiff = eye_opening_stiffness(gap_mm=0.5, E_MPa=E_MPA, **EYE).gap_stiffness_N_per_mm
    assert slope * stiff == pytest.approx(1.0, abs=2e-3)


def test_collapse_of_an_ideal_plastic_eye_is_the_plastic_moment_over_the_radius() -> None:
    """d^3 Y/6 over R, and a little less with the tension at the side."""
    eye = eye_collapse_force(K_MPa=700.0, **EYE)
    moment = round_bar_plastic_moments(diameter_mm=2.68, yield_MPa=700.0).plastic_moment_Nm
    assert eye.plastic_moment_Nm == pytest.approx(moment, rel=1e-9)
    assert eye.bending_collapse_force_N == pytest.approx(1000.0 * moment / 4.5, rel=1e-9)
    assert 0.95 < eye.collapse_force_N / eye.bending_collapse_force_N < 1.0


@FEW
@given(st.floats(0.02, 0.6))
def test_bending_with_tension_meets_both_conditions(strain: float) -> None:
    """Force and moment of the collapse lie on the limit of a section cut by a chord."""
    mean = 1.0 / strain
    eye = eye_collapse_force(wire_diameter_mm=1.0, eye_mean_diameter_mm=mean, K_MPa=1.0)
    force = float(eye.collapse_force_N)
    # neutral axis at y = c: tension above it, compression below
    c = np.sin(np.arccos((force * mean / 2.0 * 6.0) ** (1.0 / 3.0))) / 2.0
    width = lambda y: 2.0 * np.sqrt(0.25 - y * y)  # noqa: E731
    pull = quad(width, -c, 0.5)[0] - quad(width, -0.5, -c)[0]
    assert pull == pytest.approx(force, rel=1e-6, abs=1e-9)


def test_an_elastic_eye_unrolls_at_half_e_i_over_r_squared() -> None:
    """The work to straighten a unit length of an elastic curved bar, E I/(2 R^2)."""
    eye = eye_opening_force(gap_mm=0.5, K_MPa=1e5, E_MPa=E_MPA, **EYE)
    assert eye.unrolling_force_N == pytest.approx(_bending_stiffness() / (2.0 * 4.5**2), rel=1e-9)


def test_an_ideal_plastic_eye_unrolls_near_its_bending_collapse() -> None:
    """All but the elastic part of the work is Mp per turn."""
    eye = eye_opening_force(gap_mm=0.5, K_MPa=700.0, E_MPa=E_MPA, **EYE)
    collapse = eye_collapse_force(K_MPa=700.0, **EYE).bending_collapse_force_N
    assert 0.97 < eye.unrolling_force_N / collapse < 1.0
    stiffer = eye_opening_force(gap_mm=0.5, K_MPa=700.0, E_MPa=100.0 * E_MPA, **EYE)
    assert stiffer.unrolling_force_N == pytest.approx(collapse, rel=1e-3)


def _moments(changes: np.ndarray) -> np.ndarray:
    """Moment of the drawn and formed wire bent back, by adaptive quadrature over the height."""
    d, radius = EYE["wire_diameter_mm"], EYE["eye_mean_diameter_mm"] / 2.0

    def part(y: float, change: float) -> float:
        worked = WIRE["prestrain"] + y / radius + change * y
        stress = min(E_MPA * change * y, WIRE["K_MPa"] * worked ** WIRE["n"])
        return float(4.0 * stress * y * np.sqrt((d / 2.0) ** 2 - y * y))

    return np.array([quad(part, 0.0, d / 2.0, args=(one,), limit=200)[0] for one in changes])


def test_the_opening_force_is_that_of_an_independent_integration() -> None:
    """The wire integrated from the contact as an initial value, the force found by trial.

    Where it meets the load line again it points across it: that is the neck's root.
    """
    d, radius, gap = 2.68, 4.5, 0.5
    changes = np.concatenate([[0.0], np.geomspace(1e-4, 1.2 / radius, 300)])
    moments = _moments(changes)

    def slope(_: float, at: np.ndarray, force: float) -> list[float]:
        change = np.interp(force * abs(at[0]), moments, changes) * np.sign(at[0])
        return [np.cos(at[2]), np.sin(at[2]), 1.0 / radius - change]

    def back(_: float, at: np.ndarray, force: float) -> float:
        return float(at[0]) if at[1] > 1.0 else 1.0

    back.terminal, back.direction = True, -1.0  # type: ignore[attr-defined]

    def beyond(force: float) -> float:
        ran = solve_ivp(slope, (0.0, 80.0), [0.0, 0.0, 0.0], events=back, args=(force,),
                        rtol=1e-7, atol=1e-8, max_step=0.3)  # fmt: skip
        y, angle, arc = ran.y[1, -1], ran.y[2, -1], ran.t[-1]
        assert angle == pytest.approx(np.pi, abs=5e-3)
        missing = 2.0 * np.arcsin((gap + d / 2.0) / (2.0 * radius))
        rest = 2.0 * np.pi - missing - arc / radius
        end = np.array([-np.sin(rest), 1.0 - np.cos(rest)]) * radius
        return float(np.hypot(end[0], y - end[1]) - 1.5 * d)

    force = eye_opening_force(gap_mm=gap, E_MPa=E_MPA, **EYE, **WIRE).opening_force_N
    found = brentq(beyond, 0.97 * force, 1.0012 * force, xtol=0.01)
    assert force == pytest.approx(found, rel=1e-3)


@FEW
@given(st.floats(1.5, 5.0), st.floats(2.6, 5.0), st.floats(0.0, 0.6), st.floats(0.0, 0.3))
def test_force_scales_with_strength_and_size(d: float, ratio: float, gap: float, n: float) -> None:
    """Twice K and E is twice the force; twice all lengths is four times the force."""
    eye = {
        "wire_diameter_mm": d, "eye_mean_diameter_mm": ratio * d, "gap_mm": gap * d,
        "K_MPa": 700.0, "E_MPa": E_MPA, "n": n, "prestrain": 0.5,
    }  # fmt: skip
    once = eye_opening_force(**eye).opening_force_N
    strong = eye_opening_force(**{**eye, "K_MPa": 1400.0, "E_MPa": 2 * E_MPA}).opening_force_N
    sizes = ("wire_diameter_mm", "eye_mean_diameter_mm", "gap_mm")
    large = eye_opening_force(**{**eye, **{k: 2 * eye[k] for k in sizes}}).opening_force_N
    assert strong == pytest.approx(2.0 * once, rel=1e-6)
    assert large == pytest.approx(4.0 * once, rel=1e-6)


def test_a_wider_gap_and_a_wider_eye_open_sooner() -> None:
    """Force falls with gap and eye, rises with wire and cold work, never above unrolling."""
    gaps = eye_opening_force(gap_mm=np.linspace(0.0, 2.0, 9), E_MPa=E_MPA, **EYE, **WIRE)
    assert np.all(np.diff(gaps.opening_force_N) < 0.0)
    assert np.all(gaps.opening_force_N <= gaps.unrolling_force_N)
    eyes = eye_opening_force(
        gap_mm=0.5, E_MPa=E_MPA, wire_diameter_mm=2.68,
        eye_mean_diameter_mm=np.linspace(7.0, 14.0, 8), **WIRE,
    )  # fmt: skip
    assert np.all(np.diff(eyes.opening_force_N) < 0.0)
    worked = eye_opening_force(
        gap_mm=0.5, E_MPa=E_MPA, K_MPa=680.0, n=0.26, prestrain=np.array([0.0, 0.5, 1.5]), **EYE
    )
    assert np.all(np.diff(worked.opening_force_N) > 0.0)


def test_a_gap_as_wide_as_the_wire_holds_nothing() -> None:
    """The neighbour slips out unloaded."""
    eye = eye_opening_force(gap_mm=3.0, E_MPa=E_MPA, **EYE, **WIRE)
    assert eye.opening_force_N == 0.0


def test_members_do_not_know_each_other() -> None:
    """An array gives what its members give singly, to the last digits."""
    gaps = np.array([[0.3, 0.5], [0.8, 3.0]])
    together = eye_opening_force(gap_mm=gaps, E_MPa=E_MPA, **EYE, **WIRE)
    assert together.opening_force_N.shape == (2, 2)
    for place, gap in np.ndenumerate(gaps):
        alone = eye_opening_force(gap_mm=float(gap), E_MPa=E_MPA, **EYE, **WIRE)
        assert alone.opening_force_N == pytest.approx(together.opening_force_N[place], rel=1e-9)


def test_the_pull_ends_where_the_wire_passes() -> None:
    """The curve for the picture rises from the gap to the wire diameter."""
    pull = force_against_gap(gap_mm=0.5, E_MPa=E_MPA, **EYE, **WIRE)
    assert pull["gap_mm"][0] == pytest.approx(0.5, abs=1e-6)
    assert pull["gap_mm"][-1] == pytest.approx(2.68, rel=1e-6)
    assert np.all(np.diff(pull["force_N"]) >= 0.0)
    assert np.all(np.diff(pull["gap_mm"]) > 0.0)


def test_a_gap_wider_than_the_eye_is_refused() -> None:
    """No such eye exists."""
    with pytest.raises(ArgumentError, match="less than the eye is wide"):
        eye_opening_force(gap_mm=8.0, E_MPa=E_MPA, **EYE, **WIRE)
