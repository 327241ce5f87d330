"""Learning from tests, causes, drift and release: against closed forms and made-up truth."""

import numpy as np
import pytest
from scipy import stats

from linkwright.quality.causes import rank_causes
from linkwright.quality.conformity import conformance_probability, decision_risks, guard_band
from linkwright.quality.conjugate import beta_binomial_update, normal_update
from linkwright.quality.drift_alarm import change_point, drift_alarm
from linkwright.quality.learning import LEAST_LOTS, Learned, Reading, learn
from linkwright.quality.release import (
    MET,
    NO_EVIDENCE,
    NOT_MET,
    UNDECIDED,
    Evidence,
    release,
    requirement_verdict,
)
from linkwright.quantities import ArgumentError, UnknownName

LOTS, LINKS = 4096, 8
SCATTER, WITHIN, SLOPE = 1.0, 2.0, 3.0


def plan() -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """A plan of one result: factor a moves it by 3, factor b not at all."""
    rng = np.random.default_rng(4)
    a, b = (stats.norm.ppf((rng.permutation(LOTS) + 0.5) / LOTS) for _ in range(2))
    half = rng.standard_normal((LOTS, LINKS // 2)) * WITHIN
    lot = rng.standard_normal((LOTS, 1)) * SCATTER
    force = 100.0 + SLOPE * a[:, None] + lot + np.hstack([half, -half])
    return {"a": a, "b": b}, {"force_kN": force}


def taught(values: dict[str, list[float]], gauge: float = 0.5) -> Learned:
    readings = [Reading(lot, "force_kN", v, gauge) for lot, of in values.items() for v in of]
    return learn(*plan(), readings)


def test_learning_agrees_with_the_closed_form() -> None:
    """Linear and normal: a ~ N by Gelman et al., Eqs 2.11 and 2.12, lots as readings."""
    tests = {"L1": [103.0, 104.0, 105.0], "L2": [102.0, 103.0, 104.0]}
    found = taught(tests)
    sigma = np.sqrt(SCATTER**2 + WITHIN**2 / 3 + 0.5**2)
    wanted = normal_update(
        prior_mean=0.0, prior_sd=1.0, sample_mean=3.5 / SLOPE, sigma=sigma / SLOPE, n=2.0
    )
    a, b = found.factors
    assert (a.mean, a.sd) == pytest.approx((wanted.mean, wanted.sd), abs=0.05)
    assert (b.mean, b.sd) == pytest.approx((0.0, 1.0), abs=0.06)
    assert (a.moved, b.moved) == (True, False)
    assert found.enough
    assert found.believable


def test_readings_of_one_lot_teach_less_than_those_of_many() -> None:
    """Scatter from lot to lot does not average out within a lot."""
    one = taught({"L1": [103.0] * 6})
    many = taught({f"L{k}": [103.0] for k in range(6)})
    assert one.factors[0].sd > many.factors[0].sd
    assert one.effective_lots > many.effective_lots


def test_far_tests_ask_for_a_new_plan_and_for_doubt() -> None:
    """Tests that the plan held for impossible: few lots carry the weight, and it is said."""
    far = taught({f"L{k}": [118.0] * 5 for k in range(8)})
    assert far.effective_lots < LEAST_LOTS
    assert not far.enough
    assert not far.believable


def test_tests_at_the_mean_move_no_mean() -> None:
    """They narrow the factor and leave it where it was."""
    found = taught({f"L{k}": [100.0] * 4 for k in range(4)}).factors[0]
    assert found.mean == pytest.approx(0.0, abs=0.05)
    assert found.sd < 0.5


def test_an_unknown_result_is_refused() -> None:
    """With what the plan does hold."""
    with pytest.raises(UnknownName, match="force_kN"):
        learn(*plan(), [Reading("L1", "forze_kN", 1.0)])
    with pytest.raises(ArgumentError, match="at least one reading"):
        learn(*plan(), [])


def links(count: int = 200) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Links whose force falls with x1 and rises with x2; x3 does nothing."""
    rng = np.random.default_rng(9)
    x = rng.standard_normal((count, 3))
    y = 100.0 - 4.0 * x[:, 0] + 1.0 * x[:, 1] + 0.5 * rng.standard_normal(count)
    return x, y, (y < 94.0).astype(float)


def test_the_true_cause_ranks_first_and_explains_most() -> None:
    """The gap is taken apart by the slopes that were put in."""
    x, y, failed = links()
    found = rank_causes(variables=x, result=y, failed=failed)
    assert found.ranking[0] == 1
    assert found.slope == pytest.approx([-4.0, 1.0, 0.0], abs=0.12)
    assert found.share_percent[0] > 75.0
    assert abs(found.unexplained_percent) < 10.0
    assert all(failed[at - 1] == 0.0 for at in found.affected)


def test_physics_parts_what_the_data_cannot() -> None:
    """Two variables that always moved together: the data is silent, the model decides."""
    x, y, failed = links()
    x = np.column_stack([x[:, 0], x[:, 0] * 2.0 + 1.0])
    alone = rank_causes(variables=x, result=y, failed=failed)
    assert np.isinf(alone.slope_of_data_u).all()
    joined = rank_causes(variables=x, result=y, failed=failed, sensitivities=[-4.0, 0.0])
    assert joined.ranking[0] == 1
    assert joined.contribution[1] == pytest.approx(0.0, abs=1e-3)


def test_data_against_physics_is_said() -> None:
    """A sensitivity of the wrong sign is named, and the sharper one wins."""
    x, y, failed = links()
    found = rank_causes(variables=x, result=y, failed=failed, sensitivities=[4.0, 1.0, 0.0])
    assert found.physics_disagrees == [1]
    assert found.slope[0] < -3.0
    same = rank_causes(variables=x, result=y, failed=failed, sensitivities=[-4.0, 1.0, 0.0])
    assert same.physics_disagrees == []


def test_too_few_failures_are_refused() -> None:
    """One link is no pattern."""
    four = [1.0, 2.0, 3.0, 4.0]
    with pytest.raises(ArgumentError, match="at least 2 failed"):
        rank_causes(variables=four, result=four, failed=[1, 0, 0, 0])


def test_drift_is_found_where_it_began() -> None:
    """A step of two sigma after weld 300: alarm within its mean delay, begin within some welds."""
    rng = np.random.default_rng(2)
    energy = 10.0 + 0.2 * rng.standard_normal(400)
    energy[300:] += 0.4
    found = drift_alarm(readings=energy, baseline=100.0, seconds_per_reading_s=4.0)
    assert found.alarm is not None
    assert 300 < found.alarm < 320
    assert abs(found.last_before - 300) < 8
    assert found.shift == pytest.approx(0.4, abs=0.15)
    assert found.minutes_to_alarm == pytest.approx((found.alarm - found.last_before) / 15.0)
    assert found.readings_for_two_sigma < found.readings_for_one_sigma
    assert drift_alarm(readings=energy[:300], baseline=100.0).alarm is None


def test_change_point_and_its_bound() -> None:
    """A clear step is found exactly; without one the bound is not small too often."""
    rng = np.random.default_rng(3)
    step = np.concatenate([np.zeros(40), np.full(25, 3.0)]) + 0.3 * rng.standard_normal(65)
    found = change_point(readings=step)
    assert found.last_before == 40
    assert found.p_bound < 1e-6
    still = [change_point(readings=one).p_bound for one in rng.standard_normal((400, 50))]
    assert np.mean(np.array(still) < 0.05) <= 0.06


def test_guarded_decisions() -> None:
    """Met, undecided, not met by where the value lies; without evidence no release."""
    at = [
        requirement_verdict(value=value, u=0.5, least=63.0).verdict
        for value in (64.0, 63.5, 62.5, 62.0)
    ]
    assert at == [MET, UNDECIDED, UNDECIDED, NOT_MET]
    assert requirement_verdict(value=2.0, u=0.0, greatest=1.0).verdict == NOT_MET
    good = Evidence("breaking force", 66.0, 0.5, 63.0, None, "EN 818-2, Table 2")
    none = Evidence("bend", None, 0.0, 8.0, None, "EN 818-2")
    assert release([good]).may_be_released
    assert not release([]).may_be_released
    held = release([good, none])
    assert not held.may_be_released
    assert [one.verdict.verdict for one in held.open] == [NO_EVIDENCE]


def test_risks_of_decisions_by_simulation() -> None:
    """JCGM 106, 9.5: a million pieces and readings; a guard band moves risk to the producer."""
    rng = np.random.default_rng(6)
    true = 10.0 + 1.0 * rng.standard_normal(1_000_000)
    read = true + 0.3 * rng.standard_normal(true.size)
    good, taken = (true >= 8.0) & (true <= 11.5), (read >= 8.0) & (read <= 11.5)
    found = decision_risks(mean=10.0, sigma=1.0, u=0.3, lower=8.0, upper=11.5)
    assert found.consumer_risk == pytest.approx(np.mean(~good & taken), abs=4e-4)
    assert found.producer_risk == pytest.approx(np.mean(good & ~taken), abs=4e-4)
    assert found.accepted == pytest.approx(np.mean(taken), abs=1e-3)
    band = guard_band(u=0.3, lower=8.0, upper=11.5)
    guarded = decision_risks(
        mean=10.0, sigma=1.0, u=0.3, lower=8.0, upper=11.5,
        upper_acceptance_limit=band.acceptance_limit,
        lower_acceptance_limit=band.lower_acceptance_limit,
    )  # fmt: skip
    assert guarded.consumer_risk < found.consumer_risk
    assert guarded.producer_risk > found.producer_risk


def test_probability_at_the_limit_is_half() -> None:
    """And at the acceptance limit one less the risk."""
    assert conformance_probability(value=5.0, u=0.1, upper=5.0).probability == pytest.approx(0.5)
    band = guard_band(u=0.1, upper=5.0, risk=0.05)
    at = conformance_probability(value=band.acceptance_limit, u=0.1, upper=5.0)
    assert at.probability == pytest.approx(0.95)


def test_beta_update_against_scipy() -> None:
    """Interval of the posterior by scipy's beta law."""
    found = beta_binomial_update(successes=3.0, trials=20.0)
    assert (found.lower_95, found.upper_95) == pytest.approx(stats.beta.interval(0.95, 4, 18))
