"""Why actual cost differs from planned: price against usage, rate against efficiency, overhead. Pure.

Every variance is actual less standard, so above zero is unfavourable. Quantities and hours are those that
the work really done should have taken. Amounts are exact decimals of one currency, never rounded here.
Source: standard costing as any managerial accounting text has it; check values K9 to K13.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class MaterialVariance:
    """Variances of one material."""

    flexible_budget: Decimal
    """Standard quantity × standard price: what the work done should have cost."""
    price: Decimal
    usage: Decimal

    @property
    def total(self) -> Decimal:
        """Both together; actual − planned only where everything bought was used."""
        return self.price + self.usage


@dataclass(frozen=True, slots=True)
class LabourVariance:
    """Variances of one operation's labour; they sum to actual cost − flexible budget always."""

    flexible_budget: Decimal
    rate: Decimal
    efficiency: Decimal

    @property
    def total(self) -> Decimal:
        """Both together: actual cost − standard hours × standard rate."""
        return self.rate + self.efficiency


@dataclass(frozen=True, slots=True)
class OverheadVariance:
    """Variances of overhead: `spending` against what was allowed, and what hours or volume did to it."""

    applied: Decimal
    spending: Decimal
    volume: Decimal
    """Variable overhead: its efficiency variance; fixed overhead: its volume variance."""


def material_variance(
    *,
    standard_quantity: Decimal,
    standard_price: Decimal,
    bought: Decimal,
    paid: Decimal,
    used: Decimal,
) -> MaterialVariance:
    """Split a material's variance: price = paid − bought × SP; usage = (used − SQ) × SP.

    Quantities in the material's unit, `standard_price` for one unit, `paid` for all that was bought.
    Bought is not used: the price variance belongs to what was bought. Check values K9, K10, K12.

    >>> material_variance(standard_quantity=Decimal(420), standard_price=Decimal(1), bought=Decimal(440),
    ...                   paid=Decimal(528), used=Decimal(399)).price
    Decimal('88')
    """
    return MaterialVariance(
        flexible_budget=standard_quantity * standard_price,
        price=paid - bought * standard_price,
        usage=(used - standard_quantity) * standard_price,
    )


def labour_variance(
    *, standard_hours: Decimal, standard_rate: Decimal, hours: Decimal, paid: Decimal
) -> LabourVariance:
    """Split an operation's variance: rate = paid − AH × SR; efficiency = (AH − SH) × SR.

    `paid` is what the hours really worked cost. Check values K9 to K11.

    >>> labour_variance(standard_hours=Decimal(10), standard_rate=Decimal(20), hours=Decimal(12),
    ...                 paid=Decimal(216)).rate
    Decimal('-24')
    """
    return LabourVariance(
        flexible_budget=standard_hours * standard_rate,
        rate=paid - hours * standard_rate,
        efficiency=(hours - standard_hours) * standard_rate,
    )


def variable_overhead_variance(
    *, standard_hours: Decimal, rate: Decimal, hours: Decimal, actual: Decimal
) -> OverheadVariance:
    """Split variable overhead: spending = actual − AH × rate; efficiency = (AH − SH) × rate.

    Check values K9, K10.

    >>> variable_overhead_variance(standard_hours=Decimal(10), rate=Decimal(5), hours=Decimal(9),
    ...                            actual=Decimal(47)).spending
    Decimal('2')
    """
    return OverheadVariance(
        applied=standard_hours * rate,
        spending=actual - hours * rate,
        volume=(hours - standard_hours) * rate,
    )


def fixed_overhead_variance(
    *, standard_hours: Decimal, rate: Decimal, budget: Decimal, actual: Decimal
) -> OverheadVariance:
    """Split fixed overhead: spending = actual − budget; volume = budget − SH × rate.

    The volume variance is nought when the standard hours are the budget's. Check values K9, K10, K13.

    >>> fixed_overhead_variance(standard_hours=Decimal(21), rate=Decimal(7), budget=Decimal(140),
    ...                         actual=Decimal(136)).volume
    Decimal('-7')
    """
    applied = standard_hours * rate
    return OverheadVariance(applied=applied, spending=actual - budget, volume=budget - applied)
