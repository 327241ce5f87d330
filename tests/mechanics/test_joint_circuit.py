"""The secondary circuit: division of the current, skin effect, one source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from mechanics.joints import LINK, amperes
from scipy.special import jv

from linkwright.mechanics.joint_circuit import Source, WeldCircuit, back_impedance, divide
from linkwright.mechanics.joint_heat import Clamp, JointMetal, heat_joint
from linkwright.quantities import ArgumentError


def test_voltage_driven_current_obeys_the_loop(steel: JointMetal) -> None:
    """Behind a fixed voltage the current falls as the joint's resistance rises."""
    joint = heat_joint(LINK, WeldCircuit(secondary_voltage_V=2.6), Clamp(), steel, weld_time_s=0.4)
    np.testing.assert_allclose(joint.history.secondary_voltage_V, 2.6, rtol=1e-12)
    current = joint.history.secondary_current_kA[:, 0]
    assert current[-1] < 0.9 * current[0]
    rising = np.diff(joint.history.joint_resistance_microohm[5:, 0]) > 0.0
    assert (np.diff(current[5:])[rising] < 0.0).all()


def test_division_of_current_follows_complex_impedances() -> None:
    """Currents, power and apparent power equal those reckoned with complex numbers."""
    rng = np.random.default_rng(7)
    joint, back, reactance, loop, loop_x = rng.uniform(20e-6, 400e-6, (5, 20))
    source = Source(
        current=np.full(20, np.nan), voltage=np.full(20, 3.0), resistance=loop,
        reactance=loop_x, pulsation=np.zeros(20), electrode=np.zeros(20),
    )  # fmt: skip
    got = divide(source, joint, back, reactance)
    behind = back + 1j * reactance
    link = joint * behind / (joint + behind)
    total = 3.0 / (loop + 1j * loop_x + link)
    np.testing.assert_allclose(got.total, abs(total), rtol=1e-12)
    np.testing.assert_allclose(got.joint, abs(total * link / joint), rtol=1e-12)
    np.testing.assert_allclose(got.back, abs(total * link / behind), rtol=1e-12)
    np.testing.assert_allclose(got.apparent, 3.0 * abs(total), rtol=1e-12)
    np.testing.assert_allclose(got.power, abs(total) ** 2 * (loop + link.real), rtol=1e-12)


def test_skin_effect_follows_the_bessel_solution() -> None:
    """The back's resistance is within 1 % of the exact one of a round wire up to xs = 2.8."""
    diameter, resistivity, current = 8e-3, 2e-7, 1e9  # field so high that mu_r is 1
    pulsation = np.linspace(10.0, 7.5e4, 15)
    got, _ = back_impedance(
        resistivity_ohm_m=np.full(15, resistivity), current_A=np.full(15, current),
        length_m=np.ones(15), diameter_m=np.full(15, diameter),
        loop_inductance_H=np.zeros(15), pulsation_per_s=pulsation,
    )  # fmt: skip
    plain = resistivity / (np.pi / 4.0 * diameter**2)
    assert np.sqrt(4e-7 * pulsation[-1] / plain) < 2.8
    wave = np.sqrt(-1j * pulsation * 4e-7 * np.pi / resistivity) * diameter / 2.0
    exact = (wave * jv(0, wave) / (2.0 * jv(1, wave))).real
    assert exact[-1] > 1.2
    np.testing.assert_allclose(got / plain, exact, rtol=0.01)


def test_circuit_wants_one_source() -> None:
    """Current and voltage together, or neither, are refused."""
    with pytest.raises(ArgumentError, match="secondary_current_kA"):
        WeldCircuit()
    with pytest.raises(ArgumentError):
        replace(amperes(1.0), secondary_voltage_V=3.0)
