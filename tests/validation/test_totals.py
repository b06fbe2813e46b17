"""Totals, tax and rounding against published sample invoices and rules.

Sources (ids of the project's collection of check values in brackets):
- EN 16931 validation artefacts of CEN/TC 434, release 1.3.16, sample invoices 1, 2, 3, 5, 8 [K45 to K49].
- OASIS UBL 2.1 sample invoice [K51]; its tax-inclusive total has the rounding amount inside, ours has not.
- ISO 4217 minor units [K52]; Council Regulation (EC) 1103/97 article 5 [K54].
- Cash rounding: Canada, budget of 2012 [K55]; Sweden 1992 to 2010 [K56].
- Margin and markup identities [K14].
All amounts are exact: no tolerance.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.engine.money import allocate, margin_to_markup, markup_to_margin, to_minor
from quoting.engine.pricing.totals import cash_rounding, document_totals, line_net

D = Decimal


def test_k45_line_and_document_allowances_two_rates_half_prepaid() -> None:
    first = line_net(D(1000), D("1.00"), allowance=D(100), charge=D(100))
    lines = [
        (first, "high"),
        (line_net(D(100), D("5.00")), "high"),
        (line_net(D(500), D("5.00")), "low"),
    ]
    totals = document_totals(
        lines,
        {"high": D("0.25"), "low": D("0.12")},
        allowances=[(D("150.00"), "high")],
        charges=[(D("150.00"), "high")],
        prepaid=D("2337.50"),
    )
    assert first == D("1000.00")
    assert [(line.base, line.tax) for line in totals.tax_lines] == [
        (D("1500.00"), D("375.00")),
        (D("2500.00"), D("300.00")),
    ]
    assert (totals.lines, totals.net, totals.tax) == (D("4000.00"), D("4000.00"), D("675.00"))
    assert (totals.gross, totals.due) == (D("4675.00"), D("2337.50"))


def test_k46_two_rates() -> None:
    totals = document_totals(
        [(D("183.23"), "low"), (D("46.37"), "high")], {"low": D("0.06"), "high": D("0.21")}
    )
    assert {line.category: line.tax for line in totals.tax_lines} == {"high": D("9.74"), "low": D("10.99")}
    assert (totals.net, totals.tax, totals.gross) == (D("229.60"), D("20.73"), D("250.33"))


def test_k47_three_categories_with_a_negative_one_decide_half_up() -> None:
    totals = document_totals(
        [(D("1460.50"), "high"), (D("1.00"), "low"), (D("-25.00"), "exempt")],
        {"high": D("0.25"), "low": D("0.15"), "exempt": D(0)},
        allowances=[(D("100.00"), "high")],
        charges=[(D("100.00"), "high")],
        prepaid=D("1000.00"),
    )
    assert [line.tax for line in totals.tax_lines] == [D("365.13"), D("0.15"), D("0.00")]
    assert (totals.net, totals.tax, totals.gross) == (D("1436.50"), D("365.28"), D("1801.78"))
    assert totals.due == D("801.78")


def test_k48_price_base_quantity() -> None:
    nets = [
        line_net(D(132), D("15.24"), per=D(12)),
        line_net(D(1), D("441.00"), per=D(12)),
        line_net(D(16000), D("0.00880")),
        line_net(D(16000), D("0.00101")),
    ]
    assert nets[:2] == [D("167.64"), D("36.75")]
    assert nets[2:] == [D("140.80"), D("16.16")]
    # The sample has more lines; its document net is 908.91.
    totals = document_totals([(D("908.91"), "high")], {"high": D("0.21")})
    assert (totals.tax, totals.gross) == (D("190.87"), D("1099.78"))


def test_k49_charge_before_tax() -> None:
    totals = document_totals(
        [(D(800), "high"), (D(800), "low")],
        {"high": D("0.25"), "low": D("0.10")},
        charges=[(D(100), "high")],
    )
    assert [line.tax for line in totals.tax_lines] == [D("225.00"), D("80.00")]
    assert (totals.tax, totals.gross) == (D("305.00"), D("2005.00"))


def test_k51_rounding_amount_stands_outside_the_gross() -> None:
    lines = [(D(n), "high") for n in ("1273", "-3.96", "187.5")]
    lines += [(D("4.96"), "high"), (D("-25"), "exempt")]
    totals = document_totals(
        [(D("1460.5"), "high"), (D("1.00"), "low"), (D("-25"), "exempt")],
        {"high": D("0.20"), "low": D("0.10"), "exempt": D(0)},
        allowances=[(D(100), "high")],
        charges=[(D(100), "high")],
        prepaid=D(1000),
        rounding=D("0.30"),
    )
    assert sum(net for net, _ in lines) == totals.lines == D("1436.5")
    assert [line.tax for line in totals.tax_lines] == [D("292.10"), D("0.10"), D("0.00")]
    assert (totals.tax, totals.gross, totals.due) == (D("292.20"), D("1728.70"), D("729.00"))


def test_k52_minor_units() -> None:
    assert to_minor(D("1.2345"), 3) == D("1.235")
    assert to_minor(D("1050.5"), 0) == D("1051")


@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        ("2.125", "2.13"),
        ("2.135", "2.14"),
        ("2.145", "2.15"),
        ("1.005", "1.01"),
        ("2.675", "2.68"),
        ("-2.125", "-2.13"),
        ("24.784", "24.78"),  # K54
        ("24.785", "24.79"),
    ],
)
def test_k53_k54_half_up_at_two_places(value: str, rounded: str) -> None:
    assert to_minor(D(value)) == D(rounded)


def test_k54_currency_quotients() -> None:
    assert to_minor(D(500) / D("239.640")) == D("2.09")
    assert to_minor(D(1000) / D("239.640")) == D("4.17")


@pytest.mark.parametrize(
    ("due", "coin", "paid"),
    [
        ("4.92", "0.05", "4.90"),
        ("5.98", "0.05", "6.00"),
        ("5.97", "0.05", "5.95"),
        ("772.72", "0.05", "772.70"),
        ("223.20", "0.50", "223.00"),  # K56
        ("65.40", "0.50", "65.50"),
    ],
)
def test_k55_k56_cash_rounding(due: str, coin: str, paid: str) -> None:
    assert D(due) + cash_rounding(D(due), D(coin)) == D(paid)


def test_k57_tax_is_rounded_once_a_category() -> None:
    totals = document_totals([(D("10.02"), "s")] * 7, {"s": D("0.19")})
    assert totals.tax == D("13.33")
    assert 7 * to_minor(D("10.02") * D("0.19")) == D("13.30")


def test_two_categories_each_rounded_once_on_its_sum() -> None:
    """Rules BR-S-08, BR-S-09 with figures by hand: 30.30 × 0.05 = 1.515, where line by line it were 1.53."""
    lines = [
        (D("10.10"), "reduced"),
        (D("99.99"), "standard"),
        (D("10.10"), "reduced"),
        (D("10.10"), "reduced"),
    ]
    totals = document_totals(lines, {"standard": D("0.20"), "reduced": D("0.05")})
    assert [(line.category, line.base, line.tax) for line in totals.tax_lines] == [
        ("standard", D("99.99"), D("20.00")),  # 19.998
        ("reduced", D("30.30"), D("1.52")),
    ]
    assert (totals.net, totals.tax, totals.gross) == (D("130.29"), D("21.52"), D("151.81"))


def test_k58_splitting_without_loss() -> None:
    assert allocate(D("100.00"), [1, 1, 1]) == (D("33.34"), D("33.33"), D("33.33"))
    assert allocate(D("0.05"), [3, 7]) == (D("0.02"), D("0.03"))


MARGINS = ["10", "15", "20", "25", "30", "33.3333", "40", "50", "60", "75", "80"]
MARKUPS = ["11.1111", "17.6471", "25", "33.3333", "42.8571", "50", "66.6667", "100", "150", "300", "400"]


@pytest.mark.parametrize(("margin", "markup"), list(zip(MARGINS, MARKUPS, strict=True)))
def test_k14_margin_and_markup(margin: str, markup: str) -> None:
    # Printed to four decimals; 33.3333 stands for a third, so its image is good to two.
    assert margin_to_markup(D(margin) / 100) * 100 == pytest.approx(D(markup), abs=D("0.0002"))
    assert markup_to_margin(D(markup) / 100) * 100 == pytest.approx(D(margin), abs=D("0.0002"))
