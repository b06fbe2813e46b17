"""Maturity against published figures.

Sources (ids of the project's collection of check values in brackets):
- Examination question on the temperature-time factor [C46]; maturity-practice article [C47, C48].
- Article on the CEB-FIP formula [C49]; EN 1992-1-1 Annex B (B.10), constants from memory [C50].
- ASTM C1074 functions with Q = 5000 K, from memory [C51, C52]; an interval example constructed on them [C53].
Tolerances are those of the collection: the sources take 273 or 273.15 for the ice point, which moves the
factors by up to 0.003.
"""

from __future__ import annotations

import math

import pytest

from quoting.engine.takeoff.maturity import (
    NURSE_SAUL,
    MaturityTerms,
    age_factor,
    equivalent_age_h,
    temperature_time_factor,
)

GAS_J_PER_MOL_K = 8.314
HISTORY = [(12.0, 20.0), (12.0, 28.0), (24.0, 22.0), (24.0, 15.0), (48.0, 12.0), (48.0, 10.0)]


def test_c46_temperature_time_factor() -> None:
    assert temperature_time_factor([(28 * 24.0, 15.0)], -11.0) == 17_472
    assert temperature_time_factor([(28 * 24.0, 15.0)], -11.0) / 24 == 728


def test_c47_c48_time_and_temperature_for_a_target() -> None:
    assert 3500 / temperature_time_factor([(1.0, 23.0)], 0.0) == pytest.approx(152.17, abs=0.01)
    assert temperature_time_factor([(72.0, 48.6)], 0.0) == pytest.approx(3500, abs=0.5 * 72)


def test_c49_equivalent_age_by_the_ceb_fip_constant() -> None:
    terms = MaturityTerms(activation_k=33_500 / GAS_J_PER_MOL_K)
    assert age_factor(30.0, terms) == pytest.approx(1.574, abs=0.005)
    assert equivalent_age_h([(7 * 24.0, 30.0)], terms) / 24 == pytest.approx(11.02, abs=0.05)


@pytest.mark.parametrize(
    ("celsius", "printed"),
    [(5, 0.478), (10, 0.616), (15, 0.788), (20, 0.998), (25, 1.255), (30, 1.566), (40, 2.388)],
)
def test_c50_eurocode_age_adjustment(celsius: float, printed: float) -> None:
    """exp[13.65 − 4000/(273 + T)] is ours with Q = 4000 K but for its constant, which is 0.2 % off
    4000/293.
    """
    ours = age_factor(celsius, MaturityTerms(activation_k=4000.0))
    assert math.exp(13.65 - 4000 / (273 + celsius)) == pytest.approx(printed, abs=0.001)
    assert ours * 0.998 == pytest.approx(printed, abs=0.003)


@pytest.mark.parametrize(
    ("reference_c", "factors"),
    [
        (20.0, {5: 0.398, 10: 0.547, 15: 0.744, 20: 1.000, 25: 1.332, 30: 1.756, 40: 2.975}),
        (23.0, {5: 0.335, 10: 0.460, 15: 0.625, 20: 0.841, 30: 1.477, 40: 2.503}),
    ],
)
def test_c51_c52_age_factors(reference_c: float, factors: dict[int, float]) -> None:
    terms = MaturityTerms(reference_c=reference_c)
    for celsius, printed in factors.items():
        assert age_factor(celsius, terms) == pytest.approx(printed, abs=0.003)


def test_c53_intervals() -> None:
    assert temperature_time_factor(HISTORY, 0.0) == 2520
    assert temperature_time_factor(HISTORY, -10.0) == 4200
    at_20 = MaturityTerms()
    parts = [equivalent_age_h([interval], at_20) for interval in HISTORY]
    assert parts == pytest.approx([12.00, 18.88, 26.94, 17.85, 29.75, 26.28], abs=0.006)
    assert equivalent_age_h(HISTORY, at_20) == pytest.approx(131.7, abs=0.1)
    assert equivalent_age_h(HISTORY, MaturityTerms(reference_c=23.0)) == pytest.approx(110.8, abs=0.1)


def test_nurse_saul_is_the_factor_over_that_of_the_reference() -> None:
    terms = MaturityTerms(NURSE_SAUL, datum_c=-10.0, reference_c=20.0)
    assert equivalent_age_h(HISTORY, terms) == pytest.approx(temperature_time_factor(HISTORY, -10.0) / 30)
    assert age_factor(-12.0, terms) == 0


def test_refuses_nonsense() -> None:
    with pytest.raises(ValueError, match="reckoned by"):
        MaturityTerms("guess")
    with pytest.raises(ValueError, match="above the datum"):
        MaturityTerms(datum_c=20.0)
    with pytest.raises(ValueError, match="absolute zero"):
        age_factor(-300.0, MaturityTerms())
