"""The response of the link against the solid link that it stands for.

`RUNS` are the runs from which it was made (scripts/run_solid_links.py), those on the medium
mesh among them; that runs left out are met as well is measured when it is built, and stated
in the table.
"""

import json
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_response import LinkMembers, LinkResponse
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.quantities import ArgumentError

TABLE = json.loads(
    files("linkwright.processes.models")
    .joinpath("data", "link_response.json")
    .read_text(encoding="utf-8")
)
RESPONSE = LinkResponse.of_table(TABLE)
USUAL = LinkMembers(8.0, 24.0, 26.8, 1230.0, 0.06, 0.005, 0.1)
RUNS = json.loads(
    (Path(__file__).parents[2] / "scripts/levels/solid.json").read_text(encoding="utf-8")
)
PLACES = st.lists(st.floats(-1.0, 1.0), min_size=6, max_size=6)


def links_at(places):
    """Links of 8 mm at places of the axes, -1 to 1."""
    pitch, width, strength, *rest = (
        axis.value(place) for axis, place in zip(RESPONSE.axes, np.transpose(places), strict=True)
    )
    return LinkMembers(8.0, 8.0 * pitch, 8.0 * width, 205e3 * strength, *rest)


def model(links):
    wire, pitch, width, strength, exponent, prestrain, _ = links
    return LinkGeometry(wire, pitch, width), SwiftCurve.of_strength(strength, exponent, prestrain)


def ran(level):
    """Runs of a level: their links, without friction, and force over d^2 Rm."""
    own = [run for run in RUNS if run["level"] == level and "failed" not in run]
    links = links_at([[*run["place"], -1.0] for run in own])
    unit = 64.0 * links.tensile_strength_MPa / 1000
    return own, links, np.array([run["maximum_force"] for run in own]) * unit


def test_force_is_that_of_the_medium_mesh():
    """Half of the forces within 1 per cent of the run on the medium mesh, none 3 away."""
    _, links, force = ran("medium")
    error = np.abs(RESPONSE.maximum_force_kN(links) / force - 1)
    assert np.median(error) < 0.01
    assert error.max() < 0.03


def test_force_lies_below_that_of_the_coarse_mesh():
    """A coarse mesh is too strong: the response lies below it, by 3 per cent at most."""
    _, links, force = ran("coarse")
    ratio = RESPONSE.maximum_force_kN(links) / force
    assert 0.975 < ratio.mean() < 1.0
    assert np.percentile(ratio, 5) > 0.965


def test_set_is_that_of_the_medium_mesh():
    """Sets from half the maximum force on: the middle of the errors within 6 per cent."""
    own, links, _ = ran("medium")
    errors = []
    for row, run in enumerate(own):
        one = LinkMembers(8.0, *(float(part[row]) for part in links[1:]))
        share, grown = np.array(run["share"]), 8.0 * np.array(run["set"])
        guessed = RESPONSE.permanent_set_mm(one, share * RESPONSE.maximum_force_kN(one))
        errors.append(np.abs(guessed / grown - 1)[share > 0.5])
    assert np.median(np.concatenate(errors)) < 0.06


def test_a_fresh_coarse_run_agrees():
    """A link that no fit has seen, on the coarse mesh: up to 3 per cent above the response."""
    link = USUAL._replace(
        pitch_mm=26.4, outer_width_mm=27.6, hardening_exponent=0.1, friction_coefficient=0.0
    )
    solid = pull_solid_link(*model(link), fineness="coarse")
    assert solid.passed
    assert 0.97 < RESPONSE.maximum_force_kN(link) / solid.maximum_force_kN < 1.005


def test_reference_independent_finite_elements():
    """Wire 8, pitch 24, width 26.8 mm, 1476 (0.005 + p)^0.06 MPa: 79.6 kN, frictionless.

    Source: a general-purpose finite-element code, quadratic elements, computed independently
    (docs/models/solid_link.md). With friction 0.15 it gives some 6 per cent more.
    """
    strength = float(SwiftCurve(1476.0, 0.06, 0.005).tensile_strength_MPa)
    link = USUAL._replace(tensile_strength_MPa=strength, friction_coefficient=0.0)
    force = RESPONSE.maximum_force_kN(link)
    assert force == pytest.approx(79.6, rel=0.015)
    rubbing = RESPONSE.maximum_force_kN(link._replace(friction_coefficient=0.15))
    assert rubbing / force == pytest.approx(1.06, abs=0.015)


def test_the_table_states_errors_within_the_aim():
    """Of runs left out: force below 1 per cent, set below 3 of the pitch, 95 of 100."""
    stated = TABLE["errors_percent"]
    assert stated["coarse force, left out"]["95 of 100 below"] < 1.0
    assert stated["coarse set as share of the pitch, left out"]["95 of 100 below"] < 3.0
    assert stated["table against levels, force"]["95 of 100 below"] < 0.5


@settings(derandomize=True, max_examples=25, deadline=None)
@given(places=PLACES, low=st.floats(0.05, 0.9), more=st.floats(0.01, 0.1))
def test_the_set_grows_with_the_force(places, low, more):
    """Nowhere in the range, nor beyond the fitted shares, does a greater force set less."""
    link = links_at([places])
    top = RESPONSE.maximum_force_kN(link)
    less, great = (RESPONSE.permanent_set_mm(link, part * top) for part in (low, low + more))
    assert great > less > 0


@settings(derandomize=True, max_examples=10, deadline=None)
@given(places=st.lists(PLACES, min_size=6, max_size=6))
def test_a_link_alone_is_the_same_as_among_others(places):
    """Arrays of every property, over (lots, links), equal single links to 1e-9."""
    many = links_at(places)
    shaped = LinkMembers(8.0, *(np.reshape(part, (2, 3)) for part in many[1:]))
    force = 0.5 * RESPONSE.maximum_force_kN(shaped)
    together = RESPONSE.permanent_set_mm(shaped, force)
    for index in range(6):
        alone = LinkMembers(8.0, *(float(part[index]) for part in many[1:]))
        one = RESPONSE.permanent_set_mm(alone, float(np.ravel(force)[index]))
        assert one == pytest.approx(np.ravel(together)[index], rel=1e-9)


def test_steel_of_one_kind_and_of_many_is_the_same():
    """A flow curve given once equals the same one given link by link."""
    pitch = np.linspace(21.0, 38.0, 7)
    once = USUAL._replace(pitch_mm=pitch)
    each = once._replace(hardening_exponent=np.full(7, 0.06), prestrain=np.full(7, 0.005))
    for answer in (RESPONSE.maximum_force_kN, RESPONSE.peak):
        np.testing.assert_allclose(answer(each), answer(once), rtol=1e-12)


def test_force_at_set_is_the_inverse():
    """The force for a set leaves that set, for arrays of any shape."""
    links = USUAL._replace(pitch_mm=np.linspace(23.0, 25.0, 5))
    wanted = np.array([[0.4], [0.6], [90.0]])
    force = RESPONSE.force_at_set_kN(links, wanted)
    back = RESPONSE.permanent_set_mm(links, force[:2])
    np.testing.assert_allclose(back, np.broadcast_to(wanted[:2], back.shape), rtol=1e-9)
    assert np.isnan(force[2]).all()


def test_a_few_links_outside_are_run_by_the_beam_model():
    """The one outside gets the beam model's value times response over beam at the edge."""
    links = USUAL._replace(pitch_mm=np.array([24.0, 44.0]))
    outside, edge = USUAL._replace(pitch_mm=44.0), USUAL._replace(pitch_mm=41.0)
    far, near = (pull_link(*model(link), friction_coefficient=0.1).peak for link in (outside, edge))
    force = RESPONSE.maximum_force_kN(edge) * far.force_kN / near.force_kN
    assert RESPONSE.maximum_force_kN(links)[1] == pytest.approx(force, rel=1e-9)
    assert RESPONSE.maximum_force_kN(links)[0] == RESPONSE.maximum_force_kN(USUAL)
    share = 40.0 / force
    sets = [
        prove_link(*model(link), share * peak.force_kN, friction_coefficient=0.1).permanent_set_mm
        for link, peak in ((outside, far), (edge, near))
    ]
    own = RESPONSE.permanent_set_mm(edge, share * RESPONSE.maximum_force_kN(edge))
    grown = RESPONSE.permanent_set_mm(links, 40.0)[1]
    assert grown == pytest.approx(own * sets[0] / sets[1], rel=1e-6)


def test_one_size_with_many_steels():
    """A size given once and strengths in an array need no other shape."""
    link = USUAL._replace(hardening_exponent=np.array([0.05, 0.1]))
    one = RESPONSE.maximum_force_kN(USUAL._replace(hardening_exponent=0.1))
    assert RESPONSE.maximum_force_kN(link)[1] == pytest.approx(one, rel=1e-12)


def test_many_links_outside_are_an_error_that_names_the_range():
    """A thousand links of a pitch that no fit has seen are refused."""
    links = USUAL._replace(pitch_mm=np.full(1000, 60.0))
    with pytest.raises(ArgumentError, match=r"pitch over wire diameter = 7\.5.*2\.5 to 5"):
        RESPONSE.maximum_force_kN(links)
