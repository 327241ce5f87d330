"""The section of two metals against closed forms and limiting cases."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkwright.mechanics.cased_section import CasedFibres, LinkCase, cased_fibres
from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.section import (
    Bar,
    averaging,
    fresh_state,
    respond,
    settled,
)
from linkwright.quantities import ArgumentError

SHARP = ((0.0, 1.0, 1.0 + 1e-9), (1.0, 1.0, 0.0))
"""A case of even strength down to its depth, and none below."""
LINK = LinkGeometry(8.0, 24.0, 26.4)
CORE = SwiftCurve.of_strength(1400.0, 0.06, 0.005)
EXPONENT = 0.06


def made(depth: float, ratio: float, crack: float = np.inf, shape: Any = SHARP) -> CasedFibres:
    return cased_fibres(np.array([depth]), np.array([ratio]), np.array([crack]), *shape)


def bar_of(cased: CasedFibres, elastic: float = 1e4, exponent: float = EXPONENT) -> Bar:
    """A straight bar of two stations."""
    one = np.ones((1, 1))
    return Bar(
        cased.fibres, np.zeros((1, 2)), elastic * one, 0.005 * one, exponent * one,
        averaging(np.full((1, 2), 0.3), 0.25), 1.0 + 0.0 * cased.fibres.height * np.ones((1, 2)),
        cased.strength, cased.crack_strain,
    )  # fmt: skip


def resultants(bar: Bar, strain: float, bend: float = 0.0) -> np.ndarray:
    at = [np.full((1, 2), value) for value in (strain, 0.0, bend)]
    return np.asarray(respond(bar, fresh_state(bar), *at).resultants[0, 0])


@pytest.mark.parametrize("depth", [0.03, 0.1, 0.25, 0.4, 0.5])
def test_area_and_second_moment_are_those_of_the_circle(depth: float) -> None:
    """pi/4 and pi/64; those of the case alone are the circle's less the inner one's."""
    fibres, strength, _ = made(depth, 2.0)
    weight, height = fibres.weight, fibres.height
    assert weight.sum() == pytest.approx(np.pi / 4, rel=1e-12)
    assert (weight * height**2).sum() == pytest.approx(np.pi / 64, rel=1e-12)
    assert np.all(weight >= 0.0)
    inner = 1.0 - 2.0 * depth
    case = weight * (strength > 1.5)
    assert case.sum() == pytest.approx(np.pi / 4 * (1 - inner**2), rel=1e-12)
    assert (case * height**2).sum() == pytest.approx(np.pi / 64 * (1 - inner**4), rel=1e-12)


def flow_force(strength: float, elastic: float, strain: float) -> float:
    """Stress of a bar of one metal at a logarithmic strain: K (e0 + e - s/E)^n by iteration."""
    stress = strength
    for _ in range(200):
        stress = strength * (0.005 + strain - stress / elastic) ** EXPONENT
    return float(stress)


@pytest.mark.parametrize(("depth", "ratio"), [(0.04, 1.35), (0.2, 2.0), (0.5, 1.5)])
def test_pulled_straight_it_is_the_rule_of_mixtures(depth: float, ratio: float) -> None:
    """N = A_core s_core + A_case s_case at the same strain (composite bar), to 1e-9."""
    strain = 0.02
    got = resultants(bar_of(made(depth, ratio)), np.expm1(strain))[0]
    inner = np.pi / 4 * (1 - 2 * depth) ** 2
    asked = inner * flow_force(1.0, 1e4, strain) + (np.pi / 4 - inner) * flow_force(
        ratio, 1e4, strain
    )
    # the return is two steps of Newton, which leaves 1e-8 of the first step from rest
    assert got == pytest.approx(asked, rel=1e-6)


@pytest.mark.parametrize("ratio", [1.0, 1.6])
def test_a_case_of_the_whole_depth_is_that_metal(ratio: float) -> None:
    """In tension with bending, as a bar whose curve is the ratio times as high; no case: one."""
    whole, plain = made(0.5, ratio), made(0.5, 1.0)
    cased = resultants(bar_of(whole), 0.01, 0.06)
    # K, elastic over K and the result all scale with the strength
    metal = ratio * resultants(bar_of(plain, elastic=1e4 / ratio), 0.01, 0.06)
    np.testing.assert_allclose(cased, metal, rtol=1e-9, atol=1e-12)


def test_the_fully_plastic_moment_is_that_of_core_and_ring() -> None:
    """M = (4/3) Y [k (R^3 - r^3) + r^3] without hardening: limit load of a composite beam."""
    depth, ratio = 0.1, 1.5
    bar = bar_of(made(depth, ratio), elastic=1e5, exponent=1e-6)
    got = resultants(bar, 0.0, 0.4)[2]
    inner = 0.5 - depth
    asked = 4 / 3 * (ratio * (0.125 - inner**3) + inner**3)
    assert got == pytest.approx(asked, rel=0.02)


def test_a_case_that_has_cracked_bears_nothing() -> None:
    """One step beyond its crack strain is accepted; what is left is the core's force."""
    depth = 0.05
    bar = bar_of(made(depth, 1.5, crack=0.015))
    state = fresh_state(bar)
    zero = np.zeros((1, 2))
    before = np.full((1, 2), np.expm1(0.014))
    trial = respond(bar, state, before, zero, zero)
    whole = settled(bar, state, trial.trial, zero, zero)
    assert np.all(whole.whole == 1.0)
    trial = respond(bar, whole, np.full((1, 2), np.expm1(0.02)), zero, zero)
    broken = settled(bar, whole, trial.trial, zero, zero)
    case = (made(depth, 1.5).strength > 1.2)[:, 0, 0]
    assert np.all(broken.whole[case] == 0.0)
    assert np.all(broken.whole[~case] == 1.0)
    area = np.pi / 4 * (1 - 2 * depth) ** 2
    assert broken.weight.sum(axis=0)[0, 0] == pytest.approx(area * np.exp(-0.02), rel=2e-2)


def test_a_link_without_case_is_the_link_of_one_metal() -> None:
    """Ratio 1 on other fibres: force within 0.3 %, set within 1 %."""
    even = LinkCase(0.3, 1.0)
    force = pull_link(LINK, CORE).peak.force_kN
    assert pull_link(LINK, CORE, case=even).peak.force_kN == pytest.approx(force, rel=3e-3)
    plain, cased = (prove_link(LINK, CORE, 50.3, case=one) for one in (None, even))
    assert cased.permanent_set_mm == pytest.approx(plain.permanent_set_mm, rel=0.01)


def test_a_case_carries_until_it_cracks() -> None:
    """A harder case, a greater force and a smaller strain; one that cracks, less than its core."""
    case = LinkCase(0.28, np.array([1.2, 1.35, 1.5]))
    force = np.asarray(pull_link(LINK, CORE, case=case).peak.force_kN)
    strain = np.asarray(prove_link(LINK, CORE, 50.3, case=case).greatest_strain)
    assert np.all(np.diff(force) > 0.0)
    assert np.all(np.diff(strain) < 0.0)
    cracked = pull_link(LINK, CORE, case=LinkCase(0.28, 1.35, 0.015)).peak.force_kN
    core = pull_link(LINK, CORE).peak.force_kN
    inner = (1.0 - 2.0 * 0.28 / 8.0) ** 2
    # compressed parts of the case bear on, so it is more than the core's share of the area
    assert inner * core < cracked < core


def test_a_cased_member_alone_is_its_place_in_the_ensemble() -> None:
    """To 1e-9, with cracks."""
    depths, ratios = np.array([0.2, 0.28, 0.4]), np.array([1.5, 1.3, 1.4])
    cracks = np.array([0.01, 0.02, 0.03])
    together = pull_link(LINK, CORE, case=LinkCase(depths, ratios, cracks), steps=30)
    for index in range(3):
        one = LinkCase(float(depths[index]), float(ratios[index]), float(cracks[index]))
        alone = pull_link(LINK, CORE, case=one, steps=30)
        np.testing.assert_allclose(together.force_kN[:, index], alone.force_kN, rtol=1e-9)


def test_a_depth_beyond_the_wire_is_refused() -> None:
    """Half the wire is the most."""
    with pytest.raises(ArgumentError, match="case_depth_mm"):
        made(0.51, 1.2)
