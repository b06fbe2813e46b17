"""Overhead by a rate set beforehand, and a month's costs through raw material, work in hand, sales. Pure.

Source: job-order costing as any managerial accounting text has it; check values K1 to K6.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.money import allocate


@dataclass(frozen=True, slots=True)
class MonthFigures:
    """What a shop's books say of one month; amounts of one currency."""

    opening_raw: Decimal
    opening_in_hand: Decimal
    opening_finished: Decimal
    purchases: Decimal
    direct_materials: Decimal
    indirect_materials: Decimal
    direct_labour: Decimal
    indirect_labour: Decimal
    other_overhead: Decimal
    overhead_applied: Decimal
    completed: Decimal
    """Cost of the jobs finished."""
    sold: Decimal
    """Cost of the jobs handed over."""
    sales: Decimal
    selling: Decimal = Decimal(0)
    general: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class MonthResult:
    """Where a month ends."""

    raw: Decimal
    in_hand: Decimal
    finished: Decimal
    overhead: Decimal
    """Really incurred."""
    under_applied: Decimal
    """Incurred − applied: below zero, more was charged to jobs than was spent."""
    cost_of_sales: Decimal
    """With the under-applied overhead."""
    gross_profit: Decimal
    operating_profit: Decimal


def overhead_rate(overhead: Decimal, base: Decimal) -> Decimal:
    """Overhead for one unit of its base (labour hours, as a rule): expected overhead ÷ expected base.

    ValueError when the base is not above zero. Check value K1.

    >>> overhead_rate(Decimal(1_140_000), Decimal(38_000))
    Decimal('30')
    """
    if base <= 0:
        raise ValueError("overhead is spread over a base above zero")
    return overhead / base


def under_applied(actual: Decimal, applied: Decimal) -> Decimal:
    """Overhead incurred but not charged to jobs: actual − applied; below zero it is over-applied.

    >>> under_applied(Decimal(470_000), Decimal(510_000))
    Decimal('-40000')
    """
    return actual - applied


def prorate(amount: Decimal, balances: Mapping[str, Decimal], minor_units: int = 2) -> dict[str, Decimal]:
    """Spread an under- or over-applied amount over balances in proportion; the parts sum to it exactly.

    ValueError when no balance is above zero or one is below. Check values K5, K6.

    >>> prorate(Decimal(2000), {"in hand": Decimal(60), "finished": Decimal(30), "sold": Decimal(10)})["sold"]
    Decimal('200.00')
    """
    parts = allocate(amount, list(balances.values()), minor_units)
    return dict(zip(balances, parts, strict=True))


def month_result(month: MonthFigures) -> MonthResult:
    """Carry a month's figures through: raw → work in hand → finished → sold, overhead applied on the way.

    in hand = opening + direct materials + direct labour + applied overhead − completed. The difference
    between overhead incurred and applied goes to the cost of sales. Check value K4.
    """
    drawn = month.direct_materials + month.indirect_materials
    charged = month.direct_materials + month.direct_labour + month.overhead_applied
    incurred = month.indirect_materials + month.indirect_labour + month.other_overhead
    short = under_applied(incurred, month.overhead_applied)
    cost_of_sales = month.sold + short
    gross = month.sales - cost_of_sales
    return MonthResult(
        raw=month.opening_raw + month.purchases - drawn,
        in_hand=month.opening_in_hand + charged - month.completed,
        finished=month.opening_finished + month.completed - month.sold,
        overhead=incurred,
        under_applied=short,
        cost_of_sales=cost_of_sales,
        gross_profit=gross,
        operating_profit=gross - month.selling - month.general,
    )
