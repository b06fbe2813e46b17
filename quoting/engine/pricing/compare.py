"""What changes between two prices: for a maker's "what if" (thicker, two of them, a lighter mix,
delivered).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.errors import Fault, Refused
from quoting.engine.pricing.build_up import Price

# The lines that sum to the cost, in the order of the build-up, then what is laid on it.
_PARTS = (
    ("materials", "materials_cost"),
    ("wear", "wear_cost"),
    ("bought_in", "bought_in_cost"),
    ("labour", "labour_cost"),
    ("overrun", "overrun"),
    ("delivery", "delivery_cost"),
    ("overhead", "overhead"),
    ("breakage", "breakage_allowance"),
    ("margin", "margin"),
    ("tax", "tax"),
)


@dataclass(frozen=True, slots=True)
class Difference:
    """One part of the total, in both prices."""

    part: str
    before: Decimal
    after: Decimal

    @property
    def change(self) -> Decimal:
        """after − before, in the currency."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two prices side by side; the changes of the parts sum to the change of the total."""

    parts: tuple[Difference, ...]
    hours: Difference
    cost: Difference
    net: Difference
    gross: Difference
    unit_price: Difference
    achieved_margin: Difference


def compare(before: Price, after: Price) -> Comparison:
    """Two prices of one currency part by part: cost lines, margin, tax; they sum to the gross totals exactly.

    Refused when the currencies differ.
    """
    if before.currency != after.currency:
        message = f"prices in {before.currency} and {after.currency} cannot be compared"
        raise Refused([Fault("currency", message, "currency_differs", after.currency)])

    def difference(part: str, field: str) -> Difference:
        return Difference(part, getattr(before, field), getattr(after, field))

    return Comparison(
        parts=tuple(difference(part, field) for part, field in _PARTS),
        hours=difference("hours", "labour_hours"),
        cost=difference("cost", "cost"),
        net=difference("net", "net_after_discount"),
        gross=difference("gross", "gross"),
        unit_price=difference("unit_price", "unit_price"),
        achieved_margin=difference("achieved_margin", "achieved_margin"),
    )
