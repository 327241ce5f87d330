"""Rules of ASME B29.1 and of strand length: limits, and tables beside the rules."""

import numpy as np
import pytest

from linkwright.quantities import ArgumentError, convert
from linkwright.standards.reader import published_table
from linkwright.standards.roller_ansi import (
    ansi_breaking_force,
    ansi_measuring_load,
    ansi_proportions,
    ansi_strand_overlength,
)
from linkwright.standards.roller_length import (
    allowed_chain_elongation,
    chain_elongation,
    iso606_strand_length,
)

ROLLER = [
    row.cells for row in published_table("ansi_chain") if row.cells["chain_number"][-1] == "0"
]


@pytest.mark.parametrize("cells", ROLLER, ids=lambda cells: str(cells["chain_number"]))
def test_asme_tables_lie_near_the_proportions(cells: dict) -> None:
    """Roller, width, pin and plate by 5/8, 5/8, 5/16 and 1/8 of the pitch, within 11 %.

    Source: Machinery's Handbook, Transmission Roller Chain, general proportions and table; the
    table rounds to stock sizes, No. 60 and 120 are wider by a sixteenth.
    """
    rule = ansi_proportions(pitch_in=cells["pitch_in"])
    assert cells["roller_diameter_in"] == pytest.approx(rule.roller_diameter_in, rel=0.11)
    assert cells["inner_width_in"] == pytest.approx(rule.inner_width_in, rel=0.11)
    assert cells["pin_diameter_in"] == pytest.approx(rule.pin_diameter_in, rel=0.11)
    assert cells["plate_thickness_in"] == pytest.approx(rule.plate_thickness_in, rel=0.05)
    assert cells["breaking_force_lbf"] == pytest.approx(
        ansi_breaking_force(pitch_in=cells["pitch_in"]), rel=8e-3
    )


def test_the_pitch_is_in_the_number() -> None:
    """The number without its last digit is the pitch in eighths of an inch."""
    for row in published_table("ansi_chain"):
        digits = str(row.cells["chain_number"]).removesuffix("H")
        assert row.cells["pitch_in"] == int(digits[:-1]) / 8


def test_the_measuring_load_has_a_floor_and_a_ceiling() -> None:
    """18 lbf for the finest, 1000 lbf for the coarsest chain."""
    found = ansi_measuring_load(pitch_in=np.array([0.25, 1.0, 3.0]))
    np.testing.assert_allclose(found, [18.0, 125.0, 1000.0])


def test_overlength_is_the_same_share_in_inches_a_foot_and_in_per_cent() -> None:
    """0.016 inch a foot is 0.133 per cent."""
    found = ansi_strand_overlength(pitch_in=1.0)
    assert convert(found, "in_per_ft", "percent") == pytest.approx(100 * 0.016 / 12)


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
