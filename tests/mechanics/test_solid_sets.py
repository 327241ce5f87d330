"""One pull and the sets from it, against proving the same link anew."""

import numpy as np
import pytest
from mechanics.solid_runs import LINK, STEEL

from linkwright.mechanics.solid_link import prove_solid_link
from linkwright.mechanics.solid_sets import pull_and_unload


@pytest.fixture(scope="module", name="found")
def _found():
    return pull_and_unload(LINK, STEEL, (0.4, 0.65, 0.9), fineness="coarse", longest_step=0.025)


def test_sets_grow_with_the_force(found):
    """Unloading is found from all of them, and a greater force leaves a greater set."""
    assert found.pull.passed
    assert found.troubles == ()
    assert (np.diff(found.share) > 0).all()
    assert (np.diff(found.permanent_set_mm) > 0).all()
    np.testing.assert_allclose(found.share, [0.4, 0.65, 0.9], atol=0.03)


def test_the_set_is_that_of_a_proof_alone(found):
    """Loaded anew to the same force and unloaded, the link has the same set to 2 per cent."""
    force = float(found.share[1] * found.pull.maximum_force_kN)
    proof = prove_solid_link(LINK, STEEL, force, fineness="coarse", longest_step=0.025)
    assert found.permanent_set_mm[1] == pytest.approx(proof.permanent_set_mm, rel=0.02)


def test_a_pull_that_ends_early_says_so():
    """With few factorisations no maximum is passed; sets up to there are found all the same."""
    found = pull_and_unload(LINK, STEEL, (0.9,), fineness="coarse", factorisations=15)
    assert not found.pull.passed
    assert "15 factorisations did not suffice" in found.pull.ended
