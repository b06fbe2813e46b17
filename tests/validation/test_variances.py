"""Standard-cost variances against published worked examples.

Sources (ids of the project's collection of check values in brackets):
- *Managerial Accounting* (open text, adapted 2012), sections 10.3 to 10.5 and 10.8, review problems of the
  same sections [K9, K10].
- *Variance Analysis: Tools for Enterprise Performance Evaluation* (free booklet), section 4.6 [K11].
- A stored answer page to a textbook exercise, a weak source [K12]. Identities: algebra [K13].
All amounts are exact: no tolerance. Above zero is unfavourable.
"""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from shop.jobs.variance import (
    fixed_overhead_variance,
    labour_variance,
    material_variance,
    variable_overhead_variance,
)

D = Decimal
amounts = st.decimals(D(0), D(100_000), places=2)


def test_k9_materials() -> None:
    made = material_variance(
        standard_quantity=D(210_000) * 2,
        standard_price=D("1.00"),
        bought=D(440_000),
        paid=D(440_000) * D("1.20"),
        used=D(399_000),
    )
    assert (made.flexible_budget, made.price, made.usage) == (D(420_000), D(88_000), D(-21_000))


def test_k9_labour() -> None:
    made = labour_variance(
        standard_hours=D(210_000) * D("0.10"), standard_rate=D(13), hours=D(18_900), paid=D(18_900) * D(15)
    )
    assert (made.flexible_budget, made.rate, made.efficiency) == (D(273_000), D(37_800), D(-27_300))


def test_k9_overhead() -> None:
    variable = variable_overhead_variance(
        standard_hours=D(21_000), rate=D("5.00"), hours=D(18_900), actual=D(100_000)
    )
    fixed = fixed_overhead_variance(
        standard_hours=D(21_000), rate=D("7.00"), budget=D(140_280), actual=D(136_000)
    )
    assert (variable.applied, variable.spending, variable.volume) == (D(105_000), D(5_500), D(-10_500))
    assert (fixed.applied, fixed.spending, fixed.volume) == (D(147_000), D(-4_280), D(-6_720))


def test_k10_materials_and_labour() -> None:
    material = material_variance(
        standard_quantity=D(390_000) * D("1.5"),
        standard_price=D("2.00"),
        bought=D(640_000),
        paid=D(640_000) * D("1.80"),
        used=D(624_000),
    )
    labour = labour_variance(
        standard_hours=D(390_000) * D("0.20"), standard_rate=D(12), hours=D(97_500), paid=D(97_500) * 11
    )
    assert (material.price, material.usage) == (D(-128_000), D(78_000))
    assert (labour.rate, labour.efficiency) == (D(-97_500), D(234_000))


def test_k10_overhead() -> None:
    variable = variable_overhead_variance(
        standard_hours=D(78_000), rate=D("3.50"), hours=D(97_500), actual=D(360_000)
    )
    fixed = fixed_overhead_variance(
        standard_hours=D(78_000), rate=D("3.30"), budget=D(264_660), actual=D(270_000)
    )
    assert (variable.spending, variable.volume) == (D(18_750), D(68_250))
    assert (fixed.applied, fixed.spending, fixed.volume) == (D(257_400), D(5_340), D(7_260))


def test_k11_labour_of_railing_sections() -> None:
    made = labour_variance(standard_hours=D(3_400) * 3, standard_rate=D(18), hours=D(12_500), paid=D(175_000))
    assert (made.rate, made.efficiency, made.total) == (D(-50_000), D(41_400), D(-8_600))


def test_k12_mixed_signs() -> None:
    made = material_variance(
        standard_quantity=D(185_000),
        standard_price=D("6.00"),
        bought=D(183_200),
        paid=D(183_200) * D("5.80"),
        used=D(183_200),
    )
    assert (made.price, made.usage, made.total) == (D(-36_640), D(-10_800), D(-47_440))


@given(amounts, amounts, amounts, amounts)
def test_k13_labour_parts_sum_to_the_whole_always(
    standard_hours: Decimal, rate: Decimal, hours: Decimal, paid: Decimal
) -> None:
    made = labour_variance(standard_hours=standard_hours, standard_rate=rate, hours=hours, paid=paid)
    assert made.total == paid - standard_hours * rate


@given(amounts, amounts, amounts, amounts)
def test_k13_material_parts_sum_to_the_whole_when_all_bought_is_used(
    standard: Decimal, price: Decimal, used: Decimal, paid: Decimal
) -> None:
    made = material_variance(
        standard_quantity=standard, standard_price=price, bought=used, paid=paid, used=used
    )
    assert made.total == paid - standard * price


@given(amounts, amounts)
def test_k13_no_volume_variance_at_the_budgeted_hours(hours: Decimal, rate: Decimal) -> None:
    made = fixed_overhead_variance(standard_hours=hours, rate=rate, budget=hours * rate, actual=D(1))
    assert made.volume == 0
