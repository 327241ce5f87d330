"""J2 plasticity at large strain: tension, rotation, unloading, work."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from solid_bodies import STEEL

from linkwright.mechanics.solid_element import as_matrix, as_six
from linkwright.mechanics.solid_plasticity import (
    flow_stress,
    fresh_metal,
    respond,
    work_of,
)


def answer(gradient, metal):
    return respond(STEEL, metal, gradient, np.linalg.inv(gradient))


def stretched(along, across):
    return np.diag([along, across, across])[None]


def in_tension(along, metal):
    """Response with the lateral stress brought to zero by bisection."""
    low, high = 0.7, 1.3
    for _ in range(60):
        middle = (low + high) / 2
        response = answer(stretched(along, middle), metal)
        low, high = (middle, high) if response.stress[0, 1] < 0 else (low, middle)
    return response, middle


def test_tension_follows_the_flow_curve():
    """Kirchhoff stress is K (e0 + p)^n with p the logarithmic strain less its elastic part."""
    response, across = in_tension(1.08, fresh_metal((1,)))
    stress, strain = response.stress[0, 0], response.metal.plastic_strain[0]
    assert strain == pytest.approx(np.log(1.08) - stress / 205e3, rel=1e-9)
    assert stress == pytest.approx(float(flow_stress(STEEL, strain)), rel=1e-9)
    # plastic flow keeps the volume, the elastic part does not
    assert np.log(1.08 * across**2) == pytest.approx((1 - 2 * 0.3) * stress / 205e3, rel=1e-6)
    assert np.linalg.det(response.metal.metric)[0] == pytest.approx(1.0, rel=1e-12)


def test_unloading_is_elastic():
    """Going back by a third of a per cent falls with Young's modulus and adds no flow."""
    there, _ = in_tension(1.08, fresh_metal((1,)))
    back, _ = in_tension(1.08 * np.exp(-0.003), there.metal)
    fall = there.stress[0, 0] - back.stress[0, 0]
    assert fall == pytest.approx(205e3 * 0.003, rel=1e-9)
    np.testing.assert_array_equal(back.metal.plastic_strain, there.metal.plastic_strain)


def test_a_rotation_turns_the_stress_with_it():
    """Objectivity: R F gives R tau R^T, the same memory and the same energy."""
    rng = np.random.default_rng(0)
    gradient = np.eye(3)[None] + rng.normal(size=(5, 3, 3)) * 0.05
    turn = Rotation.random(5, rng=rng).as_matrix()
    plain, turned = answer(gradient, fresh_metal((5,))), answer(turn @ gradient, fresh_metal((5,)))
    expected = turn @ as_matrix(plain.stress) @ turn.transpose(0, 2, 1)
    np.testing.assert_allclose(turned.stress, as_six(expected), rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(turned.metal.metric, plain.metal.metric, rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(turned.elastic, plain.elastic, rtol=1e-9)


def test_small_strains_are_linear_elastic():
    """Moduli at rest are those of Hooke's law."""
    moduli = answer(np.eye(3)[None], fresh_metal((1,))).moduli()[0]
    shear, bulk = 205e3 / 2.6, 205e3 / 1.2
    expected = np.zeros((6, 6))
    expected[:3, :3] = bulk - 2 / 3 * shear
    expected += np.diag([2 * shear] * 3 + [shear] * 3)
    np.testing.assert_allclose(moduli, expected, atol=1e-6 * bulk)


def test_plastic_work_is_the_area_under_the_flow_curve():
    """Closed form against the trapezoidal rule on a fine grid."""
    strain = np.linspace(0.0, 0.3, 200001)
    area = np.trapezoid(flow_stress(STEEL, strain), strain)
    assert float(work_of(STEEL, np.array(0.3))) == pytest.approx(area, rel=1e-6)


def test_equal_stretches_give_the_moduli_of_nearly_equal_ones():
    """The limit of coinciding principal stretches is continuous."""
    metal = fresh_metal((1,))
    equal = answer(stretched(1.05, 0.97), metal).moduli()
    near = answer(np.diag([1.05, 0.97, 0.97 + 1e-7])[None], metal).moduli()
    np.testing.assert_allclose(equal, near, rtol=1e-4, atol=1.0)
