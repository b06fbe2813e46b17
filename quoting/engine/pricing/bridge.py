"""A price bridge: from one price to another by named changes whose parts sum to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class BridgePart:
    """One named change, what it did to the price, and the price after it."""

    name: str
    change: Decimal
    after: Decimal


@dataclass(frozen=True, slots=True)
class Bridge:
    """From `start` to `end`: the changes of the parts sum to `end − start` exactly."""

    start: Decimal
    end: Decimal
    parts: tuple[BridgePart, ...]


def bridge(start: Decimal, changes: Sequence[tuple[str, Decimal]]) -> Bridge:
    """Parts of a price's way from `start`, given in order the price after each named change.

    Each part is the price after its change less the price before it, so the parts always sum exactly; what
    two changes do together falls to the later one. Amounts in whole minor units of one currency.

    >>> [(p.name, p.change) for p in bridge(Decimal("100.00"), [("wages", Decimal("104.50"))]).parts]
    [('wages', Decimal('4.50'))]
    """
    parts = []
    price = start
    for name, after in changes:
        parts.append(BridgePart(name, after - price, after))
        price = after
    return Bridge(start, price, tuple(parts))
