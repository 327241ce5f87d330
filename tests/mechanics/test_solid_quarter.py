"""The link whose legs differ: as the octant where they do not, and ordered where they do."""

import numpy as np
import pytest

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_cut import cut_of
from linkwright.mechanics.solid_damage import PLACES
from linkwright.mechanics.solid_link import LinkNotSolved, prove_solid_link, pull_solid_link
from linkwright.mechanics.solid_model import link_model
from linkwright.mechanics.solid_octant import FINENESS, Fineness, Outline, octant_mesh, quarter_mesh
from linkwright.mechanics.solid_weld import SOUND, Weld
from linkwright.mechanics.solid_weld_factor import weld_factor
from linkwright.quantities import ArgumentError

LINK = LinkGeometry(8.0, 24.0, 26.8)
STEEL = SwiftCurve(1476.0, 0.06, 0.005)
CELLS = Fineness(1, 1, 5, 3, 0.5)
"""One ring fewer than the coarse mesh: what is compared here does not hang on the mesh."""
OUTLINE = Outline(8.0, 24.0, 26.8, 9.4)


@pytest.fixture(scope="module")
def octant():
    return pull_solid_link(LINK, STEEL, fineness=CELLS)


@pytest.fixture(scope="module")
def soft():
    """One leg with a wire diameter of 70 per cent strength."""
    return pull_solid_link(LINK, STEEL, fineness=CELLS, weld=Weld(zone_strength=0.7))


def test_equal_legs_are_the_octant(octant):
    """Force at every extension within 1e-4, stiffness, contact and widths too."""
    quarter = pull_solid_link(LINK, STEEL, fineness=CELLS, weld=Weld())
    assert quarter.model.cuts == 1
    where = np.linspace(0.1, 5.0, 30)
    np.testing.assert_allclose(quarter.force_at(where), octant.force_at(where), rtol=1e-4)
    assert quarter.maximum_force_kN == pytest.approx(octant.maximum_force_kN, rel=1e-4)
    assert quarter.stiffness_kN_per_mm == pytest.approx(octant.stiffness_kN_per_mm, rel=1e-4)
    ours, theirs = quarter.readings[-1], octant.readings[-1]
    assert ours.contact_area_mm2 == pytest.approx(theirs.contact_area_mm2, rel=1e-3)
    assert ours.inner_width_mm == pytest.approx(theirs.inner_width_mm, rel=1e-3)
    assert abs(quarter.unbalanced_work_percent) < 0.5


def test_a_soft_zone_weakens_and_strains_its_leg(octant, soft):
    """Less force than without, and more strain in the welded leg than in the sound one."""
    assert soft.passed
    assert soft.maximum_force_kN < octant.maximum_force_kN
    mesh = soft.model.part.mesh
    welded, sound = (soft.at_maximum.strain[mesh.layer(k)].mean() for k in (0, -1))
    assert welded > 2 * sound
    assert soft.unbalanced_work_percent == pytest.approx(0, abs=0.5)


def test_one_soft_leg_is_no_weaker_than_two(soft):
    """The sound leg helps."""
    both = pull_solid_link(LINK, STEEL, fineness=CELLS, weld=Weld(one_leg=False, zone_strength=0.7))
    assert both.maximum_force_kN < soft.maximum_force_kN


def test_a_strength_along_the_wire_does_what_a_zone_does(soft):
    """The zone's own course, given as a function, makes the same link."""
    zone = Weld(zone_strength=0.7)
    course = Weld(strength_along=lambda along: zone.strength(along, 8.0))
    made = pull_solid_link(LINK, STEEL, fineness=CELLS, weld=course, factorisations=8)
    count = len(made.force_kN)
    assert count > 4
    np.testing.assert_allclose(made.force_kN[:count], soft.force_kN[:count], rtol=1e-9)


def test_a_bulge_stiffens(octant):
    """More wire on one leg: stiffer before it yields, and no weaker; the factor says so."""
    factor = weld_factor(LINK, STEEL, Weld(bulge=0.1, bulge_length_mm=8.0), fineness=CELLS)
    assert 1 < factor.stiffness < 1.05
    assert 0.995 < factor.maximum_force < 1.05
    assert factor.permanent_set is None


def test_the_sound_leg_keeps_its_shape():
    """Bulge and undercut change nodes near the first leg only; one side of the wire stays."""
    plain = quarter_mesh(OUTLINE, FINENESS["coarse"])
    cut = Outline(8.0, 24.0, 26.8, 9.4, undercut=0.2, bulge_length_mm=3.0)
    part = quarter_mesh(cut, FINENESS["coarse"])
    moved = np.linalg.norm(part.mesh.nodes - plain.mesh.nodes, axis=1)
    station = plain.mesh.nodes[:, 0] + 12.0
    assert moved[(station > 3.0) | (plain.mesh.nodes[:, 1] < 0)].max() < 1e-9
    rim = part.mesh.layer(0)[part.mesh.section.rim]
    assert moved[rim[-1]] == pytest.approx(0.2 * 4.0)
    assert moved[rim[0]] < 1e-9


def test_a_quarter_is_two_octants():
    """Nodes, volume-free: the second half is the mirror image of the first, at y < 0."""
    octant = octant_mesh(OUTLINE, FINENESS["coarse"])
    quarter = quarter_mesh(OUTLINE, FINENESS["coarse"])
    for station in range(octant.mesh.slices + 1):
        ours = quarter.mesh.nodes[quarter.mesh.layer(-1 - station)]
        theirs = octant.mesh.nodes[octant.mesh.layer(station)] * [1.0, -1.0, 1.0]
        np.testing.assert_allclose(ours, theirs, atol=1e-9)
    along = quarter.along_mm
    assert along.shape == (len(quarter.mesh.elements), 8)
    assert 0 < along.min() < along.max() < quarter.stations[-1]


def test_the_weld_is_on_one_leg_only_in_damage_and_pictures(soft):
    """Places of the weld lie at y > 0; the cut shows both legs once and no neighbour."""
    weld = soft.damage.place == PLACES.index("weld")
    assert np.all(soft.model.part.mesh.nodes[weld, 1] > 0)
    cut = cut_of(soft.model, soft.at_maximum, soft.at_maximum.strain)
    assert len(cut.link) == len(cut.link_values)
    assert len(cut.neighbours) == 0
    assert cut.link[..., 1].min() < 0 < cut.link[..., 1].max()


def test_too_few_factorisations_end_with_the_last_good_state():
    """The same statement as for the octant, pulled or proved."""
    weld = Weld(zone_strength=0.8)
    short = pull_solid_link(LINK, STEEL, fineness=CELLS, weld=weld, factorisations=6)
    assert not short.passed
    assert short.ended == "6 factorisations did not suffice"
    with pytest.raises(LinkNotSolved, match=r"last good state is .* kN at"):
        prove_solid_link(LINK, STEEL, 50.3, fineness=CELLS, weld=weld, factorisations=6)


@pytest.mark.parametrize(
    ("weld", "said"),
    [
        (Weld(bulge=0.5), r"-0\.3 to 0\.3"),
        (Weld(undercut=-0.1), r"0 to 0\.3"),
        (Weld(zone_strength=0.0), r"0\.2 to 2"),
        (Weld(zone_length_mm=0.0), "more than 0"),
    ],
    ids=["bulge", "undercut", "strength", "length"],
)
def test_impossible_welds_are_refused(weld, said):
    """Each with what would be accepted."""
    with pytest.raises(ArgumentError, match=said):
        link_model(LINK, STEEL, "coarse", weld=weld)


def test_a_weld_that_is_none_differs_in_nothing():
    """And one that is something says so."""
    assert not SOUND.differs
    assert not Weld().differs
    assert Weld(undercut=0.1).differs
    assert np.all(SOUND.strength(np.linspace(-5, 5, 11), 8.0) == 1)
