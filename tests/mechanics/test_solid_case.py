"""Strength by depth in the solid link: where the integration points lie, and who may have it."""

from __future__ import annotations

import numpy as np
import pytest

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_model import link_model
from linkwright.mechanics.solid_octant import Fineness
from linkwright.mechanics.solid_weld import Weld
from linkwright.quantities import ArgumentError

LINK = LinkGeometry(8.0, 24.0, 26.4)
STEEL = SwiftCurve.of_strength(1400.0, 0.06, 0.005)
RING_mm = 0.48
"""One ring of elements: a quarter of what the core of the mesh leaves of the radius."""


def _case(depth_mm: np.ndarray) -> np.ndarray:
    return np.where(depth_mm < RING_mm, 1.5, 1.0)


def test_a_ring_of_elements_is_the_case() -> None:
    """Its share of the volume is 1 - (1 - c/r)^2; its strength is the ratio times the curve's."""
    model = link_model(LINK, STEEL, Fineness(1, 4, 5, 3, 0.5), strength_at=_case)
    plain = link_model(LINK, STEEL, Fineness(1, 4, 5, 3, 0.5))
    ratio = model.body.steel.coefficient_MPa / plain.body.steel.coefficient_MPa
    depth = model.part.depth_share
    assert depth.shape == ratio.shape
    assert 0.0 < depth.min() < depth.max() < 1.0
    np.testing.assert_allclose(ratio, np.where(4.0 * depth < RING_mm, 1.5, 1.0))
    weight = model.body.shapes.weight
    share = weight[ratio > 1.2].sum() / weight.sum()
    assert share == pytest.approx(1.0 - (1.0 - RING_mm / 4.0) ** 2, rel=0.02)


def test_legs_that_differ_have_no_case() -> None:
    """The error names what would be accepted."""
    with pytest.raises(ArgumentError, match="alike"):
        link_model(
            LINK, STEEL, "coarse", weld=Weld(one_leg=True, zone_strength=0.8), strength_at=_case
        )
