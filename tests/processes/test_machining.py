"""Sawing and grinding."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.machining import (
    centreless_grinding_power,
    centreless_through_feed,
    grinding_specific_energy,
    saw_cutting_time,
)
from linkwright.quantities import UnknownName

few = settings(derandomize=True, max_examples=25, deadline=None)


@few
@given(d=st.floats(1.0, 300.0), rate=st.floats(1.0, 200.0))
def test_sawn_area_is_rate_times_time(d: float, rate: float) -> None:
    """The area in cm2 is that of the bar."""
    cut = saw_cutting_time(bar_diameter_mm=d, cutting_rate_cm2_per_min=rate)
    assert cut.time_min * rate == pytest.approx(np.pi * (d / 10.0) ** 2 / 4.0)


def test_feed_without_tilt_is_none_and_full_tilt_is_the_wheel_speed() -> None:
    """sin(0) and sin(90 degrees)."""
    feed = centreless_through_feed(
        regulating_wheel_diameter_mm=300.0, regulating_wheel_rpm=40.0, tilt_deg=[0.0, 90.0]
    )
    assert feed == pytest.approx([0.0, np.pi * 0.3 * 40.0])


@few
@given(d=st.floats(2.0, 60.0), cut=st.floats(0.001, 0.1), v=st.floats(0.1, 5.0))
def test_removed_volume_is_that_of_the_skin(d: float, cut: float, v: float) -> None:
    """The rate is the ring of half the reduction, within the depth over the diameter."""
    ground = centreless_grinding_power(
        diameter_mm=d, diameter_reduction_mm=cut, feed_m_per_min=v, specific_energy_J_per_mm3=30.0
    )
    ring = np.pi / 4.0 * (d**2 - (d - cut) ** 2) * v * 1000.0 / 60.0
    assert ground.removal_rate_mm3_per_s == pytest.approx(ring, rel=cut / d)
    assert ground.power_kW == pytest.approx(ground.removal_rate_mm3_per_s * 0.030)


@pytest.mark.parametrize("name", ["1020 steel, 110 HB", "low-carbon steel (1020), 110 HB"])
def test_specific_energy_is_found_by_its_names(name: str) -> None:
    """A metal has several names in the table."""
    assert grinding_specific_energy(material=name) == (14.0, 68.0)


def test_unknown_metal_is_refused() -> None:
    """With the names that are known."""
    with pytest.raises(UnknownName, match="titanium"):
        grinding_specific_energy(material="titanium alloy, 200 HB")
