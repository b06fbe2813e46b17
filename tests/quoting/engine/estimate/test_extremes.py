"""Extreme but legal inputs: a right figure or a clear refusal, never a crash."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from quoting.engine.errors import Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.estimate.outlook import risk
from quoting.engine.estimate.report import report
from quoting.engine.values import PriceBook
from tests.quoting.engine.estimate.world import book, piece, terms

D = Decimal


def made(quantity: int | None = None, prices: PriceBook | None = None, **changes: Any) -> Estimate:
    """A bench, priced; its report has no figure that is none."""
    found = estimate(
        piece("bench"), prices or book(), replace(terms(), price_step=D("0.01"), **changes), quantity=quantity
    )
    said = json.dumps(report(found), default=str)
    assert "NaN" not in said
    assert "Infinity" not in said
    return found


def refused(quantity: int | None = None, prices: PriceBook | None = None, **changes: Any) -> list[str]:
    with pytest.raises(Refused) as caught:
        made(quantity, prices, **changes)
    return [f"{fault.path} {fault.code}" for fault in caught.value.faults]


def test_a_hundred_pieces_cost_less_each_than_one_and_no_less_than_their_materials() -> None:
    one, many = made(1).price, made(100).price
    assert many.net == 100 * many.unit_price
    assert many.unit_price < one.unit_price
    assert many.cost > many.materials_by_use.total > 50 * one.materials_by_use.total


@pytest.mark.parametrize("quantity", [0, -1])
def test_less_than_one_piece_is_refused(quantity: int) -> None:
    assert refused(quantity) == ["quantity out_of_range"]


@pytest.mark.parametrize("on", [date(1, 1, 1), date(9998, 6, 1)])
def test_any_day_from_which_work_can_be_planned_gives_the_same_price(on: date) -> None:
    assert made(prices=replace(book(), on=on)).price == made().price


def test_a_day_with_no_calendar_beyond_it_is_refused() -> None:
    assert refused(prices=replace(book(), on=date(9999, 12, 31))) == ["day out_of_range"]


def test_work_that_costs_nothing() -> None:
    found = made(prices=replace(book(), operations=()))
    assert found.labour == ()
    assert found.price.labour_cost == found.price.overhead == 0
    assert found.price.cost == found.price.works_cost + found.price.breakage_allowance > 0


def test_materials_that_cost_nothing() -> None:
    free = {code: replace(each, price=D(0)) for code, each in book().materials.items()}
    found = made(prices=replace(book(), materials=free))
    assert found.price.materials_by_packs.total == found.price.materials_by_use.total == 0
    assert found.price.cost > found.price.labour_cost > 0


def test_an_empty_catalogue_names_everything_that_lacks() -> None:
    missing = refused(prices=replace(book(), materials={}))
    assert "catalogue.mould_board missing_material" in missing
    assert "catalogue.screw missing_material" in missing


@pytest.mark.parametrize("units", [0, 2, 3, 4])
def test_every_amount_is_in_whole_minor_units(units: int) -> None:
    price = made(minor_units=units).price
    paid = [payment.amount for payment in price.payments]
    for amount in (price.unit_price, price.net, price.tax, price.gross, price.cost, *paid):
        assert -int(amount.as_tuple().exponent) == units
    assert sum(paid) == price.gross == price.net_after_discount + price.tax


@pytest.mark.parametrize("margin", ["0", "0.95", "0.99", "0.9999"])
def test_any_margin_below_the_whole_price(margin: str) -> None:
    price = made(target_margin=D(margin)).price
    assert price.achieved_margin >= D(margin)
    assert price.net * (1 - D(margin)) == pytest.approx(price.cost, abs=D("0.03"))


@pytest.mark.parametrize("margin", ["1", "1.5"])
def test_a_margin_of_the_whole_price_is_refused(margin: str) -> None:
    assert refused(target_margin=D(margin)) == ["terms.target_margin out_of_range"]


def test_risk_of_nothing_that_can_vary() -> None:
    found = made(prices=replace(book(), operations=()))
    drawn = risk(found, terms())
    assert drawn.p10 == drawn.p90 == drawn.mean == found.price.cost
