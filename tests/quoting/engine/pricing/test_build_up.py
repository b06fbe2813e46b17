"""A price built up from lines: it adds up by pencil, and refuses what it cannot price."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from quoting.engine.errors import Refused
from quoting.engine.pricing.build_up import price
from quoting.engine.pricing.risk import simulate
from quoting.engine.spec.types import Delivery
from tests.quoting.engine.pricing.world import LABOUR, MATERIALS, TERMS, material, work

D = Decimal


def test_adds_up_by_pencil() -> None:
    sold = price(MATERIALS, LABOUR, terms=TERMS, delivery=Delivery(30, steps=4))
    assert sold.materials_cost == D("117.00")  # 54 + 63
    assert sold.wear_cost == D("18.00")
    assert sold.bought_in_cost == D("240.00")
    assert sold.labour_hours == D("16.5")
    assert sold.labour_cost == D("495.00")  # 16.5 × 30
    assert sold.delivery_cost == D("87.00")  # 40 + 30 × 0.90 + 4 × 5
    assert sold.overhead == D("107.25")  # 16.5 × 6.50
    assert sold.works_cost == D("1064.25")
    assert sold.breakage_allowance == D("36.86")  # (1064.25 − 240 − 87) × 5 % = 36.8625
    assert sold.cost == D("1101.11")
    assert sold.price_before_rounding == D("1101.11") / D("0.70")  # 1573.01
    assert sold.unit_price == D("1575.00")
    assert sold.net == sold.net_after_discount == D("1575.00")
    assert sold.tax == D("315.00")
    assert sold.gross == D("1890.00")
    assert sold.deposit == D("945.00")
    assert sold.margin == D("473.89")
    assert sold.achieved_margin == D("0.300883")  # 473.89 ÷ 1575


def test_hours_are_priced_at_the_mean_of_their_spread() -> None:
    labour = (work("build", "mould", 6.0), work("turn", "turn", 1.5, spread=(0.7, 1.0, 2.5)))
    sold = price(MATERIALS, labour, terms=replace(TERMS, hours_basis="expected"))
    # 6 h × 3.2/3 = 6.4 h; 1.5 h × 4.2/3 = 2.1 h; K33, K34 give the mean (a + m + b)/3.
    assert (sold.labour_hours, sold.expected_hours) == (D("7.5"), D("8.5"))
    assert (sold.labour_cost, sold.overrun) == (D("225.00"), D("30.00"))
    assert sold.overhead == D("55.25")  # 8.5 × 6.50
    step = next(step for step in sold.steps if step.code == "overrun")
    assert step.working == "7.5 h × 1.133 expected = 8.5 h, each operation by the mean of its spread"
    planned = price(MATERIALS, labour, terms=TERMS)
    assert (planned.overrun, planned.expected_hours) == (D(0), D("7.5"))
    assert "overrun" not in {step.code for step in planned.steps}
    assert sold.works_cost - planned.works_cost == D("36.50")  # one hour, at 30 + 6.50


def test_a_price_of_expected_hours_and_stages_is_the_exact_mean() -> None:
    terms = replace(TERMS, hours_basis="expected", breakage_method="by_stage")
    sold = price(MATERIALS, LABOUR, terms=terms, delivery=Delivery(30, steps=4))
    found = simulate(LABOUR, MATERIALS, sold, terms=terms, draws=10)
    assert abs(found.expected - sold.cost) <= D("0.02")  # lines rounded to the cent, hours to four decimals


def test_keeps_both_material_bases() -> None:
    by_use = price(MATERIALS, LABOUR, terms=replace(TERMS, materials_basis="use"))
    assert by_use.materials_cost == D("89.30")
    assert by_use.wear_cost == D("4.40")
    assert by_use.materials_by_use.total == D("333.70")
    assert by_use.materials_by_packs.total == D("375.00")


def test_breakage_by_stage_pays_for_the_mould_only_when_the_mould_is_lost() -> None:
    sold = price(MATERIALS, LABOUR, terms=replace(TERMS, breakage_method="by_stage"))
    # Rates 30 + 6.50 an hour. build 219 + 54, pour 146 + 63, turn 54.75, polish 182.50 + 18.
    build, pour, turn, polish = (D(x) for x in ("273", "209", "54.75", "200.5"))
    past_turn = (pour + turn) / D("0.96")
    expected = (build + past_turn + polish) / D("0.99")
    extra = expected - (build + pour + turn + polish)
    assert sold.breakage_allowance == round(extra, 2) == D("18.55")
    keeps = price(MATERIALS[:2], LABOUR[:3], terms=replace(TERMS, breakage_method="by_stage"))
    assert keeps.breakage.stages[0].visits == 1
    assert keeps.breakage_allowance == D("10.99")  # (209 + 54.75) × (1/0.96 − 1)


def test_breakage_of_many_pieces_is_that_of_one_times_the_number() -> None:
    labour = [work("pour", "cast", 12.0, remake_hours=4.5), work("turn", "turn", 3.0, breakage=0.1)]
    terms = replace(TERMS, breakage_method="by_stage", overhead_per_labour_hour=D(0))
    sold = price([material("bag", "concrete", "90.00")], labour, terms=terms, quantity=3)
    # A remake: 4.5 h and 1 h at 30, and a third of the bags.
    assert sold.breakage_allowance == round(3 * (D(135) + D(30) + D(30)) / 9, 2)
    assert sold.breakage.survival == Fraction(9, 10)


def test_discount_tax_and_staged_payments_sum() -> None:
    stages = (("on order", D("0.3")), ("at casting", D("0.4")), ("on delivery", D("0.3")))
    sold = price(MATERIALS, LABOUR, terms=replace(TERMS, payment_stages=stages), discount=D("0.075"))
    assert sold.discount == sold.net * D("0.075")
    assert sold.net_after_discount == sold.net - sold.discount
    assert sold.gross == sold.net_after_discount + sold.tax
    assert sum(payment.amount for payment in sold.payments) == sold.gross
    assert [payment.name for payment in sold.payments] == ["on order", "at casting", "on delivery"]
    assert sold.deposit == sold.payments[0].amount


def test_minimum_job_price_lifts_a_small_job() -> None:
    small = price([], [work("pour", "cast", 1.0)], terms=replace(TERMS, minimum_job_price=D("250")))
    assert small.unit_price == D("250.00")
    three = price(
        [], [work("pour", "cast", 1.0)], terms=replace(TERMS, minimum_job_price=D("250")), quantity=3
    )
    assert three.unit_price == D("85.00")  # 250 ÷ 3 = 83.33, up to the next 5
    assert "minimum job price" in next(step.working for step in three.steps if step.code == "unit_price")


def test_a_currency_without_cents_stays_whole() -> None:
    terms = replace(
        TERMS, currency="JPY", minor_units=0, price_step=D("100"), tax_rates={"standard": D("0.10")}
    )
    sold = price([material("bag", "concrete", "1050.5")], [work("pour", "cast", 1.25, "2100")], terms=terms)
    assert sold.materials_cost == D("1051")
    for amount in (
        sold.labour_cost,
        sold.overhead,
        sold.cost,
        sold.gross,
        *(p.amount for p in sold.payments),
    ):
        assert amount == amount.to_integral_value()


def test_every_step_shows_its_working_in_the_order_of_the_pencil() -> None:
    sold = price(MATERIALS, LABOUR, terms=TERMS, discount=D("0.10"), delivery=Delivery(30))
    assert [step.code for step in sold.steps] == [
        "materials",
        "wear",
        "bought_in",
        "labour",
        "delivery",
        "overhead",
        "works",
        "breakage",
        "cost",
        "before_rounding",
        "unit_price",
        "net",
        "discount",
        "tax",
        "gross",
    ]
    by_code = {step.code: step for step in sold.steps}
    assert by_code["overhead"].working == "16.5 h × 6.50 = 107.25"
    assert by_code["delivery"].working == "40 + 30 km × 0.90 = 67.00"
    assert all(step.working for step in sold.steps)


def test_refuses_what_it_cannot_price() -> None:
    with pytest.raises(Refused) as refused:
        price(MATERIALS, LABOUR, terms=TERMS, quantity=0, discount=D(1), moulds=0)
    assert [fault.path for fault in refused.value.faults] == ["quantity", "moulds", "discount"]
    with pytest.raises(Refused, match="whole packs"):
        price(MATERIALS, LABOUR, terms=replace(TERMS, materials_basis="guess"))
    with pytest.raises(Refused, match="mean of their spread"):
        price(MATERIALS, LABOUR, terms=replace(TERMS, hours_basis="guess"))
    with pytest.raises(Refused, match="flat rate"):
        price(MATERIALS, LABOUR, terms=replace(TERMS, breakage_method="guess"))
    with pytest.raises(Refused, match="not part of this work"):
        price(MATERIALS, [work("turn", "turn", 1.0, breakage=0.1, back_to="pour")], terms=TERMS)
    with pytest.raises(Refused, match="no tax rate"):
        price(MATERIALS, LABOUR, terms=TERMS, tax_category="reduced")
