"""The local response against the beam model that it stands for."""

import numpy as np
import pytest

from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_response import LinkMembers, LinkResponse
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.quantities import ArgumentError

STRENGTH = 1180.0
PROOF = 50.3


@pytest.fixture(scope="module")
def response():
    steel = SwiftCurve.of_strength(STRENGTH, 0.06, 0.005)
    return LinkResponse.build(LinkGeometry(8.0, 24.0, 26.8), steel, PROOF)


@pytest.fixture(scope="module")
def members():
    rng = np.random.default_rng(11)

    def near(value, share):
        return value * (1 + share * rng.uniform(-1, 1, 40))

    return LinkMembers(
        near(8.0, 0.04), near(24.0, 0.03), np.full(40, 26.8), near(STRENGTH, 0.10),
        near(0.06, 0.3), np.full(40, 0.005),
    )  # fmt: skip


def both(members):
    wire, pitch, width, strength, exponent, prestrain = members
    return LinkGeometry(wire, pitch, width), SwiftCurve.of_strength(strength, exponent, prestrain)


def test_maximum_force_within_one_per_cent(response, members):
    """Over the whole range the maximum force is the beam's within 1 per cent."""
    beam = pull_link(*both(members)).peak.force_kN
    np.testing.assert_allclose(response.maximum_force_kN(members), beam, rtol=0.01)


def test_set_within_three_per_cent(response, members):
    """Over the whole range the set after proof is the beam's within 3 per cent."""
    beam = prove_link(*both(members), PROOF).permanent_set_mm
    np.testing.assert_allclose(response.permanent_set_mm(members, PROOF), beam, rtol=0.03)


def test_force_at_set_is_the_inverse(response, members):
    """The force for a set leaves that set, for arrays of any shape."""
    wanted = np.array([[0.4], [0.6]])
    force = response.force_at_set_kN(members, wanted)
    inside = np.isfinite(force)
    assert inside.mean() > 0.5
    back = response.permanent_set_mm(members, force)
    np.testing.assert_allclose(
        back[inside], np.broadcast_to(wanted, force.shape)[inside], rtol=1e-6
    )


def test_outside_the_fitted_shares_is_nan(response, members):
    """A proof force far from the one the response was built for gives nan, not a guess."""
    assert np.isnan(response.permanent_set_mm(members, 10.0)).all()


def test_extension_at_maximum_is_of_the_right_size(response):
    """The extension at the maximum is loose, as the force is flat there: within 15 per cent."""
    nominal = LinkMembers(8.0, 24.0, 26.8, STRENGTH, 0.06, 0.005)
    assert response.extension_at_maximum_mm(nominal) == pytest.approx(5.1, rel=0.15)


def test_a_proof_force_near_the_maximum_is_refused():
    """The response cannot be built where the set runs away."""
    steel = SwiftCurve.of_strength(STRENGTH, 0.06, 0.005)
    with pytest.raises(ArgumentError, match="proof_force_kN"):
        LinkResponse.build(LinkGeometry(8.0, 24.0, 26.8), steel, 80.0)
