"""Quench severity by Grossmann."""

import numpy as np
import pytest

from linkwright.mechanics.quench_severity import (
    heat_transfer_of_severity,
    ideal_diameter_of_bar,
    quench_severity,
)
from linkwright.quantities import UnknownName


def test_more_severe_media_stand_in_order() -> None:
    """Still air, oil, water and brine rise in severity."""
    media = [f"{name}, no agitation" for name in ("air", "oil", "water", "brine")]
    found = quench_severity(medium=media)
    assert (np.diff(found.H_low_per_in) > 0).all()
    assert (found.H_low_per_in <= found.H_high_per_in).all()


def test_unknown_medium_is_answered_with_the_nearest() -> None:
    """A misspelt medium raises an error with the right spelling."""
    with pytest.raises(UnknownName, match="oil, good agitation"):
        quench_severity(medium="oil, god agitation")


def test_ideal_diameter_falls_to_the_bar_with_severity() -> None:
    """The ideal diameter is above that of the bar and nears it for an immense severity."""
    found = ideal_diameter_of_bar(diameter_in=1.0, H_per_in=np.array([0.2, 1.0, 5.0, 100.0]))
    assert (np.diff(found.ideal_diameter_in) < 0).all()
    assert found.ideal_diameter_in[-1] == pytest.approx(1.0, abs=0.02)
    assert found.ideal_diameter_in[-1] > 1.0


def test_same_biot_number_scales_with_the_bar() -> None:
    """Doubling the bar and halving the severity doubles the ideal diameter."""
    small = ideal_diameter_of_bar(diameter_in=1.0, H_per_in=1.0).ideal_diameter_in
    large = ideal_diameter_of_bar(diameter_in=2.0, H_per_in=0.5).ideal_diameter_in
    assert large == pytest.approx(2.0 * small)


def test_coefficient_is_proportional_to_severity() -> None:
    """The coefficient is 2 k H."""
    assert heat_transfer_of_severity(H_per_in=1.0, conductivity_W_per_mK=25.4) == pytest.approx(
        2000
    )
