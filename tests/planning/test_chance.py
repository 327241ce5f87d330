"""Chance of a lot: against exact integrals, and the promises of the draws."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from linkwright.planning.chance import chance_of, lot_chance, spread_within
from linkwright.planning.draws import Ensemble, drawn, link_column, lot_column, stratified
from linkwright.planning.influence import design_of, influence_of
from linkwright.route import Factor, Requirement, Scatter

# x = 100 + 3 f + 2 l + 1.5 z; every lot must show `pieces` links above 96
FACTOR, LOT, LINK, LIMIT = 3.0, 2.0, 1.5, 96.0


def exact(pieces: float, between: float) -> float:
    """The same chance by quadrature over the normal law of the lot's mean."""
    return quad(
        lambda u: (
            np.exp(-u * u / 2)
            / np.sqrt(2 * np.pi)
            * ndtr((100 + between * u - LIMIT) / LINK) ** pieces
        ),
        -9,
        9,
        epsabs=1e-10,
    )[0]


def toy(ensemble: Ensemble) -> tuple[np.ndarray, object]:
    conditions = drawn(
        [Scatter("lot/a/b/l", 1.0, "toy"), Scatter("link/a/b/z", 1.0, "toy")],
        [Factor("f", 1.0, 1.0, "toy")],
        ensemble,
    )
    d = conditions.draws
    return 100 + FACTOR * d["f"] + LOT * d["lot/a/b/l"] + LINK * d["link/a/b/z"], conditions


@pytest.mark.parametrize("pieces", [1, 2, 20, 8000])
def test_chance_of_the_toy_is_within_one_per_cent_of_the_exact_integral(pieces: int) -> None:
    """A toy with an exact integral is met to 1 % with 512 lots."""
    values, conditions = toy(Ensemble())
    influence = influence_of(values, design_of(conditions, Ensemble()))
    found = chance_of(values, Requirement("x", LIMIT, None, pieces, "toy"), influence)
    assert found.chance == pytest.approx(exact(pieces, np.hypot(FACTOR, LOT)), abs=0.01)


@pytest.mark.parametrize("pieces", [1, 2, 20])
def test_chance_at_median_factors_is_the_integral_over_lots_alone(pieces: int) -> None:
    """With the factors taken off, the integral over lot scatter alone is left."""
    values, conditions = toy(Ensemble())
    influence = influence_of(values, design_of(conditions, Ensemble()))
    found = chance_of(values, Requirement("x", LIMIT, None, pieces, "toy"), influence)
    assert found.at_factors == pytest.approx(exact(pieces, LOT), abs=0.01)


def test_a_flat_count_of_members_is_wrong_where_lots_are_tested() -> None:
    """Counting lots whose eight drawn links pass is not the chance of a lot of 8000."""
    values, _ = toy(Ensemble())
    flat = np.mean(np.all(values >= LIMIT, axis=1))
    assert abs(flat - exact(8000, np.hypot(FACTOR, LOT))) > 0.1


def test_indices_of_the_toy_are_its_variances() -> None:
    """First-order shares equal the squared coefficients over their sum."""
    values, conditions = toy(Ensemble())
    shares = {
        name: share
        for name, share, _ in influence_of(values, design_of(conditions, Ensemble())).shares
    }
    total = FACTOR**2 + LOT**2 + LINK**2
    assert shares["f"] == pytest.approx(FACTOR**2 / total, abs=0.01)
    assert shares["lot/a/b/l"] == pytest.approx(LOT**2 / total, abs=0.01)
    assert shares["link/a/b/z"] == pytest.approx(LINK**2 / total, abs=0.01)


def test_a_new_column_moves_no_other() -> None:
    """Adding a source of scatter leaves all other columns as they were, bit for bit."""
    ensemble = Ensemble()
    few = drawn([Scatter("lot/a/b/l", 1.0, "")], [], ensemble)
    many = drawn([Scatter("link/x/y/z", 1.0, ""), Scatter("lot/a/b/l", 1.0, "")], [], ensemble)
    assert np.array_equal(few.draws["lot/a/b/l"], many.draws["lot/a/b/l"])


def test_a_column_is_stratified() -> None:
    """Each of the equal strata holds exactly one deviate."""
    column = stratified("lot/a/b/c", 512, 1)
    assert sorted((ndtr(column) * 512).astype(int)) == list(range(512))


def test_link_columns_are_mirrored_pairs() -> None:
    """The second half of a lot's links mirrors the first."""
    column = link_column("link/a/b/c", Ensemble())
    assert column.shape == (512, 8)
    assert np.array_equal(column[:, :4], -column[:, 4:])
    assert lot_column("lot/a/b/c", Ensemble()).shape == (512, 1)


def test_spread_within_sees_only_the_links() -> None:
    """Differences between lots do not enter the pooled spread within lots."""
    values, _ = toy(Ensemble())
    assert spread_within(values) == pytest.approx(LINK, rel=0.02)


def test_no_spread_means_yes_or_no() -> None:
    """Without spread within lots a lot either passes or fails."""
    found = lot_chance(np.array([95.0, 97.0]), 0.0, Requirement("x", LIMIT, None, 5, ""))
    assert found.tolist() == [0.0, 1.0]


def test_two_limits_are_both_counted() -> None:
    """A lot in the middle of its band fails on either side alike."""
    band = Requirement("x", -1.0, 1.0, 1, "")
    found = lot_chance(np.array([0.0, 0.5, -0.5]), 1.0, band)
    assert found[0] == pytest.approx(ndtr(1) - ndtr(-1))
    assert found[1] == pytest.approx(found[2])


@pytest.mark.parametrize("lots", [32, 64, 128, 256])
def test_few_lots_tell_a_larger_error_not_a_wrong_chance(lots: int) -> None:
    """With too few lots for the fit the chance is the plain average, and its error says so."""
    ensemble = Ensemble(lots=lots)
    scatter = [Scatter(f"lot/a/b/{name}", 1.0, "toy") for name in "cdefghijklmnopqrstuvwxyz"]
    conditions = drawn(
        [*scatter, Scatter("link/a/b/z", 1.0, "")], [Factor("f", 1, 1, "")], ensemble
    )
    d = conditions.draws
    values = 100 + FACTOR * d["f"] + LOT * d["lot/a/b/l"] + LINK * d["link/a/b/z"]
    influence = influence_of(values, design_of(conditions, ensemble))
    found = chance_of(values, Requirement("x", LIMIT, None, 2, "toy"), influence)
    assert abs(found.chance - exact(2, np.hypot(FACTOR, LOT))) < 4 * found.error + 0.005
    assert influence.shares[0][0] == "f"
