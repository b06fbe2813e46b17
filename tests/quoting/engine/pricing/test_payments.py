"""Deposits and staged payments sum to the total; totals refuse what they cannot add."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.pricing.payments import deposit_and_balance, staged_payments
from quoting.engine.pricing.totals import cash_rounding, document_totals, line_net

D = Decimal
cents = st.decimals(D(-50_000), D(50_000), places=2)


@given(cents, st.lists(st.integers(0, 160), max_size=6))
def test_staged_payments_sum(gross: Decimal, weights: list[int]) -> None:
    shares = [*(D(weight) / 1000 for weight in weights), D(1000 - sum(weights)) / 1000]
    payments = staged_payments(gross, [(f"part {n}", share) for n, share in enumerate(shares)])
    assert sum(payment.amount for payment in payments) == gross


@given(cents, st.decimals(D(0), D(1), places=3))
def test_a_deposit_and_its_balance_sum(gross: Decimal, share: Decimal) -> None:
    assert sum(payment.amount for payment in deposit_and_balance(gross, share)) == gross


def test_payments_of_nothing_are_left_out() -> None:
    assert [p.name for p in deposit_and_balance(D("100.00"), D(0))] == ["balance before delivery"]
    assert [p.amount for p in deposit_and_balance(D("100.00"), D(1))] == [D("100.00")]


def test_refuses_shares_that_do_not_make_a_whole() -> None:
    for shares in ([], [("a", D("0.5"))], [("a", D("1.5")), ("b", D("-0.5"))]):
        with pytest.raises(ValueError, match="sum to 100"):
            staged_payments(D("10.00"), shares)
    with pytest.raises(ValueError, match="0 to 100"):
        deposit_and_balance(D("10.00"), D("1.1"))


def test_totals_refuse_unknown_categories_and_fractions_of_a_cent() -> None:
    with pytest.raises(Refused) as refused:
        document_totals(
            [(D("1.005"), "standard"), (D("1.00"), "guess")],
            {"standard": D("0.2")},
            charges=[(D("NaN"), "standard")],
        )
    assert [(fault.path, fault.code) for fault in refused.value.faults] == [
        ("lines[0].net", "too_fine"),
        ("lines[1].tax_category", "unknown_code"),
        ("charges[0].net", "too_fine"),
    ]
    with pytest.raises(ValueError, match="above zero"):
        line_net(D(1), D(1), per=D(0))
    with pytest.raises(ValueError, match="worth more than nothing"):
        cash_rounding(D(1), D(0))


def test_an_empty_document_is_worth_nothing() -> None:
    totals = document_totals([], {"standard": D("0.2")})
    assert totals.net == totals.gross == totals.due == 0
    assert totals.tax_lines == ()
