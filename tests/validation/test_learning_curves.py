"""Learning curves against printed tables and examples.

Sources (ids of the project's collection of check values in brackets):
- Operations-management text, exhibits 4A.2 and 4A.4 [K26 to K28], read in excerpts, all rows recomputed.
- Learning-curve vignette of an open-source R package, Air Force Institute of Technology (2018) [K29, K30].
- Kerzner, Project Management, chapter 18 [K31]; attribution from memory.
Tolerances: 0.00005 for factors printed to four places, 1e-6 relative for the vignette, one hour for
exhibit 4A.2.
"""

from __future__ import annotations

import pytest

from quoting.engine.takeoff.learning import WRIGHT, slope, total_factor, unit_factor

RATES = (0.70, 0.75, 0.80, 0.85, 0.90, 0.95)
K26 = {
    1: (1.0000, 1.0000, 1.0000, 1.0000, 1.0000, 1.0000),
    2: (0.7000, 0.7500, 0.8000, 0.8500, 0.9000, 0.9500),
    3: (0.5682, 0.6338, 0.7021, 0.7729, 0.8462, 0.9219),
    4: (0.4900, 0.5625, 0.6400, 0.7225, 0.8100, 0.9025),
    5: (0.4368, 0.5127, 0.5956, 0.6857, 0.7830, 0.8877),
    6: (0.3977, 0.4754, 0.5617, 0.6570, 0.7616, 0.8758),
    8: (0.3430, 0.4219, 0.5120, 0.6141, 0.7290, 0.8574),
    10: (0.3058, 0.3846, 0.4765, 0.5828, 0.7047, 0.8433),
    16: (0.2401, 0.3164, 0.4096, 0.5220, 0.6561, 0.8145),
    20: (0.2141, 0.2884, 0.3812, 0.4954, 0.6342, 0.8012),
    25: (0.1908, 0.2629, 0.3548, 0.4701, 0.6131, 0.7880),
    50: (0.1336, 0.1972, 0.2838, 0.3996, 0.5518, 0.7486),
    100: (0.0935, 0.1479, 0.2271, 0.3397, 0.4966, 0.7112),
}
K27 = {
    2: (1.7000, 1.7500, 1.8000, 1.8500, 1.9000, 1.9500, 1.6000, 1.8000),
    3: (2.2682, 2.3838, 2.5021, 2.6229, 2.7462, 2.8719, 2.1063, 2.5386),
    4: (2.7582, 2.9463, 3.1421, 3.3454, 3.5562, 3.7744, 2.5600, 3.2400),
    5: (3.1950, 3.4591, 3.7377, 4.0311, 4.3392, 4.6621, 2.9782, 3.9149),
    8: (4.3031, 4.8022, 5.3459, 5.9358, 6.5737, 7.2612, 4.0960, 5.8320),
    10: (4.9318, 5.5886, 6.3154, 7.1161, 7.9945, 8.9545, 4.7651, 7.0469),
    20: (7.4065, 8.8284, 10.4849, 12.4023, 14.6078, 17.1302, 7.6242, 12.6844),
    50: (12.3069, 15.7761, 20.1217, 25.5131, 32.1420, 40.2239, 14.1914, 27.5881),
    100: (17.7907, 24.1786, 32.6508, 43.7539, 58.1410, 76.5864, 22.7062, 49.6585),
}


@pytest.mark.parametrize("n", sorted(K26))
def test_k26_unit_factors(n: int) -> None:
    assert [unit_factor(rate, n) for rate in RATES] == pytest.approx(K26[n], abs=0.00005001)


@pytest.mark.parametrize("n", sorted(K27))
def test_k27_totals(n: int) -> None:
    crawford = [total_factor(rate, n) for rate in RATES]
    wright = [total_factor(rate, n, WRIGHT) for rate in (0.80, 0.90)]
    assert crawford + wright == pytest.approx(K27[n], abs=0.00005001)


@pytest.mark.parametrize(
    ("n", "unit", "total", "mean"),
    [
        (4, 64_000, 314_210, 78_553),
        (8, 51_200, 534_591, 66_824),
        (16, 40_960, 892_014, 55_751),
        (32, 32_768, 1_467_862, 45_871),
        (64, 26_214, 2_392_447, 37_382),
        (128, 20_972, 3_874_384, 30_269),
        (256, 16_777, 6_247_572, 24_405),
    ],
)
def test_k28_first_unit_of_100_000_hours(n: int, unit: int, total: int, mean: int) -> None:
    assert 1e5 * unit_factor(0.80, n) == pytest.approx(unit, abs=1)
    assert 1e5 * total_factor(0.80, n) == pytest.approx(total, abs=1)
    assert 1e5 * total_factor(0.80, n) / n == pytest.approx(mean, abs=1)


def test_k29_both_models_from_one_input() -> None:
    assert 100 * unit_factor(0.85, 125) == pytest.approx(32.23647, rel=1e-6)
    assert 100 * total_factor(0.85, 125) == pytest.approx(5201.085, rel=1e-6)
    assert 100 * unit_factor(0.85, 125, WRIGHT) == pytest.approx(24.70136, rel=1e-6)
    assert 100 * total_factor(0.85, 125, WRIGHT) == pytest.approx(4029.559, rel=1e-6)
    apart = 100 * (total_factor(0.85, 25) - total_factor(0.85, 25, WRIGHT))
    assert apart == pytest.approx(304.7107, rel=1e-6)


@pytest.mark.parametrize(
    ("hours", "first", "last", "rate", "printed"),
    [(100, 1, 80, 0.83, 30.79056), (120, 20, 150, 0.92, 94.17084), (90, 10, 175, 0.87, 50.64078)],
)
def test_k30_unit_from_unit(hours: float, first: int, last: int, rate: float, printed: float) -> None:
    ratio = unit_factor(rate, last) / unit_factor(rate, first)
    assert hours * ratio == pytest.approx(printed, rel=1e-6)


def test_k30_block_slopes_and_departments() -> None:
    block = (total_factor(0.75, 500) - total_factor(0.75, 200)) / unit_factor(0.75, 201)
    assert 125 * block == pytest.approx(30_350.47, rel=1e-6)
    assert [slope(rate) for rate in (0.80, 0.85, 0.90)] == pytest.approx(
        (-0.3219281, -0.2344653, -0.1520031), abs=5e-8
    )
    departments = ((70, 0.85), (45, 0.87), (25, 0.80))
    total = sum(hours * total_factor(rate, 300, WRIGHT) for hours, rate in departments)
    assert total == pytest.approx(11_000.96, rel=1e-6)


def test_k31_handbook_example() -> None:
    assert 812 * unit_factor(0.75, 250) == pytest.approx(82.1, abs=0.1)
    assert 120 / unit_factor(0.75, 100) == pytest.approx(811.4, abs=0.1)
