"""Three-point estimates against published networks and cost risks.

Sources (ids of the project's collection of check values in brackets):
- Taylor, Introduction to Management Science, worked network [K32]; attribution from memory.
- The same activity in other shapes, computed [K33].
- GAO-20-195G, table 12, air vehicle by element [K34]; distribution outputs computed there by simulation.
- GAO step 9, contingency at a confidence level [K35].
"""

from __future__ import annotations

from math import erf, sqrt

import numpy as np
import pytest
from scipy import stats

from quoting.engine.pricing.three_point import ThreePoint

K32 = [(5, 8, 17), (7, 10, 13), (3, 5, 7), (1, 3, 5), (4, 6, 8), (3, 3, 3), (3, 4, 5)]
K34 = [
    (17955, 19645, 21785),
    (8500, 10553, 13000),
    (4000, 4306, 5100),
    (4100, 4305, 4650),
    (550, 600, 650),
    (32300, 35547, 52500),
    (1950, 2136, 2600),
]


def test_k32_network_by_the_pert_convention() -> None:
    points = [ThreePoint(*row) for row in K32]
    assert [point.pert_mean for point in points] == pytest.approx([9, 10, 5, 3, 6, 3, 4])
    assert [point.pert_variance for point in points] == pytest.approx(
        [4, 1, 0.4444, 0.4444, 0.4444, 0, 0.1111], abs=0.00005
    )
    path = [points[i - 1] for i in (1, 3, 5, 7)]
    mean, variance = sum(p.pert_mean for p in path), sum(p.pert_variance for p in path)
    assert (mean, variance) == pytest.approx((24, 5.0))
    assert 0.5 * (1 + erf((28 - mean) / sqrt(2 * variance))) == pytest.approx(0.9632, abs=0.0002)


def test_k33_the_triangular_shape() -> None:
    point = ThreePoint(5, 8, 17)
    assert (point.pert_mean, point.pert_variance) == (9, 4)
    assert (point.mean, point.variance) == (10, 6.5)
    quantiles = [point.quantile(share) for share in (0.25, 0.5, 0.8, 0.9)]
    assert quantiles == pytest.approx([8, 9.651531, 12.352420, 13.713665], rel=1e-6)


def test_agrees_with_a_statistics_library() -> None:
    shares = np.linspace(0, 1, 41)
    for low, mode, high in ((5, 8, 17), (0, 0, 3), (1, 4, 4)):
        reference = stats.triang((mode - low) / (high - low), low, high - low)
        ours = ThreePoint(low, mode, high)
        assert ours.quantiles(shares) == pytest.approx(reference.ppf(shares))
        assert (ours.mean, ours.variance) == pytest.approx((reference.mean(), reference.var()))


def test_k34_k35_cost_risk_by_element() -> None:
    points = [ThreePoint(*row) for row in K34]
    assert [sum(column) for column in zip(*K34, strict=True)] == [69_355, 77_092, 100_285]
    assert sum(p.mean for p in points) == pytest.approx(82_244.0, abs=0.05)
    assert sqrt(sum(p.variance for p in points)) == pytest.approx(4_599.606, abs=0.0005)
    assert sum(sqrt(p.variance) for p in points) == pytest.approx(6_634.06, abs=0.005)
    # Drawn with a seed. The collection allows 0.2 % on quantiles and 0.003 on the chance.
    uniform = np.random.Generator(np.random.PCG64(1)).random((len(points), 400_000))
    totals = np.sum([point.quantiles(row) for point, row in zip(points, uniform, strict=True)], axis=0)
    printed = {0.5: 81_605, 0.7: 84_573, 0.8: 86_453, 0.9: 88_916}
    for share, value in printed.items():
        assert np.quantile(totals, share) == pytest.approx(value, rel=0.002)
    assert np.mean(totals <= 77_092) == pytest.approx(0.125, abs=0.003)
    assert np.quantile(totals, 0.8) - 77_092 == pytest.approx(9_361, abs=200)
    assert np.median(totals) > 77_092  # the sum of most likely values is far below the median


def test_refuses_points_out_of_order() -> None:
    for row in ((2, 1, 3), (1, 3, 2), (0, 1, float("inf")), (0, float("nan"), 1)):
        with pytest.raises(ValueError, match="in that order"):
            ThreePoint(*row)
    assert ThreePoint(2, 2, 2).quantile(0.9) == 2
