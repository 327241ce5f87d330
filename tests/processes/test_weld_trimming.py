"""What trimming leaves and electrodes mark, against plain geometry and limiting cases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.hot_strength import flow_stress_shida
from linkwright.processes.models.weld_schedule import (
    reject_window,
    time_window,
    water_for_heat,
    whole_cycles,
)
from linkwright.processes.models.weld_trimming import (
    electrode_mark,
    inner_residue,
    inner_width_at_weld,
)
from linkwright.processes.models.weld_upset import bell


@settings(max_examples=20, derandomize=True, deadline=None)
@given(wire=st.floats(4.0, 20.0), over=st.floats(-0.05, 0.2))
def test_residue_narrows_the_link_by_its_height(wire: float, over: float) -> None:
    """What stands inwards at the weld is missing from the inner width; nothing is added."""
    residue = inner_residue(weld_diameter_mm=wire * (1.0 + over), wire_diameter_mm=wire)
    assert residue == pytest.approx(max(over, 0.0) * wire / 2.0, abs=1e-12)
    width = inner_width_at_weld(
        outer_width_mm=3.4 * wire, wire_diameter_mm=wire, inner_residue_mm=residue
    )
    assert width == pytest.approx(1.4 * wire - residue)


def test_mark_carries_the_force_on_its_chord() -> None:
    """The chord of the depth found, times length and three times the flow stress, is the force."""
    d, length, heat, force = 8.0, 8.0, 900.0, 8.0
    depth = electrode_mark(
        wire_diameter_mm=d, electrode_force_kN=force, contact_length_mm=length,
        edge_temperature_degC=heat,
    )  # fmt: skip
    chord = 2.0 * np.sqrt(depth * (d - depth))
    stress = flow_stress_shida(temperature_degC=heat, strain=0.1, strain_rate_per_s=1.0)
    assert chord * length * 3.0 * stress == pytest.approx(force * 1e3, rel=1e-9)
    deeper = electrode_mark(
        wire_diameter_mm=d, electrode_force_kN=force, contact_length_mm=length,
        edge_temperature_degC=np.array([900.0, 1000.0, 1100.0]),
    )  # fmt: skip
    assert (np.diff(deeper) > 0.0).all()


def test_crushing_electrode_marks_half_the_wire() -> None:
    """A force that the whole width cannot carry gives d/2, not an error."""
    assert electrode_mark(
        wire_diameter_mm=8.0, electrode_force_kN=500.0, contact_length_mm=8.0,
        edge_temperature_degC=1100.0,
    ) == pytest.approx(4.0)  # fmt: skip


@pytest.mark.parametrize("mean", [0.1, 0.3, 0.5, 2.0 / 3.0, 0.8])
def test_bell_has_the_mean_that_was_asked_for(mean: float) -> None:
    """Its mean over the length is the one given; level at the faces, zero at the ends."""
    place = (np.arange(20000) + 0.5) / 20000
    course = bell(mean, place)
    assert course.mean() == pytest.approx(mean, abs=2e-4)
    assert bell(mean, np.array([0.0, 1.0])).tolist() == [1.0, 0.0]


def test_bell_is_the_computed_profile() -> None:
    """Between the electrodes of an 8 mm joint the bell is within 20 K of the transient's cells."""
    from linkwright.mechanics.joint_heat import Clamp, JointGeometry, WeldCircuit, heat_joint
    from linkwright.processes.models.weld_setting import weld_metal

    joint = heat_joint(
        JointGeometry(8.0, 8.0, 8.0, 77.6), WeldCircuit(secondary_current_kA=10.7), Clamp(),
        weld_metal(), weld_time_s=0.4,
    )  # fmt: skip
    free = slice(0, joint.free_cells)
    rise = joint.joint_temperature_degC - joint.edge_temperature_degC
    mean = (joint.visible_temperature_degC - joint.edge_temperature_degC) / rise
    course = joint.edge_temperature_degC + rise * bell(mean, joint.position_mm[free] / 4.0)
    np.testing.assert_allclose(course, joint.temperature_degC[free], atol=20.0)


def test_water_takes_up_the_heat() -> None:
    """60 kJ a minute warm one litre of water a minute by about 14.4 K."""
    flow = water_for_heat(heat_kJ=1.5, pieces_per_minute=40.0, rise_K=14.38)
    assert flow == pytest.approx(1.0, rel=0.001)


def test_windows_close_where_a_boundary_is_passed() -> None:
    """Outside the weld window the monitor lets nothing through; inside at most what is kept."""
    limits = {"above_percent": 7.0, "greatest_percent": 5.0}
    assert reject_window(below_percent=-1.0, **limits) == 0.0
    assert reject_window(below_percent=40.0, **{**limits, "above_percent": 40.0}) == 5.0
    assert time_window(current_percent=0.0) == 0.0
    assert whole_cycles(time_s=0.001, frequency_Hz=50.0) == 1.0
