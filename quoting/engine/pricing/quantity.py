"""Price breaks: what one piece costs when more are ordered together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.money import to_minor
from quoting.engine.pricing.build_up import Price


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """One row of the table; `saving` is that of one piece against the first row."""

    quantity: int
    unit_price: Decimal
    net: Decimal
    cost: Decimal
    cost_per_piece: Decimal
    hours_per_piece: Decimal
    saving: Decimal
    achieved_margin: Decimal


def price_breaks(
    price_at: Callable[[int], Price], quantities: Sequence[int] = (1, 2, 5, 10)
) -> tuple[PriceBreak, ...]:
    """A price-break table: `price_at` prices a whole quantity (mould and set-up shared, moulds renewed,
    learning applied, packs bought once for all); the quantities are taken in rising order.

    ValueError for no quantities.
    """
    if not quantities:
        raise ValueError("a price-break table needs at least one quantity")
    prices = [price_at(quantity) for quantity in sorted(set(quantities))]
    return tuple(_row(price, prices[0]) for price in prices)


def _row(price: Price, first: Price) -> PriceBreak:
    return PriceBreak(
        quantity=price.quantity,
        unit_price=price.unit_price,
        net=price.net,
        cost=price.cost,
        cost_per_piece=to_minor(price.cost / price.quantity, price.minor_units),
        hours_per_piece=to_minor(price.labour_hours / price.quantity, 2),
        saving=first.unit_price - price.unit_price,
        achieved_margin=price.achieved_margin,
    )
