"""Convection and radiation."""

import numpy as np
import pytest

from linkwright.mechanics.convection import (
    nusselt_cylinder_crossflow,
    nusselt_cylinder_zukauskas,
    nusselt_horizontal_cylinder_natural,
    radiation_to_surroundings,
)


def test_two_authors_agree_on_crossflow_within_30_percent() -> None:
    """Churchill-Bernstein and Zukauskas describe the same cylinder."""
    reynolds = np.logspace(1.5, 5, 30)
    one = nusselt_cylinder_crossflow(reynolds=reynolds, prandtl=0.71)
    two = nusselt_cylinder_zukauskas(reynolds=reynolds, prandtl=0.71)
    assert one == pytest.approx(two, rel=0.3)


def test_still_fluid_gives_the_limit_of_conduction() -> None:
    """Without buoyancy the natural formula ends at 0.36."""
    assert nusselt_horizontal_cylinder_natural(prandtl=0.7, grashof=0.0) == pytest.approx(0.36)


def test_radiation_vanishes_without_difference_and_keeps_its_coefficient() -> None:
    """At equal temperatures no heat flows; the coefficient is 4 e s T^3."""
    found = radiation_to_surroundings(
        emissivity=0.8, temperature_degC=100.0, surroundings_degC=100.0
    )
    assert found.flux_W_per_m2 == 0.0
    wanted = 4 * 0.8 * 5.670374419e-8 * 373.15**3
    assert found.coefficient_W_per_m2K == pytest.approx(wanted)
