"""What a cost report is made of: frozen lines. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from shop.jobs.facts import JobFacts, MaterialFacts, OperationFacts
from shop.jobs.forecast import EarnedValue


@dataclass(frozen=True, slots=True)
class CostLine:
    """One kind of cost: planned, actual, to come."""

    code: str
    name: str
    planned: Decimal
    actual: Decimal
    to_come: Decimal

    @property
    def forecast(self) -> Decimal:
        """actual + to come."""
        return self.actual + self.to_come

    @property
    def variance(self) -> Decimal:
        """forecast − planned: above zero is dearer."""
        return self.forecast - self.planned


@dataclass(frozen=True, slots=True)
class OperationLine:
    """One operation; variances are against what the work done so far should have taken."""

    facts: OperationFacts
    done: Decimal
    """Share done: as said, else all of a closed job, else by hours as planned."""
    said: bool
    hours_to_come: Decimal
    cost_to_come: Decimal
    rate_variance: Decimal
    efficiency_variance: Decimal


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One material; variances are against what the work done so far should have used."""

    facts: MaterialFacts
    done: Decimal
    quantity_to_come: Decimal
    cost_to_come: Decimal
    price_variance: Decimal
    usage_variance: Decimal


@dataclass(frozen=True, slots=True)
class MishapLine:
    """What a mishap has cost and will still cost: work done again with its overhead, and materials."""

    key: int
    name: str
    stage: str
    outcome: str
    hours: Decimal
    actual: Decimal
    to_come: Decimal


@dataclass(frozen=True, slots=True)
class Margin:
    """What is left of the price, as an amount and as a share of the price and of the cost."""

    amount: Decimal
    of_price: Decimal | None
    of_cost: Decimal | None


@dataclass(frozen=True, slots=True)
class CostReport:
    """A job's cost at one moment."""

    facts: JobFacts
    operations: tuple[OperationLine, ...]
    materials: tuple[MaterialLine, ...]
    mishaps: tuple[MishapLine, ...]
    lines: tuple[CostLine, ...]
    """Materials, labour, overhead, mishaps (planned: the breakage allowance), total."""
    hours_planned: Decimal
    hours_worked: Decimal
    hours_to_come: Decimal
    earned: EarnedValue
    quoted: Margin
    forecast: Margin
    made: Margin | None
    """None until the job is closed."""

    def line(self, code: str) -> CostLine:
        """The line of a kind of cost."""
        return next(one for one in self.lines if one.code == code)
