"""Rules of ASME B29.1: limits, and tables beside the rules."""

import numpy as np
import pytest

from linkwright.quantities import convert
from linkwright.standards.reader import published_table
from linkwright.standards.roller_ansi import (
    ansi_breaking_force,
    ansi_measuring_load,
    ansi_proportions,
    ansi_strand_overlength,
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
