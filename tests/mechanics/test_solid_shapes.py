"""Links of other shapes by finite elements: long links, wide ones, flattened crowns."""

import numpy as np
import pytest

from linkwright.mechanics.link_beam import pull_link
from linkwright.mechanics.link_elastic import link_axial_stiffness
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import pull_solid_link

SOFT = SwiftCurve.of_strength(500.0, 0.15, 0.01)
WIRE = 8.0


def link(pitch, width, crown=None):
    """A link by its ratios to the wire."""
    return LinkGeometry(WIRE, pitch * WIRE, width * WIRE, None if crown is None else crown * WIRE)


@pytest.fixture(scope="module")
def short():
    return pull_solid_link(link(2.75, 3.5), SOFT, fineness="coarse")


@pytest.fixture(scope="module")
def long():
    return pull_solid_link(link(11.0, 3.5), SOFT, fineness="coarse")


@pytest.fixture(scope="module")
def wide():
    return pull_solid_link(link(6.0, 5.5), SOFT, fineness="coarse")


def test_a_long_link_bears_what_a_short_one_bears(short, long):
    """The crown decides: the same greatest force, and legs that only stretch more.

    The longer legs share the last bending of the crown, so that it is not exactly the same.
    """
    assert short.passed
    assert long.passed
    assert long.maximum_force_kN == pytest.approx(short.maximum_force_kN, rel=0.01)
    assert long.extension_at_maximum_mm > short.extension_at_maximum_mm
    assert long.elongation_at_maximum_percent < short.elongation_at_maximum_percent / 2


@pytest.mark.parametrize(("pitch", "width", "crown"), [(5.2, 3.5, None), (6.0, 4.0, 1.9)])
def test_long_links_lie_below_the_beam_as_short_ones_do(pitch, width, crown):
    """The beam bears 0 to 4 per cent more, as for short links (docs/models/solid_link.md)."""
    geometry = link(pitch, width, crown)
    solid = pull_solid_link(geometry, SOFT, fineness="coarse")
    assert solid.passed
    assert (
        0.955 < solid.efficiency / float(np.ravel(pull_link(geometry, SOFT).efficiency)[0]) < 1.01
    )


def test_longer_legs_add_the_stretch_of_the_thick_curved_bar():
    """Elastic: what 7 d more of leg add to the stretch, by Castigliano on the centre line.

    The difference of two lengths is free of the contact. More than the bars' own stretch: the
    moment in the leg turns the crown over a greater length.
    """
    hard = SwiftCurve.of_strength(5000.0, 0.05, 0.001)
    at, solid, theory = 15.0, [], []
    for pitch in (4.0, 11.0):
        pull = pull_solid_link(link(pitch, 3.5), hard, fineness="coarse", factorisations=12)
        assert pull.force_kN[-1] > at
        solid.append(float(np.interp(at, pull.force_kN, pull.extension_mm)))
        stiff = link_axial_stiffness(
            wire_diameter_mm=WIRE, pitch_mm=pitch * WIRE, outer_width_mm=3.5 * WIRE, force_kN=at
        )
        theory.append(at / float(stiff.axial_stiffness_kN_per_mm))
    assert solid[1] - solid[0] == pytest.approx(theory[1] - theory[0], rel=0.05)


def test_a_wide_link_first_bends_to_the_shape_of_a_long_one(wide):
    """No false maximum where contact moves from face to face on the steep way up."""
    assert wide.passed
    assert wide.efficiency > 0.6
    assert wide.readings[-1].inner_width_mm < 1.2 * WIRE
    falls = 1 - wide.force_kN / np.maximum.accumulate(np.maximum(wide.force_kN, 1e-9))
    loaded = wide.force_kN > 0.1 * wide.maximum_force_kN
    assert falls[loaded].max() < 0.03
