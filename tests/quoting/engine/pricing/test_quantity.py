"""Price breaks, comparisons and bridges between prices."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.engine.errors import Refused
from quoting.engine.pricing.bridge import bridge
from quoting.engine.pricing.build_up import Price, price
from quoting.engine.pricing.compare import compare
from quoting.engine.pricing.quantity import price_breaks
from quoting.engine.spec.types import Delivery
from quoting.engine.takeoff.learning import total_factor
from quoting.engine.takeoff.lines import LabourLine
from tests.quoting.engine.pricing.world import LABOUR, MATERIALS, TERMS, material, work

D = Decimal


def at(quantity: int) -> Price:
    """A mould of 6 h shared by all, castings of 8 h that learn, a bag of concrete for each piece."""
    hours = round(8.0 * total_factor(0.9, quantity), 4)
    labour: list[LabourLine] = [work("build", "mould", 6.0), work("pour", "cast", hours)]
    bags = material("bag", "concrete", str(63 * quantity))
    return price([material("board", "mould", "54"), bags], labour, terms=TERMS, quantity=quantity)


def test_price_breaks_share_the_mould_and_learn() -> None:
    rows = price_breaks(at)
    assert [row.quantity for row in rows] == [1, 2, 5, 10]
    assert [row.unit_price for row in rows] == sorted((row.unit_price for row in rows), reverse=True)
    first, second = rows[0], rows[1]
    # One: 54 + 63 + 14 h × 36.50 = 628, + 5 % = 659.40, ÷ 0.7 = 942 → 945.
    assert (first.cost, first.unit_price, first.saving) == (D("659.40"), D("945.00"), D("0.00"))
    # Two: 54 + 126 + 21.2 h × 36.50 = 953.80, + 5 % = 1001.49, ÷ 0.7 ÷ 2 = 715.35 → 720.
    assert (second.cost, second.unit_price, second.saving) == (D("1001.49"), D("720.00"), D("225.00"))
    assert second.net == 2 * second.unit_price
    assert second.hours_per_piece == D("10.60")
    assert second.cost_per_piece == D("500.75")  # 500.745, half up
    assert all(row.achieved_margin >= TERMS.target_margin for row in rows)


def test_price_breaks_come_in_rising_order_once_each() -> None:
    assert [row.quantity for row in price_breaks(at, (4, 1, 4))] == [1, 4]
    with pytest.raises(ValueError, match="at least one quantity"):
        price_breaks(at, ())


def test_what_if_delivered_says_what_changes() -> None:
    before = price(MATERIALS, LABOUR, terms=TERMS)
    after = price(MATERIALS, LABOUR, terms=TERMS, delivery=Delivery(100))
    found = compare(before, after)
    changes = {part.part: part.change for part in found.parts if part.change}
    assert changes["delivery"] == D("130.00")
    assert set(changes) == {"delivery", "margin", "tax"}  # nothing breaks on the road: no breakage on it
    assert sum(changes.values()) == found.gross.change == after.gross - before.gross
    assert found.hours.change == 0


def test_prices_in_two_currencies_are_not_compared() -> None:
    before = price(MATERIALS, LABOUR, terms=TERMS)
    after = price(MATERIALS, LABOUR, terms=replace(TERMS, currency="USD"))
    with pytest.raises(Refused, match="EUR and USD"):
        compare(before, after)


def test_a_bridge_names_each_change_in_order() -> None:
    crossed = bridge(
        D("1600.00"), [("material prices", D("1650.00")), ("wages", D("1630.00")), ("tax", D("1630.00"))]
    )
    assert [(part.name, part.change) for part in crossed.parts] == [
        ("material prices", D("50.00")),
        ("wages", D("-20.00")),
        ("tax", D("0.00")),
    ]
    assert (crossed.start, crossed.end) == (D("1600.00"), D("1630.00"))
    assert bridge(D(5), []).end == 5
