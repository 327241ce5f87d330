"""The elastic-plastic round section against closed forms and its own derivatives."""

import numpy as np
import pytest

from linkwright.mechanics.section import (
    Bar,
    averaging,
    fresh_state,
    respond,
    round_fibres,
    settled,
)


def bar_of(
    curvature: float, elastic: float, prestrain: float, exponent: float, count: int = 9
) -> Bar:
    fibres = round_fibres(count)
    bend = np.full((1, 2), curvature)
    return Bar(
        fibres, bend, np.full((1, 1), elastic), np.full((1, 1), prestrain),
        np.full((1, 1), exponent), averaging(np.full((1, 2), 0.3), 0.25),
        1 + fibres.height * bend,
    )  # fmt: skip


def strains(strain: float, shear: float, bend: float) -> tuple[np.ndarray, ...]:
    return tuple(np.full((1, 2), value) for value in (strain, shear, bend))


def test_elastic_curved_section_follows_winkler_bach():
    """A small bend of a curved bar needs the moment E A R e, with e of the circle.

    S. Timoshenko, Strength of Materials, Part II: r = (R + sqrt(R^2 - d^2/4))/2, e = R - r; with
    no normal force the strain is M/(E A R) and the bend M/(E A R e).
    """
    radius, modulus = 1.175, 140.0
    bar = bar_of(1 / radius, modulus, 0.005, 0.06)
    area = np.pi / 4
    offset = radius - (radius + np.sqrt(radius**2 - 0.25)) / 2
    moment = 1e-4
    strain, bend = (
        moment / (modulus * area * radius),
        moment / (modulus * area * radius * offset),
    )
    got = respond(bar, fresh_state(bar), *strains(strain, 0.0, bend)).resultants[0, 0]
    assert got[2] == pytest.approx(moment, rel=2e-3)
    assert abs(got[0]) < 1e-3 * moment


@pytest.mark.parametrize(("count", "within"), [(9, 0.03), (61, 0.002)])
def test_fully_plastic_moment_of_a_circle(count, within):
    """Without hardening a strongly bent straight bar carries d^3/6 times the yield stress."""
    bar = bar_of(0.0, 1e4, 0.005, 1e-6, count)
    got = respond(bar, fresh_state(bar), *strains(0.0, 0.0, 0.4)).resultants[0, 0, 2]
    assert got == pytest.approx(1 / 6, rel=within)


def test_normal_force_and_moment_of_a_plastic_circle():
    """Neutral axis at sin a of the radius: N = Y r^2 (2a + sin 2a), M = 4/3 Y r^3 cos^3 a."""
    bar = bar_of(0.0, 1e5, 0.005, 1e-6, 401)
    angle = 0.5
    bend = 0.1
    strain = 0.5 * np.sin(angle) * bend
    got = respond(bar, fresh_state(bar), *strains(strain, 0.0, bend)).resultants[0, 0]
    assert got[0] == pytest.approx(0.25 * (2 * angle + np.sin(2 * angle)), rel=0.01)
    assert got[2] == pytest.approx(4 / 3 * 0.125 * np.cos(angle) ** 3, rel=0.01)


def test_plastic_shear_is_the_area_over_root_three():
    """J2: a bar in pure shear flows at 1/sqrt(3) of the tensile yield stress."""
    bar = bar_of(0.0, 140.0, 0.005, 1e-6)
    got = respond(bar, fresh_state(bar), *strains(0.0, 0.1, 0.0)).resultants[0, 0, 1]
    assert got == pytest.approx(np.pi / 4 / np.sqrt(3), rel=1e-3)


def test_hardening_follows_the_curve():
    """Pulled by a logarithmic strain, the stress is K (e0 + p)^n with p = strain - stress/E."""
    bar = bar_of(0.0, 140.0, 0.005, 0.06)
    strain = 0.05
    trial = respond(bar, fresh_state(bar), *strains(np.exp(strain) - 1, 0.0, 0.0)).trial
    stress = float(trial.stress[4, 0, 0])
    assert stress == pytest.approx((0.005 + strain - stress / 140.0) ** 0.06, rel=1e-9)


def test_unloading_is_elastic():
    """After flow a small step back changes the stress by Young's modulus."""
    bar = bar_of(0.0, 140.0, 0.005, 0.06)
    first = respond(bar, fresh_state(bar), *strains(0.03, 0.0, 0.0))
    state = settled(bar, fresh_state(bar), first.trial, np.zeros((1, 2)), np.zeros((1, 2)))
    back = respond(bar, state, *strains(0.03 - 1e-4, 0.0, 0.0)).trial
    drop = float((first.trial.stress - back.stress)[0, 0, 0])
    assert drop == pytest.approx(140.0 * np.log(1.03 / (1.03 - 1e-4)), rel=1e-9)


def test_pressure_from_inside_lowers_the_hoop_tension_that_flows():
    """With radial stress r a fibre flows at s^2 - s r + r^2 = Y^2."""
    bar = bar_of(0.8, 140.0, 0.005, 1e-6)
    state = fresh_state(bar)
    first = respond(bar, state, *strains(0.0, 0.0, 0.0))
    state = settled(bar, state, first.trial, np.zeros((1, 2)), np.full((1, 2), 0.2))
    flowing = respond(bar, state, *strains(0.2, 0.0, 0.0)).trial
    radial = state.radial_stress
    hoop = flowing.stress + radial / 2
    assert np.all(radial[:, 0, 0] < 0)
    np.testing.assert_allclose(hoop**2 - hoop * radial + radial**2, 1.0, rtol=1e-5)


@pytest.mark.parametrize("point", [(0.0008, 0.0005, 0.002), (0.02, 0.01, 0.2), (-0.01, 0.03, -0.3)])
def test_tangent_is_the_derivative(point):
    """The consistent tangent agrees with central differences of the resultants."""
    bar = bar_of(0.85, 140.0, 0.005, 0.06)
    state = fresh_state(bar)
    first = respond(bar, state, *strains(0.001, 0.0, 0.01))
    state = settled(bar, state, first.trial, np.full((1, 2), 0.01), np.full((1, 2), 0.1))
    tangent = respond(bar, state, *strains(*point)).tangent[0, 0]
    step = 1e-7
    for column in range(3):
        ends = []
        for sign in (1, -1):
            moved = list(point)
            moved[column] += sign * step
            ends.append(respond(bar, state, *strains(*moved)).resultants[0, 0])
        slope = (ends[0] - ends[1]) / (2 * step)
        np.testing.assert_allclose(tangent[:, column], slope, rtol=2e-4, atol=2e-3)


def test_averaging_keeps_a_constant_and_a_mirror_image():
    """Averages of a constant are the constant; ends are planes of symmetry."""
    rows = averaging(np.array([[0.1, 0.2, 0.3, 0.1]]), 0.25)
    np.testing.assert_allclose(rows.sum(axis=2), 1.0)
    assert np.all(rows > 0)
