"""Carbon equivalents."""

import numpy as np
import pytest

from linkwright.materials.composition import carbon_equivalents


def test_all_equal_carbon_in_plain_carbon_steel() -> None:
    """Without alloy every carbon equivalent is the carbon."""
    for value in carbon_equivalents(C_percent=0.2):
        assert value == pytest.approx(0.2)


def test_no_alloying_element_lowers_them() -> None:
    """Each equivalent rises with each element or stands still."""
    plain = np.array(carbon_equivalents(C_percent=0.2))
    for element in ("Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "B"):
        more = np.array(carbon_equivalents(C_percent=0.2, **{f"{element}_percent": 0.1}))
        assert (more >= plain).all(), element
