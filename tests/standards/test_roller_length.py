"""Length of a strand when new and when worn."""

import numpy as np
import pytest

from linkwright.quantities import ArgumentError
from linkwright.standards.roller_length import (
    allowed_chain_elongation,
    chain_elongation,
    iso606_strand_length,
)


def test_a_strand_may_be_long_and_never_short() -> None:
    """0/+0.15 per cent of ISO 606, whose limits are in order for arrays too."""
    lengths = np.array([610.0, 1220.0])
    least, greatest = iso606_strand_length(nominal_length_mm=lengths)
    np.testing.assert_array_equal(least, lengths)
    np.testing.assert_allclose(greatest, 1.0015 * lengths)


def test_wear_is_measured_on_a_strand_and_limited_by_the_large_sprocket() -> None:
    """A new strand has none; above 66 teeth the limit falls with the number of teeth."""
    assert chain_elongation(pitch_mm=12.7, pitches=10, measured_length_mm=127.0) == pytest.approx(
        0, abs=1e-12
    )
    limits = allowed_chain_elongation(teeth_large=np.array([30, 66, 67, 120]))
    assert limits[:2] == pytest.approx(3.0)
    assert np.all(np.diff(limits[1:]) < 0)
    with pytest.raises(ArgumentError, match="teeth_large"):
        allowed_chain_elongation(teeth_large=2)
