"""Cotters: two standards remembered apart agree, holes by ISO 286, the series of lengths."""

from __future__ import annotations

import pytest

from linkwright.mechanics.fits import iso286_tolerance
from linkwright.quantities import ArgumentError
from linkwright.standards.cotters import cotter_for_pin, cotter_length, cotter_of_hole
from linkwright.standards.reader import published_table

ISO_2341 = {
    3: 0.8, 4: 1.0, 5: 1.2, 6: 1.6, 8: 2.0, 10: 3.2, 12: 3.2, 14: 4.0, 16: 4.0, 18: 5.0, 20: 5.0,
    22: 5.0, 24: 6.3, 27: 6.3, 30: 8.0, 33: 8.0, 36: 8.0, 40: 8.0, 45: 10.0, 50: 10.0, 60: 10.0,
}  # fmt: skip
"""Cotter hole of clevis pins by their diameter, ISO 2341:1986, form B, from memory."""


@pytest.mark.parametrize(("pin", "hole"), ISO_2341.items())
def test_holes_of_iso_1234_are_those_that_iso_2341_drills(pin, hole):
    assert cotter_for_pin(pin_diameter_mm=float(pin)).cotter_hole_mm == hole


def test_a_cotter_enters_its_hole_and_grows_with_it():
    rows = [row.cells for row in published_table("iso1234_cotter")]
    for row in rows:
        assert row["least_cotter_mm"] < row["greatest_cotter_mm"] < row["cotter_hole_mm"]
        assert row["cotter_hole_mm"] < row["eye_width_mm"] <= row["eye_length_mm"]
    for column in ("greatest_pin_diameter_mm", "greatest_cotter_mm", "eye_width_mm"):
        values = [row[column] for row in rows]
        assert values == sorted(set(values))


@pytest.mark.parametrize("hole", [0.6, 0.8, 1.0, 1.2])
def test_small_holes_have_the_tolerance_h13_of_iso_286(hole):
    tolerance = cotter_of_hole(cotter_hole_mm=hole).hole_tolerance_mm
    assert tolerance == pytest.approx(
        float(iso286_tolerance(nominal_mm=max(hole, 1.0), grade=13.0)) / 1000.0
    )


@pytest.mark.parametrize("hole", [1.6, 2.5, 3.2, 5.0, 6.3, 10.0, 13.0])
def test_larger_holes_are_wider_by_the_step_from_h13_to_h14(hole):
    """A grade is 1.6 times the one before, up to its rounding (ISO 286-1)."""
    tolerance = cotter_of_hole(cotter_hole_mm=hole).hole_tolerance_mm
    before = float(iso286_tolerance(nominal_mm=hole, grade=13.0)) / 1000.0
    assert 1.55 < tolerance / before < 1.8


def test_lengths_are_the_next_of_the_series():
    assert [cotter_length(least_length_mm=one) for one in (3.0, 4.0, 4.1, 23.0, 250.0)] == [
        4.0, 4.0, 5.0, 25.0, 250.0,
    ]  # fmt: skip
    with pytest.raises(ArgumentError):
        cotter_length(least_length_mm=281.0)


def test_what_no_cotter_is_for_is_refused():
    with pytest.raises(ArgumentError):
        cotter_for_pin(pin_diameter_mm=111.0)
    with pytest.raises(ArgumentError):
        cotter_of_hole(cotter_hole_mm=2.2)
