"""Tables of the metal and the resistance of the pressed faces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.joint_heat import JointMetal
from linkwright.mechanics.joint_metal import LORENZ, face_resistance
from linkwright.quantities import ArgumentError


def test_contact_gives_way_to_heat_and_force(steel: JointMetal) -> None:
    """Hotter faces and more force leave less contact resistance, and none when they yield."""

    def faces(face: float, force: float) -> float:
        return float(
            face_resistance(
                steel,
                face_degC=np.array([face]),
                resistivity_ohm_m=np.array([1e-6]),
                current_A=np.array([100.0]),
                force_N=np.array([force]),
                area_m2=np.array([5e-5]),
                spots=np.array([10.0]),
                start_degC=np.array([face]),
                rounds=12,
            ).resistance_ohm[0]
        )

    by_heat = [faces(face, 2000.0) for face in (20.0, 600.0, 1000.0, 1200.0)]
    by_force = [faces(600.0, force) for force in (500.0, 1000.0, 2000.0, 4000.0)]
    assert (np.diff(by_heat) < 0.0).all()
    assert (np.diff(by_force) < 0.0).all()
    assert faces(1300.0, 5000.0) == 0.0


@settings(max_examples=20, derandomize=True, deadline=None)
@given(current=st.floats(100.0, 9000.0), face=st.floats(20.0, 900.0), spots=st.floats(1.0, 500.0))
def test_spot_temperature_obeys_the_voltage_relation(
    steel: JointMetal, current: float, face: float, spots: float
) -> None:
    """Ts^2 - Tf^2 = (I R)^2/(4 L) holds between face, spot and the resistance given."""
    metal = steel
    contact = face_resistance(
        metal,
        face_degC=np.array([face]),
        resistivity_ohm_m=np.array([4e-7]),
        current_A=np.array([current]),
        force_N=np.array([2500.0]),
        area_m2=np.array([5e-5]),
        spots=np.array([spots]),
        start_degC=np.array([face]),
        rounds=30,
    )
    spot = contact.spot_degC[0] + 273.15
    left = spot**2 - (face + 273.15) ** 2
    right = (current * contact.resistance_ohm[0]) ** 2 / (4.0 * LORENZ)
    assert left == pytest.approx(right, rel=1e-4, abs=1.0)


def test_curves_that_fall_or_differ_in_length_are_refused() -> None:
    """Temperatures must rise and every curve must have a value at each."""
    good = {
        "temperature_degC": [0.0, 1000.0],
        "enthalpy_kJ_per_kg": [0.0, 600.0],
        "conductivity_W_per_mK": [50.0, 27.0],
        "resistivity_microohm_m": [0.2, 1.0],
        "flow_stress_MPa": [500.0, 50.0],
    }
    JointMetal.from_curves(**good)
    for key, value in [
        ("temperature_degC", [1000.0, 0.0]),
        ("enthalpy_kJ_per_kg", [0.0, -1.0]),
        ("flow_stress_MPa", [500.0]),
        ("resistivity_microohm_m", [0.2, 0.0]),
    ]:
        with pytest.raises(ArgumentError, match=key):
            JointMetal.from_curves(**{**good, key: value})
