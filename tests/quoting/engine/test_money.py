"""Money keeps its cents: rounding, splitting, steps, margin and markup."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.engine import money

D = Decimal


@pytest.mark.parametrize(
    ("value", "rounded"),
    [("2.125", "2.13"), ("2.135", "2.14"), ("2.145", "2.15"), ("1.005", "1.01"), ("2.675", "2.68")],
)
def test_ties_go_away_from_zero(value: str, rounded: str) -> None:
    """K53, half-up column (and the mirrored case of K50 c: −2.125 → −2.13)."""
    assert money.to_minor(D(value)) == D(rounded)
    assert money.to_minor(-D(value)) == -D(rounded)


@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        (D("24.784"), "24.78"),
        (D("24.785"), "24.79"),
        (500 / D("239.640"), "2.09"),
        (1000 / D("239.640"), "4.17"),
    ],
)
def test_euro_changeover_examples(value: Decimal, rounded: str) -> None:
    """K54: Council Regulation (EC) 1103/97 article 5."""
    assert str(money.to_minor(value)) == rounded


def test_minor_units_of_currencies() -> None:
    """K52: ISO 4217."""
    assert {code: money.minor_units(code) for code in ("USD", "EUR", "GBP", "CHF", "SEK")} == dict.fromkeys(
        ("USD", "EUR", "GBP", "CHF", "SEK"), 2
    )
    assert [money.minor_units(code) for code in ("JPY", "ISK")] == [0, 0]
    assert [money.minor_units(code) for code in ("KWD", "BHD", "TND", "IQD", "CLF")] == [3, 3, 3, 3, 4]
    assert money.to_minor(D("1.2345"), 3) == D("1.235")
    assert str(money.to_minor(D("1050.5"), 0)) == "1051"


@pytest.mark.parametrize("code", ["XAU", "eur", "EURO", "", "E1R", "ÉUR"])
def test_what_cannot_price_is_refused(code: str) -> None:
    with pytest.raises(ValueError, match=r"currency|minor unit"):
        money.minor_units(code)


def test_zero_has_no_sign_and_only_finite_amounts_round() -> None:
    assert str(money.to_minor(D("-0.001"))) == "0.00"
    with pytest.raises(ValueError, match="finite"):
        money.to_minor(D("NaN"))


def test_splitting_without_loss() -> None:
    """K58: 100.00 into 3, and 0.05 by 3:7."""
    assert money.allocate(D("100.00"), [1, 1, 1]) == (D("33.34"), D("33.33"), D("33.33"))
    assert money.allocate(D("0.05"), [3, 7]) == (D("0.02"), D("0.03"))
    assert money.allocate(D("-0.05"), [3, 7]) == (D("-0.02"), D("-0.03"))
    assert money.allocate(D("0.01"), [0, D("0.5"), D("0.5")]) == (D("0.00"), D("0.01"), D("0.00"))
    assert money.allocate(D("100"), [1, 1, 1], 0) == (D("34"), D("33"), D("33"))


@pytest.mark.parametrize(("total", "weights"), [("1.001", [1]), ("1", []), ("1", [0, 0]), ("1", [2, -1])])
def test_what_cannot_be_split_is_refused(total: str, weights: list[int]) -> None:
    with pytest.raises(ValueError, match="to split"):
        money.allocate(D(total), weights)


@given(
    st.integers(min_value=-(10**9), max_value=10**9),
    st.lists(st.integers(min_value=0, max_value=10**6), min_size=1, max_size=12).filter(any),
)
def test_parts_sum_to_the_total_and_stay_within_a_cent(cents: int, weights: list[int]) -> None:
    total = D(cents).scaleb(-2)
    parts = money.allocate(total, weights)
    assert sum(parts) == total
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - total * weight / sum(weights)) < D("0.010000001")
        assert weight or part == 0


@pytest.mark.parametrize(
    ("amount", "step", "price"),
    [
        ("1199.50", "1", "1200"),
        ("1200", "1", "1200"),
        ("1201.01", "5", "1205"),
        ("0.011", "0.05", "0.05"),
        ("0", "5", "0"),
        ("-7", "5", "-5"),
    ],
)
def test_prices_are_rounded_up_to_the_step(amount: str, step: str, price: str) -> None:
    assert money.round_up_to_step(D(amount), D(step)) == D(price)


@pytest.mark.parametrize("step", ["0", "-1", "NaN"])
def test_a_step_must_be_above_zero(step: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        money.round_up_to_step(D(1), D(step))


@pytest.mark.parametrize(
    ("margin", "markup"),
    [("10", "11.1111"), ("15", "17.6471"), ("20", "25"), ("30", "42.8571"), ("50", "100"), ("80", "400")],
)
def test_margin_and_markup(margin: str, markup: str) -> None:
    """K14, rows of the first table."""
    k = money.margin_to_markup(D(margin) / 100)
    assert round(k * 100, 4) == D(markup)
    assert round(money.markup_to_margin(k), 20) == D(margin) / 100
    assert round(money.price_for_margin(D(80), D(margin) / 100), 20) == round(80 * (1 + k), 20)


def test_impossible_margins_are_refused() -> None:
    with pytest.raises(ValueError, match="below 100 %"):
        money.price_for_margin(D(1), D(1))
    with pytest.raises(ValueError, match="above −100 %"):
        money.markup_to_margin(D(-1))


def test_quantities_meet_prices_as_they_are_written() -> None:
    assert money.exact(0.1) == D("0.1")
    assert money.exact(3) == D(3)
    assert money.exact(1e-7) == D("0.0000001")
    with pytest.raises(ValueError, match="finite"):
        money.exact(float("inf"))
