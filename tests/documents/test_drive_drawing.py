"""The picture of a chain drive: joints a pitch apart, rollers in their gaps, nothing off paper."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.documents.display import Display
from linkwright.documents.drive_drawing import (
    DriveShape,
    drive_drawing,
    drive_joints,
    sprocket_outline,
)
from linkwright.mechanics.chain_path import chain_length, iso10823_centre_distance
from linkwright.mechanics.sprocket import iso606_sprocket_diameters
from linkwright.standards.roller_chain import iso606_chain


def _shape(
    teeth_small: int, teeth_large: int, about_pitches: float, chain_number: str = "16B"
) -> DriveShape:
    chain = iso606_chain(chain_number=chain_number)
    asked = chain_length(
        teeth_small=teeth_small, teeth_large=teeth_large, centre_distance_pitches=about_pitches
    )
    pitches = 2 * int(np.ceil(float(asked) / 2))
    centres = iso10823_centre_distance(
        teeth_small=teeth_small, teeth_large=teeth_large, chain_length_pitches=pitches,
        pitch_mm=chain.pitch_mm,
    )  # fmt: skip
    return DriveShape(
        chain.pitch_mm, chain.greatest_roller_diameter_mm, chain.greatest_pin_diameter_mm,
        chain.greatest_plate_height_mm, teeth_small, teeth_large, pitches,
        float(centres.centre_distance_mm),
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.integers(11, 60), st.integers(0, 90), st.floats(30.0, 80.0))
def test_the_drawn_chain_has_its_pitches_and_its_pitch(small: int, more: int, about: float) -> None:
    """As many joints as pitches; all of them a pitch apart within a hundredth."""
    large = min(small + more, 150)
    shape = _shape(small, large, max(about, (small + large) / 4))
    joints = drive_joints(shape)
    apart = np.hypot(*(np.roll(joints, -1, axis=0) - joints).T) / shape.pitch_mm
    assert len(joints) == shape.pitches
    assert np.abs(apart - 1.0).max() < 0.01


@pytest.mark.parametrize("chain_number", ["08A", "16B", "32B", "120H"])
@pytest.mark.parametrize("teeth", [11, 19, 38, 114])
def test_rollers_lie_in_the_gaps_and_cut_no_tooth(chain_number: str, teeth: int) -> None:
    """The seat is a hundredth wider than the roller; tips stay between the limits of ISO 606."""
    shape = _shape(teeth, teeth, 40.0, chain_number)
    outline = sprocket_outline(shape, teeth, 0.0)
    sizes = iso606_sprocket_diameters(
        pitch_mm=shape.pitch_mm, roller_diameter_mm=shape.roller_diameter_mm, teeth=teeth
    )
    roller = np.array([float(sizes.pitch_diameter_mm) / 2, 0.0])
    nearest = np.hypot(*(outline - roller).T).min()
    assert nearest == pytest.approx(0.505 * shape.roller_diameter_mm)
    radii = np.hypot(*outline.T)
    assert 2 * radii.min() == pytest.approx(
        float(sizes.root_diameter_mm) - 0.01 * shape.roller_diameter_mm, abs=1e-6
    )
    assert 2 * radii.max() <= float(sizes.greatest_tip_diameter_mm)
    angles = np.unwrap(np.arctan2(outline[:, 1], outline[:, 0]))
    assert angles[-1] - angles[0] < 2 * np.pi


@pytest.mark.parametrize(("small", "large"), [(19, 114), (17, 17), (11, 150)])
def test_the_picture_stays_on_its_paper(small: int, large: int) -> None:
    """Every point of every path lies inside; teeth, tips and centre distance are said."""
    shape = _shape(small, large, 45.0)
    drawing = drive_drawing(shape, "A drive")
    text = drawing.text()
    for data in re.findall(r' d="([^"]*)"', text):
        if "A" in data:
            continue  # pitch circles, which lie inside the tips
        points = re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)
        assert all(0 <= float(x) <= drawing.width for x, _ in points)
        assert all(0 <= float(y) <= drawing.height for _, y in points)
    assert Display().text("centre_distance_mm", shape.centre_distance_mm) in text
    assert f"{small} teeth" in text
    assert f"{large} teeth" in text
    assert f"{shape.pitches} pitches" in text
