"""Shrinkage, robust lines, forecast errors and breakage intervals against published values and SciPy.

Sources (ids of the project's collection of check values in brackets):
- Johnson, Ott and Dogucu, *Bayes Rules!*, chapter 5 [K86]. - Efron and Morris 1977, batting averages [K87].
- Gelman and others, *Bayesian Data Analysis*, eight schools, from memory, recomputed [K88].
- Helsel and Hirsch, *Statistical Methods in Water Resources*, chapter 10, from memory [K89].
- Data of *Managerial Accounting* 5.2 and 5.5 with SciPy's Theil–Sen [K90].
- *Demand Forecasting Best Practices*, section 8.4 [K91].
Tolerance 1e-6 relative unless a check says otherwise.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from shop.jobs.beta import beta_below, beta_quantile, chance_of_break
from shop.jobs.lookback import Result, look_at_breakage, look_back
from shop.jobs.robust import forecast_errors, odd_ones, odd_pairs, theil_sen
from shop.jobs.shrinkage import group_means, normal_posterior, pool, shrink_to_mean

AVERAGES = [400, 378, 356, 333, 311, 311, 289, 267, 244, 244, 222, 222, 222, 222, 222, 200, 178, 156]
HITS = [18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7]
SEASON = [346, 298, 276, 222, 273, 270, 263, 210, 269, 230, 264, 256, 303, 264, 226, 285, 316, 200]
SCHOOLS, ERRORS = [28.0, 8, -3, 7, -1, 1, 18, 12], [15.0, 10, 16, 11, 9, 11, 10, 18]
UNITS_1 = [3500.0, 3750, 3800, 3400, 5800, 5500, 2900, 3300, 3600, 5900, 5600, 5000]
COSTS_1 = [230e3, 250e3, 260e3, 220e3, 340e3, 330e3, 200e3, 210e3, 240e3, 380e3, 350e3, 290e3]
UNITS_2 = [300.0, 220, 330, 390, 410, 240, 290, 320, 380, 150, 450, 350]
COSTS_2 = [460e3, 300e3, 480e3, 550e3, 570e3, 310e3, 440e3, 455e3, 530e3, 250e3, 700e3, 490e3]


def test_k86_normal_posterior() -> None:
    made = normal_posterior(6.5, 0.4, 0.5, 25, 5.735)
    assert round(made.mean, 2) == 5.78
    assert made.sd**2 == pytest.approx(0.009411765, rel=1e-6)
    assert made.sd == pytest.approx(0.09701425, rel=1e-6)
    assert made.weight == pytest.approx(0.941176, abs=5e-7)


def test_normal_posterior_is_that_of_numerical_integration() -> None:
    prior, sigma, data = stats.norm(1.0, 0.1), 0.15, [1.2, 1.35, 1.1, 1.28]

    def joint(mean: float) -> float:
        return float(prior.pdf(mean) * np.prod(stats.norm.pdf(data, mean, sigma)))

    whole = integrate.quad(joint, 0, 3, points=[1.15])[0]
    mean = integrate.quad(lambda m: m * joint(m), 0, 3, points=[1.15])[0] / whole
    made = normal_posterior(1.0, 0.1, sigma, 4, sum(data) / 4)
    assert made.mean == pytest.approx(mean, rel=1e-9)


def test_k87_empirical_bayes() -> None:
    averages = [value / 1000 for value in AVERAGES]
    centre = sum(averages) / 18
    variance = centre * (1 - centre) / 45
    made = shrink_to_mean(averages, variance)
    assert variance == pytest.approx(0.00433239, rel=1e-5)
    assert (round(made.centre, 3), round(made.factor, 3)) == (0.265, 0.212)
    assert made.factor == pytest.approx(0.2123905, rel=1e-6)
    assert (round(made.values[0], 3), round(made.values[-1], 3)) == (0.294, 0.242)


def test_k87_exact_fractions_give_another_factor() -> None:
    hits = [value / 45 for value in HITS]
    centre = sum(hits) / 18
    assert shrink_to_mean(hits, centre * (1 - centre) / 45).factor == pytest.approx(0.2116534, rel=1e-6)


def test_k87_shrunk_is_nearer_to_the_season() -> None:
    averages, season = [value / 1000 for value in AVERAGES], [value / 1000 for value in SEASON]
    centre = sum(averages) / 18
    made = shrink_to_mean(averages, centre * (1 - centre) / 45)

    def error(values: list[float] | tuple[float, ...]) -> float:
        return math.fsum((value - came) ** 2 for value, came in zip(values, season, strict=True))

    assert error(averages) == pytest.approx(0.07537, abs=2e-4)
    assert error(made.values) == pytest.approx(0.02131, abs=2e-4)


def test_k88_pooled_schools_and_the_truncated_variance() -> None:
    made = pool(SCHOOLS, ERRORS)
    assert made.mean == pytest.approx(7.685617, rel=1e-6)
    assert made.sd == pytest.approx(4.071919, rel=1e-6)
    assert made.heterogeneity == pytest.approx(4.707079, rel=1e-6)
    assert made.between_variance == 0.0


def test_k88_schools_at_a_between_deviation_of_ten() -> None:
    centre, means = group_means(SCHOOLS, ERRORS, 10.0)
    assert centre == pytest.approx(8.126472, rel=1e-6)
    expected = [14.2414, 8.0632, 5.0011, 7.6168, 3.0842, 4.9018, 13.0632, 9.0400]
    assert means == pytest.approx(expected, abs=5e-5)


def test_no_between_deviation_pools_completely() -> None:
    centre, means = group_means(SCHOOLS, ERRORS, 0.0)
    assert set(means) == {centre}


def test_k89_theil_sen_is_not_pulled_by_an_outlier() -> None:
    x, y = [1, 2, 3, 4, 5, 6, 7], [1, 2, 3, 4, 5, 16, 7]
    line = theil_sen(x, y)
    assert line is not None
    assert (line.slope, line.intercept) == (1.0, 0.0)
    assert odd_pairs(x, y) == (5,)


@pytest.mark.parametrize(
    ("x", "y", "slope", "intercept"),
    [(UNITS_1, COSTS_1, 57.983193, 36_113.445), (UNITS_2, COSTS_2, 1_357.142857, 28_928.571)],
    ids=["K90 first", "K90 second"],
)
def test_k90_theil_sen(x: list[float], y: list[float], slope: float, intercept: float) -> None:
    line = theil_sen(x, y)
    theirs = stats.theilslopes(y, x, method="separate")
    assert line is not None
    assert line.slope == pytest.approx(slope, rel=1e-6)
    assert line.intercept == pytest.approx(intercept, rel=1e-6)
    assert (line.slope, line.intercept) == pytest.approx((theirs.slope, theirs.intercept), rel=1e-12)


def test_k91_forecast_errors() -> None:
    made = forecast_errors([10, 5, 8, 10], [15, 12, 5, 8])
    assert made.mape == pytest.approx(0.61875, rel=1e-12)
    assert made.weighted == pytest.approx(0.51515, abs=5e-6)
    assert (made.mae, made.bias, made.median_ape) == (4.25, 1.75, 0.4375)
    assert made.rmse == pytest.approx(4.663690, rel=1e-6)


def test_k91_no_percentage_of_nought() -> None:
    made = forecast_errors([0, 5], [1, 5])
    assert (made.mape, made.median_ape) == (None, None)
    assert made.weighted == pytest.approx(0.2)


@pytest.mark.parametrize(("a", "b"), [(0.5, 20.5), (1.5, 19.5), (3.5, 400.5), (0.5, 0.5), (60.5, 40.5)])
def test_beta_agrees_with_scipy(a: float, b: float) -> None:
    for share in (0.005, 0.025, 0.5, 0.975, 0.995):
        quantile = beta_quantile(share, a, b)
        assert quantile == pytest.approx(stats.beta.ppf(share, a, b), rel=1e-9, abs=1e-14)
        assert beta_below(quantile, a, b) == pytest.approx(share, rel=1e-9)


def test_interval_of_a_chance_agrees_with_scipy() -> None:
    made = chance_of_break(2, 40)
    low, high = stats.beta(2.5, 38.5).interval(0.95)
    assert (made.low, made.high) == pytest.approx((low, high), rel=1e-9)


def test_odd_ones_are_those_of_the_modified_z_score() -> None:
    values = [1.02, 0.97, 1.1, 0.93, 1.05, 1.9]
    scores = 0.6745 * np.abs(np.array(values) - np.median(values)) / stats.median_abs_deviation(values)
    assert odd_ones(values) == tuple(int(at) for at in np.flatnonzero(scores >= 3.5))
    assert odd_ones(values) == (5,)


def test_nothing_is_suggested_from_two_jobs() -> None:
    two = [Result("A", 10.0, 14.0), Result("B", 10.0, 15.0)]
    assert look_back("CUT", two).factor is None
    assert look_back("CUT", [*two, Result("C", 10.0, 14.5)]).factor is not None
    assert look_at_breakage("TURN", 2, 30, 4, 0.02).suggested is None
    assert look_at_breakage("TURN", 3, 30, 4, 0.02).suggested == pytest.approx(0.088)


def test_an_odd_job_is_named_and_still_counted() -> None:
    results = [Result(f"J{n}", 10.0, 10.0 + n / 10) for n in range(6)] + [Result("J9", 10.0, 40.0)]
    made = look_back("POLISH", results)
    assert made.odd == ("J9",)
    assert made.jobs == 7
    assert made.worked == pytest.approx(101.5)


def test_suggestion_is_the_posterior_of_scipy_conjugates() -> None:
    """Prior N(1, 0.1²), σ 0.1 where the jobs scatter less: precisions add."""
    results = [Result(f"J{n}", 10.0, worked) for n, worked in enumerate([12.0, 12.5, 11.5, 12.2])]
    made = look_back("CUT", results, spread=(0.8, 1.0, 1.4))
    precision, mean = 1 / 0.1**2, (12.0 + 12.5 + 11.5 + 12.2) / 40
    expected = (precision * 1.0 + 4 * precision * mean) / (5 * precision)
    assert made.posterior is not None
    assert made.posterior.mean == pytest.approx(expected, rel=1e-12)
    assert made.factor == pytest.approx(expected, abs=5e-4)


def test_jobs_that_scatter_move_the_standard_less() -> None:
    calm = look_back("CUT", [Result(f"J{n}", 10.0, 12.0) for n in range(5)])
    wild = look_back("CUT", [Result(f"J{n}", 10.0, worked) for n, worked in enumerate([6.0, 18, 12, 8, 16])])
    assert calm.posterior is not None
    assert wild.posterior is not None
    assert wild.posterior.weight < calm.posterior.weight
