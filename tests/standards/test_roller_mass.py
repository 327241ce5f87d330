"""Mass of a metre of roller chain: printed masses, and the rule where none is."""

import pytest

from linkwright.quantities import UnknownName
from linkwright.standards.reader import published_table
from linkwright.standards.roller_chain import iso606_chain
from linkwright.standards.roller_mass import chain_mass_estimate, roller_chain_mass


def test_the_rule_meets_every_printed_mass() -> None:
    """Within 15 % from 06B to 48B and 08A to 48A."""
    held = 0
    for row in published_table("iso606_chain"):
        chain = iso606_chain(chain_number=row.cells["chain_number"])
        if row.cells["series"] in "AB" and chain.mass_per_length_kg_per_m > 0:
            estimate = chain_mass_estimate(
                pitch_mm=chain.pitch_mm, pin_length_mm=chain.greatest_pin_length_simplex_mm
            )
            assert estimate == pytest.approx(chain.mass_per_length_kg_per_m, rel=0.15)
            held += 1
    assert held == 22


def test_heavy_chain_weighs_more_than_plain() -> None:
    """Its plates are thicker; strands count."""
    plain, heavy = (roller_chain_mass(chain_number=name) for name in ("80", "80H"))
    assert plain < heavy < 1.25 * plain
    assert roller_chain_mass(chain_number="80H", strands=3) == pytest.approx(3 * heavy)


def test_an_unknown_chain_is_told() -> None:
    """With what is held."""
    with pytest.raises(UnknownName):
        roller_chain_mass(chain_number="99B")
