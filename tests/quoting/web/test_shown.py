"""Figures in the units of the shop that reads them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.web.shown import Figures

METRIC = Figures("metric", "EUR", "en_GB")
US = Figures("us", "USD", "en_US")


@pytest.mark.parametrize(
    ("quantity", "unit", "metric", "us"),
    [
        (0.859, "m²", "0.859 m²", "9.2 sq ft"),
        (36.287, "kg", "36.287 kg", "80.0 lb"),
        (7.571, "L", "7.571 L", "2.00 gal"),
        (310, "mL", "310 mL", "10.5 fl oz"),
        (6.096, "m", "6.096 m", "20 ft"),
        (8, "each", "8 each", "8 each"),
    ],
)
def test_contents(quantity: float, unit: str, metric: str, us: str) -> None:
    assert (METRIC.content(quantity, unit), US.content(quantity, unit)) == (metric, us)


def test_a_rate_of_tax_is_told_with_all_its_decimals() -> None:
    """7.25 % once read 7.2 % beside the tax of 7.25 %."""
    assert [US.rate(Decimal(rate)) for rate in ("0.0725", "0.08875", "0.2", "0")] == [
        *("7.25%", "8.875%", "20%", "0%"),
    ]
    assert METRIC.percent(Decimal("0.08875")) == "8.9%"
