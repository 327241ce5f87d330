"""The assembled strand: pitch, length, parts."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.processes.models.roller_strand import (
    hole_spacing_wanted,
    parts_of_strand,
    plate_stretch_percent,
    strand_length_error,
    strand_pitch,
)


@given(
    wanted=st.floats(0.0, 0.15), play=st.floats(0.01, 0.2), stretch=st.floats(0.0, 0.05),
    pitch=st.floats(6.0, 114.0),
)  # fmt: skip
def test_plates_pierced_as_wanted_give_the_length_wanted(wanted, play, stretch, pitch):
    spacing = hole_spacing_wanted(
        pitch_mm=pitch, length_error_percent=wanted, joint_clearance_mm=play,
        stretch_percent=stretch,
    )  # fmt: skip
    mean = strand_pitch(
        inner_hole_spacing_mm=spacing, outer_hole_spacing_mm=spacing, joint_clearance_mm=play
    )
    error = strand_length_error(
        strand_pitch_mm=mean, pitch_mm=pitch, pitches=49.0, spacing_deviation_mm=0.01,
        stretch_percent=stretch,
    )  # fmt: skip
    assert error.length_error_percent == pytest.approx(wanted, abs=1e-9)


def test_a_stiff_joint_neither_lengthens_nor_shortens_its_chain():
    """Members with and without play, in one array as they are drawn."""
    pitch = strand_pitch(
        inner_hole_spacing_mm=25.4, outer_hole_spacing_mm=25.4,
        joint_clearance_mm=np.array([-0.02, 0.0, 0.06]),
    )  # fmt: skip
    assert pitch == pytest.approx([25.4, 25.4, 25.43])


def test_the_scatter_of_a_length_is_that_of_drawn_joints():
    """Chains of 49 pitches drawn at random, seeded."""
    draw = np.random.default_rng(6)
    spacing = 25.38 + 0.012 * draw.standard_normal((20_000, 49))
    play = 0.06 + 0.008 * draw.standard_normal((20_000, 49))
    lengths = (spacing + play / 2).sum(axis=1)
    got = strand_length_error(
        strand_pitch_mm=25.41, pitch_mm=25.4, pitches=49.0, spacing_deviation_mm=0.012,
        play_deviation_mm=0.008,
    )  # fmt: skip
    counted = 100 * (lengths / (49 * 25.4) - 1)
    assert got.length_error_percent == pytest.approx(counted.mean(), abs=1e-3)
    assert got.length_error_deviation_percent == pytest.approx(counted.std(), rel=0.02)


@given(pitches=st.integers(2, 4000), strands=st.integers(1, 6))
def test_every_joint_has_its_parts(pitches, strands):
    got = parts_of_strand(pitches=pitches, strands=strands)
    assert got.inner_links + got.outer_links == pitches
    assert got.inner_links - got.outer_links == pitches % 2
    assert got.bushings == got.rollers == got.inner_plates
    # each pin stands in two plates more than it has strands to pass
    assert 2 * got.pins == 2 * got.outer_plates
    assert got.outer_plates + got.middle_plates == 2 * strands * got.outer_links


def test_a_bush_chain_has_no_rollers():
    assert parts_of_strand(pitches=10.0, bushings_carry_rollers=0.0).rollers == 0.0


def test_the_measuring_force_hardly_stretches_the_plates():
    """500 N on 16B: some hundredths of the tolerance of 0.15 per cent."""
    got = plate_stretch_percent(force_N=500.0, plate_thickness_mm=3.2, plate_width_mm=16.0)
    assert got == pytest.approx(100 * 500.0 / (206000 * 2 * 3.2 * 16), rel=1e-12)
    assert got < 0.15 / 20
