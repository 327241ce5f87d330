"""Windows of embrittlement and how prone a steel is."""

from __future__ import annotations

import numpy as np
import pytest

from linkwright.materials.embrittlement import (
    distance_outside_window,
    embrittlement_factor_watanabe,
    embrittling_hold,
)


def test_a_temper_is_outside_on_either_side_of_the_window() -> None:
    """Below 250 and above 400 °C the distance is positive, inside it is negative."""
    found = distance_outside_window(temperature_degC=np.array([200.0, 250.0, 325.0, 400.0, 450.0]))
    assert found.tolist() == [50.0, 0.0, -75.0, 0.0, 50.0]


def test_steel_of_an_example_seen_in_public() -> None:
    """0.7 Mn, 0.7 Si, 0.02 P, 0.0004 Sn: J = 285.6 (a public worked example, J by Watanabe)."""
    found = embrittlement_factor_watanabe(
        Mn_percent=0.7, Si_percent=0.7, P_percent=0.02, Sn_percent=0.0004
    )
    assert found == pytest.approx(285.6, abs=0.05)


def test_a_hold_counts_inside_the_window_only() -> None:
    """Ten minutes at 500 °C count, at 620 °C only the cooling does."""
    both = embrittling_hold(
        temperature_degC=np.array([500.0, 620.0]), hold_min=10.0, cooling_time_s=90.0
    )
    assert both.tolist() == [11.5, 1.5]
