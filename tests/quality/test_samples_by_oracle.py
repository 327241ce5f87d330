"""Fits, intervals and plans against scipy, closed forms and simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from linkwright.quality.attribute_sampling import (
    attribute_sampling_of_lot,
    attribute_sampling_plan,
    sampling_tables,
)
from linkwright.quality.breaking_force import breaking_force_of_chain
from linkwright.quality.capability import capability_of_readings, cp_interval
from linkwright.quality.fatigue_tests import staircase, strain_life_line
from linkwright.quality.gauge_study import gauge_study_anova, gauge_study_ranges
from linkwright.quality.hotelling import hotelling_chart, hotelling_contributions
from linkwright.quality.lives import birnbaum_saunders_fit, exponential_life, product_limit
from linkwright.quality.sample_statistics import least_squares
from linkwright.quality.sampling_curves import (
    acceptance_probability,
    double_sampling,
    proportion_interval,
    quality_at_acceptance,
)
from linkwright.quality.tolerance_interval import (
    sample_size_without_law,
    tolerance_of_readings,
    two_sided_tolerance_factor,
)
from linkwright.quality.variables_sampling import estimated_percent_outside
from linkwright.quality.variance_analysis import anova_of_groups, variance_components
from linkwright.quality.weibull import weibull_fit, weibull_rank_regression
from linkwright.quantities import ArgumentError, UnknownName

RNG = np.random.default_rng(20)


def test_weibull_fit_against_scipy() -> None:
    """Complete sample: scipy's own maximum likelihood, location held at 0."""
    x = 50.0 * RNG.weibull(3.0, 40)
    shape, _, scale = stats.weibull_min.fit(x, floc=0.0)
    found = weibull_fit(failures=x)
    assert (found.shape, found.scale) == pytest.approx((shape, scale), rel=1e-3)


def test_weibull_fit_censored_against_scipy() -> None:
    """Stopped tests: scipy's fit of censored data, and the intervals hold the fit."""
    x = 50.0 * RNG.weibull(2.0, 60)
    failed, stopped = x[x < 55.0], np.full(int((x >= 55.0).sum()), 55.0)
    data = stats.CensoredData(uncensored=failed, right=stopped)
    shape, _, scale = stats.weibull_min.fit(data, floc=0.0)
    found = weibull_fit(failures=failed, censored=stopped)
    assert (found.shape, found.scale) == pytest.approx((shape, scale), rel=1e-3)
    assert found.shape_lower < found.shape < found.shape_upper


def test_weibull_intervals_by_the_curvature_of_the_likelihood() -> None:
    """Observed information by differences of the log likelihood."""
    x = 50.0 * RNG.weibull(2.5, 30)
    found = weibull_fit(failures=x)

    def likelihood(a: float, b: float) -> float:
        shape, scale = found.shape * np.exp(a), found.scale * np.exp(b)
        return float(stats.weibull_min.logpdf(x, shape, scale=scale).sum())

    h = 1e-3
    table = np.empty((2, 2))
    for i, j in ((0, 0), (0, 1), (1, 0), (1, 1)):
        steps = [(s * h * (i == 0) + t * h * (j == 0), s * h * (i == 1) + t * h * (j == 1), s * t)
                 for s in (1, -1) for t in (1, -1)]  # fmt: skip
        table[i, j] = sum(sign * likelihood(a, b) for a, b, sign in steps) / (4 * h * h)
    spread = np.sqrt(np.diag(np.linalg.inv(-table)))
    assert np.log(found.shape_upper / found.shape) == pytest.approx(1.95996 * spread[0], rel=1e-3)
    assert np.log(found.scale_upper / found.scale) == pytest.approx(1.95996 * spread[1], rel=1e-3)


@given(st.floats(0.5, 20.0), st.floats(1.0, 1e4))
def test_rank_regression_of_exact_medians_gives_the_law(shape: float, scale: float) -> None:
    """Values that lie at their median ranks lie on the line."""
    i = np.arange(1, 11)
    rank = stats.beta.ppf(0.5, i, 11 - i)
    found = weibull_rank_regression(failures=scale * (-np.log1p(-rank)) ** (1.0 / shape))
    assert (found.shape, found.scale, found.r2) == pytest.approx((shape, scale, 1.0), rel=1e-6)


def test_survival_without_stopped_tests_is_the_share_left() -> None:
    """Kaplan and Meier of a complete sample is the empirical survival; scipy agrees on others."""
    x = np.array([3.0, 1.0, 2.0, 4.0])
    assert np.allclose(product_limit(event=x).survival, [0.75, 0.5, 0.25, 0.0])
    data = stats.CensoredData(uncensored=[1.0, 2.0, 2.0, 5.0], right=[2.0, 3.0, 6.0])
    theirs = stats.ecdf(data).sf
    ours = product_limit(event=[1.0, 2.0, 2.0, 5.0], censored=[2.0, 3.0, 6.0])
    assert np.allclose(ours.survival, theirs.evaluate(ours.time))


def test_birnbaum_saunders_against_scipy() -> None:
    """Scipy knows the law as fatigue life."""
    x = stats.fatiguelife.rvs(0.3, scale=100.0, size=80, random_state=3)
    shape, _, scale = stats.fatiguelife.fit(x, floc=0.0)
    found = birnbaum_saunders_fit(lives=x)
    assert (found.alpha, found.beta) == pytest.approx((shape, scale), rel=1e-3)


def test_exponential_life_counts_all_time() -> None:
    """W. Nelson's fans have 12 failures; here by hand: 2 failures in 10 h."""
    found = exponential_life(time=[1.0, 3.0, 6.0], status=[1.0, 1.0, 0.0])
    assert (found.events, found.mean_life) == (2, 5.0)
    assert found.mean_life_lower < 5.0 < found.mean_life_upper


def test_two_sided_tolerance_factors_of_the_standard() -> None:
    """ISO 16269-6, exact two-sided factors, 95 % at 95 %: 3.393 for n 10 (from memory)."""
    assert two_sided_tolerance_factor(n=10.0, proportion=0.95).k == pytest.approx(3.393, abs=1e-3)


def test_tolerance_limits_hold_as_often_as_they_say() -> None:
    """4000 samples of 12: 90 % of all values inside in 95 % of them."""
    x = RNG.standard_normal((4000, 12))
    k = two_sided_tolerance_factor(n=12.0, proportion=0.9, confidence=0.95).k
    mean, s = x.mean(axis=1), x.std(axis=1, ddof=1)
    inside = stats.norm.cdf(mean + k * s) - stats.norm.cdf(mean - k * s)
    assert np.mean(inside >= 0.9) == pytest.approx(0.95, abs=0.012)
    one = tolerance_of_readings(readings=x[0], proportion=0.9)
    assert one.lower < one.mean < one.upper


def test_sizes_without_a_law() -> None:
    """Wilks: 59 one-sided and 93 two-sided for 95 % at 95 % (S. S. Wilks 1941, from memory)."""
    assert sample_size_without_law(proportion=0.95) == 59.0
    assert sample_size_without_law(proportion=0.95, two_sided=True) == 93.0


@given(st.integers(2, 200), st.integers(0, 5), st.floats(0.02, 0.98))
def test_quality_at_acceptance_turns_the_curve_round(n: int, c: int, chance: float) -> None:
    """The share that is accepted with a chance is accepted with that chance."""
    if c >= n:
        with pytest.raises(ArgumentError):
            quality_at_acceptance(n=float(n), c=float(c), accept_probability=chance)
        return
    p = quality_at_acceptance(n=float(n), c=float(c), accept_probability=chance) / 100.0
    assert acceptance_probability(n=float(n), c=float(c), p=p) == pytest.approx(chance, rel=1e-6)


def test_curves_against_scipy() -> None:
    """Binomial, hypergeometric and exact limits."""
    assert acceptance_probability(n=50.0, c=1.0, p=0.03) == pytest.approx(
        stats.binom.cdf(1, 50, 0.03)
    )
    assert acceptance_probability(n=50.0, c=1.0, p=0.03, N=200.0) == pytest.approx(
        stats.hypergeom.cdf(1, 200, 6, 50)
    )
    theirs = stats.binomtest(7, 40).proportion_ci(method="exact")
    ours = proportion_interval(x=7.0, n=40.0)
    assert (ours.lower, ours.upper) == pytest.approx(tuple(theirs))
    assert proportion_interval(x=5.0, n=5.0).upper == 1.0


def test_double_sampling_by_counting_all_cases() -> None:
    """Every pair of outcomes, weighed by the binomial law."""
    n1, c1, n2, c2, p = 8, 0, 12, 2, 0.1
    wanted = sum(
        stats.binom.pmf(a, n1, p) * stats.binom.pmf(b, n2, p)
        for a in range(n1 + 1)
        for b in range(n2 + 1)
        if a <= c1 or (a <= c2 and a + b <= c2)
    )
    found = double_sampling(n1=float(n1), c1=float(c1), n2=float(n2), c2=float(c2), p=p)
    assert found.accept_probability == pytest.approx(wanted)


def test_every_cell_of_the_sampling_tables_leads_to_a_plan() -> None:
    """No arrow ends at an arrow; acceptance numbers grow with the AQL; Re is Ac + 1."""
    tables = sampling_tables()
    for inspection in ("normal", "tightened"):
        for letter in tables["letters"]:
            last = -1.0
            for aql in tables["aql_percent"]:
                plan = attribute_sampling_plan(
                    letter=letter, aql_percent=aql, inspection=inspection
                )
                assert plan.reject == plan.accept + 1
                assert plan.accept / plan.n >= last * 0.999 or plan.accept <= 1
                last = plan.accept / plan.n


@pytest.mark.parametrize(
    ("letter", "aql", "inspection", "wanted"),
    [
        ("F", 1.0, "normal", (13, 0, "E")), ("G", 1.0, "normal", (50, 1, "H")),
        ("R", 1.0, "normal", (1250, 21, "Q")), ("E", 250.0, "normal", (13, 44, "E")),
        ("K", 1.0, "tightened", (125, 2, "K")), ("F", 1.0, "tightened", (20, 0, "F")),
        ("R", 0.025, "tightened", (3150, 1, "S")),
    ],
)  # fmt: skip
def test_arrows_of_the_sampling_tables(
    letter: str, aql: float, inspection: str, wanted: tuple[int, int, str]
) -> None:
    """ISO 2859-1:1999, Tables 2-A and 2-B, from memory."""
    plan = attribute_sampling_plan(letter=letter, aql_percent=aql, inspection=inspection)
    assert (plan.n, plan.accept, plan.letter_used) == wanted


def test_a_small_lot_is_looked_at_whole() -> None:
    """A sample is never larger than its lot; reduced inspection is not held."""
    assert attribute_sampling_of_lot(lot_size=6.0, aql_percent=0.65).n == 6
    with pytest.raises(UnknownName, match="tightened"):
        attribute_sampling_plan(letter="K", aql_percent=1.0, inspection="reduced")
    with pytest.raises(ArgumentError, match="not listed"):
        attribute_sampling_plan(letter="K", aql_percent=1.2)


def test_estimated_share_is_without_bias() -> None:
    """Mean of the estimate over many samples is the share outside (Lieberman & Resnikoff)."""
    x = RNG.standard_normal((20000, 7))
    index = (1.5 - x.mean(axis=1)) / x.std(axis=1, ddof=1)
    mean = float(np.mean(estimated_percent_outside(quality_index=index, n=7.0)))
    assert mean == pytest.approx(100.0 * stats.norm.sf(1.5), rel=0.02)


def test_interval_of_cp_holds_as_often_as_it_says() -> None:
    """3000 samples of 15 from a process with Cp 1."""
    s = RNG.standard_normal((3000, 15)).std(axis=1, ddof=1)
    found = cp_interval(usl=3.0, lsl=-3.0, s=s, n=15.0)
    assert np.mean((found.lower <= 1.0) & (found.upper >= 1.0)) == pytest.approx(0.95, abs=0.015)


def test_capability_of_readings_is_that_of_its_figures() -> None:
    """Pp and Ppk by their definitions; one limit alone gives no Pp."""
    x = 10.0 + 0.1 * RNG.standard_normal((30, 5))
    found = capability_of_readings(readings=x, usl=10.5, lsl=9.6)
    assert found.pp == pytest.approx(0.9 / (6.0 * x.std(ddof=1)))
    assert found.ppk == pytest.approx(min(10.5 - x.mean(), x.mean() - 9.6) / (3.0 * x.std(ddof=1)))
    assert capability_of_readings(readings=x, usl=10.5).pp is None
    with pytest.raises(ArgumentError, match="usl"):
        capability_of_readings(readings=x)


def test_anova_against_scipy_and_components_found_again() -> None:
    """F and p by scipy; 400 groups show the spreads that were put in."""
    group = np.repeat(np.arange(400), 5)
    value = 2.0 * RNG.standard_normal(400)[group] + RNG.standard_normal(2000)
    theirs = stats.f_oneway(*(value[group == one] for one in range(400)))
    found = anova_of_groups(group=group, value=value)
    assert (found.F, found.p) == pytest.approx((theirs.statistic, theirs.pvalue), rel=1e-9)
    parts = variance_components(group=group, value=value)
    assert parts.sigma_between == pytest.approx(2.0, rel=0.12)
    assert parts.sigma_within == pytest.approx(1.0, rel=0.05)


def test_gauge_study_finds_what_was_put_in() -> None:
    """60 parts, 20 appraisers: repeatability 1, appraisers 2, parts 5; both methods agree."""
    part, who, _ = (one.ravel() for one in np.meshgrid(range(60), range(20), range(3),
                                                        indexing="ij"))  # fmt: skip
    value = (5.0 * RNG.standard_normal(60)[part] + 2.0 * RNG.standard_normal(20)[who]
             + RNG.standard_normal(part.size))  # fmt: skip
    for study in (gauge_study_anova, gauge_study_ranges):
        found = study(part=part, appraiser=who, value=value, tolerance=100.0)
        assert pytest.approx(1.0, rel=0.06) == found.EV
        assert pytest.approx(2.0, rel=0.5) == found.AV
        assert pytest.approx(np.hypot(found.GRR, found.PV)) == found.TV
        assert found.percent_tolerance == pytest.approx(6.0 * found.GRR)
    with pytest.raises(ArgumentError, match="equally often"):
        gauge_study_anova(part=part[:-1], appraiser=who[:-1], value=value[:-1])


def test_t2_limits_hold_as_often_as_they_say() -> None:
    """Single readings of the first period follow the beta law; what follows the F law."""
    alarms = [
        len(hotelling_contributions(data=RNG.standard_normal((25, 3)), alpha=0.05).signals)
        for _ in range(400)
    ]
    assert np.mean(alarms) / 25.0 == pytest.approx(0.05, abs=0.006)
    limits = hotelling_chart(p=3.0, samples=25.0, n=1.0, alpha=0.05)
    assert limits.ucl < limits.ucl_phase_2


def test_contributions_name_the_variable_that_moved() -> None:
    """One reading is pushed along one variable."""
    x = RNG.standard_normal((60, 4))
    x[10, 2] += 9.0
    found = hotelling_contributions(data=x)
    assert found.signals == [11]
    assert found.leading_variable == [3]


def test_regression_against_scipy() -> None:
    """One variable: scipy's line with its errors."""
    x = RNG.standard_normal(30)
    y = 2.0 + 3.0 * x + 0.1 * RNG.standard_normal(30)
    theirs, ours = stats.linregress(x, y), least_squares(y=y, x=x)
    assert ours.b == pytest.approx([theirs.intercept, theirs.slope])
    assert ours.u_b == pytest.approx([theirs.intercept_stderr, theirs.stderr])
    with pytest.raises(ArgumentError, match="follow from others"):
        least_squares(y=y, x=np.column_stack([x, 2.0 * x]))


def test_norris_certified_values() -> None:
    """NIST StRD, linear regression, Norris (certified values from memory)."""
    from linkwright.services.calculations import calculate
    from linkwright.services.columns import opened
    from linkwright.services.rows import shipped_rows

    folder = shipped_rows()[0].folder
    found = calculate("least_squares", **opened({"file": str(folder / "data" / "norris.csv")}))
    assert found["b"] == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-9)
    assert found["residual_of_s"] == pytest.approx(0.884796396144373, rel=1e-9)


def test_staircase_finds_mean_and_spread() -> None:
    """60 staircases of 400 tests about 500 with 20, in steps of 20."""
    means, spreads = [], []
    for _ in range(60):
        level, levels, broke = 500.0, [], []
        for strength in 500.0 + 20.0 * RNG.standard_normal(400):
            levels.append(level)
            broke.append(float(strength < level))
            level += -20.0 if broke[-1] else 20.0
        found = staircase(level=levels, failed=broke)
        means.append(found.mean)
        spreads.append(found.s)
    assert np.mean(means) == pytest.approx(500.0, abs=1.0)
    assert np.mean(spreads) == pytest.approx(20.0, rel=0.06)


def test_staircase_by_hand() -> None:
    """Levels 1 and 2: run-outs at 1, 1, failures at 2, 2, 2, 2: A 0, mean 1 + 1/2."""
    found = staircase(level=[2, 1, 2, 1, 2, 2], failed=[1, 0, 1, 0, 1, 1], step=1.0)
    assert (found.mean, found.A, found.s_valid, found.s) == (1.5, 0.0, False, 0.53)
    with pytest.raises(ArgumentError, match="failures and run-outs"):
        staircase(level=[1, 2], failed=[1, 1])


def test_straight_line_against_scipy() -> None:
    """Slope and intercept of log life by scipy; lack of fit only where levels repeat."""
    strain = np.array([0.01, 0.01, 0.003, 0.003, 0.001, 0.001])
    cycles = np.array([200.0, 260.0, 2100.0, 1800.0, 2e4, 2.4e4])
    theirs = stats.linregress(np.log10(strain), np.log10(cycles))
    found = strain_life_line(strain_amplitude=strain, cycles=cycles)
    assert pytest.approx((theirs.intercept, theirs.slope)) == (found.A, found.B)
    assert found.lack_of_fit_f is not None
    assert strain_life_line(strain_amplitude=strain[::2], cycles=cycles[::2]).lack_of_fit_f is None


def test_a_longer_chain_is_its_weakest_link() -> None:
    """Simulated least of 50 pieces, normal law; the piece itself keeps its median."""
    forces = 100.0 + 4.0 * stats.norm.ppf((np.arange(1, 200) - 0.5) / 199)
    found = breaking_force_of_chain(forces=forces, links_in_piece=1.0, links=[1.0, 50.0])
    assert found.median_normal[0] == pytest.approx(found.mean)
    least = (found.mean + found.s * RNG.standard_normal((20000, 50))).min(axis=1)
    assert found.median_normal[1] == pytest.approx(np.median(least), rel=1e-3)
    assert found.median_weibull[1] / found.median_weibull[0] == pytest.approx(
        50.0 ** (-1.0 / found.shape)
    )
