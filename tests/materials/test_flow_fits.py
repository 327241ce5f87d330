"""Constants fitted to test values give those values back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.flow_curves import flow_stress_hollomon
from linkwright.materials.flow_fits import (
    exponent_from_point,
    hollomon_from_tensile,
    hollomon_from_two_points,
    swift_from_tensile,
    swift_from_yield_and_tensile,
)
from linkwright.materials.necking import considere_hollomon, considere_swift
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=40, deadline=None)
strength = st.floats(200.0, 2500.0)


@few
@given(Rm=strength, n=st.floats(0.0, 0.6))
def test_hollomon_fit_gives_the_tensile_strength_back(Rm: float, n: float) -> None:
    """K from Rm and n, then Rm from K and n."""
    K = hollomon_from_tensile(tensile_strength_MPa=Rm, n=n)
    assert considere_hollomon(K_MPa=K, n=n).tensile_strength_MPa == pytest.approx(Rm)


@few
@given(Rm=strength, n=st.floats(0.02, 0.5), eps0=st.floats(0.0, 1.0))
def test_swift_fit_gives_the_tensile_strength_back(Rm: float, n: float, eps0: float) -> None:
    """Also for a metal worked beyond its uniform strain."""
    K = swift_from_tensile(tensile_strength_MPa=Rm, n=n, prestrain=eps0)
    necked = considere_swift(K_MPa=K, prestrain=eps0, n=n)
    assert necked.tensile_strength_MPa == pytest.approx(Rm)


@few
@given(Rm=strength, share=st.floats(0.3, 1.0), n=st.floats(0.03, 0.4))
def test_swift_fit_gives_yield_and_tensile_back(Rm: float, share: float, n: float) -> None:
    """The pair (yield, tensile) is met for every yield ratio, up to 1."""
    fit = swift_from_yield_and_tensile(yield_MPa=share * Rm, tensile_strength_MPa=Rm, n=n)
    necked = considere_swift(K_MPa=fit.K_MPa, prestrain=fit.prestrain, n=n)
    assert 0.0 <= fit.prestrain <= n
    assert necked.tensile_strength_MPa == pytest.approx(Rm, rel=1e-9)
    assert necked.initial_yield_MPa == pytest.approx(share * Rm, rel=1e-6)


def test_yield_above_tensile_is_refused() -> None:
    """No curve yields above its tensile strength."""
    with pytest.raises(ArgumentError, match="yield_MPa"):
        swift_from_yield_and_tensile(yield_MPa=501.0, tensile_strength_MPa=500.0, n=0.1)


@few
@given(K=strength, n=st.floats(0.02, 0.6), eps=st.floats(0.01, 0.9))
def test_points_of_a_curve_give_its_constants_back(K: float, n: float, eps: float) -> None:
    """One point with K gives n, two points give both."""
    first = flow_stress_hollomon(K_MPa=K, n=n, true_strain=eps)
    second = flow_stress_hollomon(K_MPa=K, n=n, true_strain=2.0 * eps)
    assert exponent_from_point(K_MPa=K, true_stress_MPa=first, true_strain=eps) == pytest.approx(
        n, rel=1e-6
    )
    fit = hollomon_from_two_points(
        true_stress_1_MPa=first, true_strain_1=eps,
        true_stress_2_MPa=second, true_strain_2=2.0 * eps,
    )  # fmt: skip
    assert fit == pytest.approx((K, n), rel=1e-6)


def test_points_that_say_nothing_are_refused() -> None:
    """A strain of 1 does not tell n, and two equal strains do not tell a slope."""
    with pytest.raises(ArgumentError):
        exponent_from_point(K_MPa=500.0, true_stress_MPa=500.0, true_strain=1.0)
    with pytest.raises(ArgumentError):
        hollomon_from_two_points(
            true_stress_1_MPa=300.0, true_strain_1=0.1, true_stress_2_MPa=400.0, true_strain_2=0.1
        )
