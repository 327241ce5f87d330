"""Fracture of a pulled solid: the weights against closed forms, and the order of events."""

import numpy as np
import pytest
from solid_bodies import STEEL, bar, box, pulled

from linkwright.materials.ductile_fracture import fracture_limits
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_damage import PLACES, breaking, stress_state, weighted_strains
from linkwright.mechanics.solid_link import SolidPull, pull_solid_link
from linkwright.mechanics.solid_plasticity import fresh_metal


@pytest.fixture(scope="module")
def pull() -> SolidPull:
    return pull_solid_link(LinkGeometry(8.0, 24.0, 26.8), SwiftCurve(1476.0, 0.06, 0.005),
                           fineness="coarse", fall=0.05)  # fmt: skip


def judged(pull: SolidPull, area: float, weld_share: float = 1.0):
    limits = fracture_limits(reduction_of_area_percent=area)
    return breaking(
        pull.damage, pull.force_kN, pull.extension_mm, 24.0, limits,
        passed=pull.passed, weld_share=weld_share,
    )  # fmt: skip


def test_in_a_bar_both_sums_are_the_plastic_strain() -> None:
    """Uniaxial tension: triaxiality 1/3, greatest stress the flow stress, before any neck."""
    mesh = box((2, 1, 1), (2.0, 1.0, 1.0))
    path = pulled(bar(mesh, STEEL, 2.0), 0.08, 0.004, 0.02)
    body = bar(mesh, STEEL, 2.0)
    void, tension = weighted_strains(body, path.states)
    strain = path.last.metal.plastic_strain
    assert strain.min() > 0.03
    np.testing.assert_allclose(void[-1], strain, rtol=1e-4)
    np.testing.assert_allclose(tension[-1], strain, rtol=1e-4)


def test_triaxiality_of_known_elastic_states() -> None:
    """Equal pressure from all sides makes nothing flow; pure shear has no mean stress."""
    metal = fresh_metal((2,))
    stretch = np.array([[0.999, 0.999, 0.999], [1.001, 1 / 1.001, 1.0]])
    gradient = np.zeros((2, 3, 3))
    gradient[:, range(3), range(3)] = stretch
    triaxiality, greatest = stress_state(STEEL, metal, gradient)
    assert triaxiality[0] == greatest[0] == 0.0
    assert triaxiality[1] == pytest.approx(0.0, abs=1e-6)
    assert greatest[1] == pytest.approx(1 / np.sqrt(3), rel=1e-4)


def test_order_of_events_turns_as_the_reduction_of_area_falls(pull: SolidPull) -> None:
    """A tough link passes its maximum, one that hardly necks tears on the way up."""
    found = [judged(pull, area) for area in (60.0, 40.0, 20.0, 10.0)]
    assert found[0].first == "instability"
    assert found[-1].first == "fracture"
    forces = [one.breaking_force_kN for one in found]
    assert all(np.diff(forces) <= 0)
    assert forces[-1] < 0.99 * pull.force_kN.max()
    assert found[-1].fracture_force_kN == pytest.approx(forces[-1])
    assert found[-1].damage_at_maximum == 1.0
    assert found[-1].fracture_extension_mm < pull.extension_at_maximum_mm


def test_damage_of_a_maximum_does_not_reach_one_where_instability_comes_first(
    pull: SolidPull,
) -> None:
    """And its places are the known ones, none of them above the worst."""
    found = judged(pull, 60.0)
    assert tuple(found.damage) == PLACES
    assert max(found.damage.values()) == pytest.approx(found.damage_at_maximum)
    assert found.damage_at_maximum < found.damage_at_end < 1.0
    assert found.fracture_force_kN is None


def test_a_brittle_weld_tears_in_the_leg(pull: SolidPull) -> None:
    """With a twenty-fifth of the steel's ductility the weld goes first, before the maximum."""
    found = judged(pull, 60.0, weld_share=0.04)
    assert (found.first, found.place) == ("fracture", "weld")


def test_strains_only_grow_and_stay_zero_while_elastic(pull: SolidPull) -> None:
    """Sums are of what is not negative; the first state has none."""
    for values in (pull.damage.void_strain, pull.damage.tension_strain):
        assert np.all(values[0] == 0)
        assert np.all(np.diff(values, axis=0) >= 0)
        assert values[-1].max() > values[pull.peak].max() > 0.1


def test_places_cover_the_link_and_lie_where_they_say(pull: SolidPull) -> None:
    """The weld at the middle of the leg, the outside farther from the link's middle."""
    nodes, place = pull.model.part.mesh.nodes, pull.damage.place
    assert set(place) == set(range(len(PLACES)))
    assert nodes[place == PLACES.index("weld"), 0].max() <= -12.0 + 4.0 + 1e-9
    tip = nodes[np.argmax(nodes[:, 0])]
    assert PLACES[place[np.argmin(np.linalg.norm(nodes - tip, axis=1))]] == "crown outside"
    assert PLACES[place[np.argmin(np.linalg.norm(nodes, axis=1))]] == "crown inside"
