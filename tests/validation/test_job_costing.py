"""Job-order costing and overhead against published worked examples.

Source: *Managerial Accounting* (open text, adapted 2012): section 2.3, figures 2.8 and 2.9, review problems
2.3 and 2.5 [K1, K3 to K6 of the project's collection of check values]. All amounts exact. The job of figure
2.6 [K2], the three furniture jobs of figure 2.10 [K7] and the month of figures 2.8 and 2.9 [K4] are
replayed through the API in `tests/shop/jobs/test_replay.py`.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.jobs.overhead import MonthFigures, month_result, overhead_rate, prorate, under_applied

D = Decimal


def test_k1_rate() -> None:
    assert overhead_rate(D(1_140_000), D(38_000)) == D("30.00")


def test_k3_overhead_as_a_share_of_labour_cost() -> None:
    rate = overhead_rate(D(160), D(100))
    materials, labour = [D(77_600), D(38_600), D(45_000)], [D(14_800), D(11_800), D(6_500)]
    overhead = [rate * one for one in labour]
    costs = [sum(parts) for parts in zip(materials, labour, overhead, strict=True)]
    assert overhead == [D(23_680), D(18_880), D(10_400)]
    assert costs == [D(116_080), D(69_280), D(61_900)]
    assert D(140_000) - costs[0] == D(23_920)


def test_k4_a_furniture_makers_may() -> None:
    made = month_result(
        MonthFigures(
            opening_raw=D(25_000),
            opening_in_hand=D(35_000),
            opening_finished=D(90_000),
            purchases=D(15_000),
            direct_materials=D(18_000),
            indirect_materials=D(3_000),
            direct_labour=D(40_000),
            indirect_labour=D(27_000),
            other_overhead=D(66_000),
            overhead_applied=D(90_000),
            completed=D(155_000),
            sold=D(129_000),
            sales=D(190_000),
            selling=D(18_000),
            general=D(26_000),
        )
    )
    assert (made.raw, made.in_hand, made.finished) == (D(19_000), D(28_000), D(116_000))
    assert (made.overhead, made.under_applied) == (D(96_000), D(6_000))
    assert made.cost_of_sales == D(135_000)
    assert (made.gross_profit, made.operating_profit) == (D(55_000), D(11_000))


def test_k5_under_applied_overhead_is_spread() -> None:
    spread = prorate(D(2_000), {"in hand": D(60), "finished": D(30), "sold": D(10)})
    assert spread == {"in hand": D(1_200), "finished": D(600), "sold": D(200)}


def test_k6_over_applied() -> None:
    over = under_applied(D(470_000), D(510_000))
    assert over == D(-40_000)
    spread = prorate(over, {"in hand": D(25_000), "finished": D(25_000), "sold": D(50_000)})
    assert spread == {"in hand": D(-10_000), "finished": D(-10_000), "sold": D(-20_000)}
    assert overhead_rate(D(500_000), D(100_000)) * 2_000 == D(10_000)


def test_no_rate_without_a_base() -> None:
    with pytest.raises(ValueError, match="above zero"):
        overhead_rate(D(100), D(0))
