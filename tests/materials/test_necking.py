"""Considère's condition, cold work and fracture."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.flow_curves import flow_stress_ludwik, flow_stress_voce
from linkwright.materials.necking import (
    considere_hollomon,
    considere_ludwik,
    considere_swift,
    considere_voce,
    prestrained_swift,
    true_fracture_stress,
)

few = settings(derandomize=True, max_examples=25, deadline=None)
strength = st.floats(100.0, 3000.0)
exponent = st.floats(0.02, 0.9)


def greatest_load(curve, upper: float) -> float:
    """Greatest engineering stress of a curve by sampling."""
    strain = np.linspace(0.0, upper, 200_001)
    return float(np.max(curve(strain) * np.exp(-strain)))


@few
@given(s0=st.floats(0.0, 800.0), K=strength, n=exponent)
def test_ludwik_necks_where_the_load_is_greatest(s0: float, K: float, n: float) -> None:
    """The tensile strength of the root is the greatest engineering stress of the curve."""
    necked = considere_ludwik(yield_MPa=s0, K_MPa=K, n=n)
    sampled = greatest_load(
        lambda e: flow_stress_ludwik(yield_MPa=s0, K_MPa=K, n=n, true_strain=e), 1.0
    )
    assert necked.tensile_strength_MPa == pytest.approx(sampled, rel=1e-5)


@few
@given(s0=st.floats(100.0, 900.0), more=st.floats(1.0, 800.0), c=st.floats(0.5, 40.0))
def test_voce_necks_where_the_load_is_greatest(s0: float, more: float, c: float) -> None:
    """Also when hardening is so small that it necks at yield."""
    constants = {
        "saturation_stress_MPa": s0 + more, "initial_yield_MPa": s0, "rate_constant": c,
    }  # fmt: skip
    necked = considere_voce(**constants)
    sampled = greatest_load(lambda e: flow_stress_voce(**constants, true_strain=e), 3.0)
    assert necked.tensile_strength_MPa == pytest.approx(sampled, rel=1e-6)


@few
@given(K=strength, n=exponent)
def test_ludwik_without_yield_and_swift_without_prestrain_are_hollomon(K: float, n: float) -> None:
    """The three curves meet in one."""
    plain = considere_hollomon(K_MPa=K, n=n)
    swift = considere_swift(K_MPa=K, prestrain=0.0, n=n)
    ludwik = considere_ludwik(yield_MPa=0.0, K_MPa=K, n=n)
    assert swift.tensile_strength_MPa == pytest.approx(plain.tensile_strength_MPa)
    assert ludwik.tensile_strength_MPa == pytest.approx(plain.tensile_strength_MPa)
    assert ludwik.necking_true_strain == pytest.approx(n, rel=1e-6)


@few
@given(K=strength, n=st.floats(0.02, 0.5), eps0=st.floats(0.0, 0.4), eps=st.floats(0.0, 1.0))
def test_cold_work_raises_yield_and_strength_and_eats_elongation(
    K: float, n: float, eps0: float, eps: float
) -> None:
    """Drawing never softens and never adds uniform elongation."""
    before = considere_swift(K_MPa=K, prestrain=eps0, n=n)
    after = prestrained_swift(K_MPa=K, n=n, prestrain=eps0, true_strain=eps)
    assert after.prestrain == pytest.approx(eps0 + eps)
    assert after.yield_MPa >= before.initial_yield_MPa
    assert after.tensile_strength_MPa >= before.tensile_strength_MPa * (1.0 - 1e-12)
    assert after.uniform_elongation <= before.uniform_elongation
    assert after.tensile_strength_MPa >= after.yield_MPa * (1.0 - 1e-12)


def test_cold_work_in_two_steps_is_cold_work_in_one() -> None:
    """Strains of successive passes add."""
    first = prestrained_swift(K_MPa=700.0, n=0.2, prestrain=0.01, true_strain=0.1)
    twice = prestrained_swift(K_MPa=700.0, n=0.2, prestrain=first.prestrain, true_strain=0.15)
    once = prestrained_swift(K_MPa=700.0, n=0.2, prestrain=0.01, true_strain=0.25)
    assert twice == pytest.approx(once)


@few
@given(d0=st.floats(2.0, 20.0), share=st.floats(0.3, 0.99), stress=st.floats(1.0, 2000.0))
def test_fracture_keeps_force_and_volume(d0: float, share: float, stress: float) -> None:
    """True stress times broken section is the force; the strain matches the reduction."""
    broken = true_fracture_stress(
        start_diameter_mm=d0, fracture_diameter_mm=share * d0,
        engineering_fracture_stress_MPa=stress,
    )  # fmt: skip
    assert broken.true_fracture_stress_MPa * share**2 == pytest.approx(stress)
    lost = broken.reduction_of_area_percent / 100.0
    assert np.exp(-broken.true_fracture_strain) == pytest.approx(1.0 - lost)
