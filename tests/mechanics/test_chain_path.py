"""Chain round two sprockets: inverses, the exact path, chordal action."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkwright.mechanics.chain_path import (
    centre_distance,
    centre_distance_pitches,
    chain_length,
    chain_speed_extremes,
    chordal_speed_variation,
    iso10823_centre_distance,
    iso10823_centre_distance_factor,
    sprocket_pair,
    wrap_angles,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=60, deadline=None)
small = st.integers(9, 40)
more = st.integers(0, 110)
centres = st.floats(15.0, 120.0)


@few
@given(z1=small, extra=more, distance=centres)
def test_length_and_centre_distance_are_inverses(z1: int, extra: int, distance: float) -> None:
    """The length of a drive gives its centre distance back."""
    assume(distance > 0.35 * extra)
    length = chain_length(teeth_small=z1, teeth_large=z1 + extra, centre_distance_pitches=distance)
    back = centre_distance_pitches(
        teeth_small=z1, teeth_large=z1 + extra, chain_length_pitches=length
    )
    assert back == pytest.approx(distance, rel=1e-9)


@few
@given(z1=small, extra=more, distance=centres)
def test_the_exact_path_has_the_length_that_was_asked_for(
    z1: int, extra: int, distance: float
) -> None:
    """Arcs and tangents at the distance of ISO 10823 add up to the chain; circles of z p."""
    assume(distance > 0.3 * extra)
    length = chain_length(teeth_small=z1, teeth_large=z1 + extra, centre_distance_pitches=distance)
    a = iso10823_centre_distance(
        teeth_small=z1, teeth_large=z1 + extra, chain_length_pitches=length, pitch_mm=1.0
    ).centre_distance_mm
    angle = np.arcsin(extra / (2 * np.pi * a))
    path = 2 * a * np.cos(angle) + (2 * z1 + extra) / 2 + extra * angle / np.pi
    assert path == pytest.approx(length, rel=1e-9)
    assert a == pytest.approx(distance, rel=0.01)


def test_the_factor_approaches_a_quarter() -> None:
    """Far sprockets: f4 tends to 1/4; close ones: to 1/(2 pi); it rises between."""
    ratios = np.array([1.0 + 1e-6, 1.1, 1.5, 3.0, 13.0, 1e4])
    factors = iso10823_centre_distance_factor(length_ratio=ratios)
    assert np.all(np.diff(factors) > 0)
    assert factors[0] == pytest.approx(0.5 / np.pi, rel=2e-3)
    assert factors[-1] == pytest.approx(0.25, rel=1e-6)
    singles = [iso10823_centre_distance_factor(length_ratio=float(ratio)) for ratio in ratios]
    np.testing.assert_allclose(factors, singles, rtol=1e-12)


def test_equal_sprockets_and_several_drives_at_once() -> None:
    """A = p (X - z)/2 for equal sprockets; an array gives each member's own distance."""
    length, large = np.array([100.0, 120.0]), np.array([19, 57])
    found = iso10823_centre_distance(
        teeth_small=19, teeth_large=large, chain_length_pitches=length, pitch_mm=12.7
    )
    assert found.centre_distance_pitches[0] == pytest.approx((100 - 19) / 2, rel=1e-9)
    alone = iso10823_centre_distance(
        teeth_small=19, teeth_large=57, chain_length_pitches=120.0, pitch_mm=12.7
    )
    assert found.centre_distance_mm[1] == pytest.approx(alone.centre_distance_mm, rel=1e-9)


def test_the_length_takes_a_distance_with_the_pitch_too() -> None:
    """508 mm at 12.7 mm pitch are 40 pitches; a distance without pitch is not enough."""
    in_pitches = chain_length(teeth_small=19, teeth_large=57, centre_distance_pitches=40.0)
    as_length = chain_length(
        teeth_small=19, teeth_large=57, centre_distance_mm=508.0, pitch_mm=12.7
    )
    assert as_length == pytest.approx(in_pitches, rel=1e-12)
    with pytest.raises(ArgumentError, match="pitch_mm"):
        chain_length(teeth_small=19, teeth_large=57, centre_distance_mm=508.0)


def test_a_chain_too_short_is_refused_with_the_least_length() -> None:
    """Both forms say how long a chain must be at least."""
    with pytest.raises(ArgumentError, match="above"):
        centre_distance_pitches(teeth_small=19, teeth_large=57, chain_length_pitches=40)
    with pytest.raises(ArgumentError, match="too short"):
        iso10823_centre_distance(
            teeth_small=19, teeth_large=57, chain_length_pitches=57, pitch_mm=12.7
        )
    with pytest.raises(ArgumentError, match="too small"):
        wrap_angles(teeth_small=19, teeth_large=57, centre_distance_pitches=5.0)
    found = centre_distance(teeth_small=19, teeth_large=57, chain_length_pitches=120, pitch_mm=12.7)
    assert found.centre_distance_mm == pytest.approx(12.7 * found.centre_distance_pitches)


@few
@given(z1=small, extra=more)
def test_wrap_angles_make_two_half_turns(z1: int, extra: int) -> None:
    """The small sprocket loses what the large one gains."""
    one, other = wrap_angles(teeth_small=z1, teeth_large=z1 + extra, centre_distance_pitches=50.0)
    assert one + other == pytest.approx(360.0)
    assert one <= 180.0 + 1e-9


@few
@given(count=st.integers(9, 150))
def test_chordal_action_spans_the_speeds_of_the_chain(count: int) -> None:
    """The variation is the span of speeds over their mean, and falls as 1/N^2."""
    action = chordal_speed_variation(teeth=count)
    greatest, least, mean = chain_speed_extremes(pitch_mm=12.7, teeth=count, speed_rpm=500.0)
    assert action.variation_over_mean == pytest.approx((greatest - least) / mean, rel=1e-9)
    assert action.least_over_greatest_speed == pytest.approx(least / greatest)
    assert action.variation_over_mean * count**2 == pytest.approx(np.pi**2 / 2, rel=0.03)


def test_the_large_sprocket_turns_slower_by_the_ratio() -> None:
    """Ratio and speed come from the teeth."""
    pair = sprocket_pair(pitch_mm=19.05, teeth_small=25, teeth_large=75, speed_rpm=900.0)
    assert pair.speed_ratio == 3.0
    assert pair.speed_large_rpm == pytest.approx(300.0)
