"""What is known of a job at one moment, as plain values: the input of `costing`. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quoting.engine.money import to_minor

HOUR_PLACES = 4


def hours_of(seconds: int) -> Decimal:
    """Hours worked, to four decimals, half up, as planned hours are.

    >>> hours_of(5400), hours_of(100)
    (Decimal('1.5000'), Decimal('0.0278'))
    """
    return to_minor(Decimal(seconds) / 3600, HOUR_PLACES)


@dataclass(frozen=True, slots=True)
class OperationFacts:
    """One planned operation and the work booked on it; `mishap` is the one that made it necessary."""

    key: int
    piece: int
    code: str
    name: str
    stage: str
    hours: Decimal
    rate: Decimal
    cost: Decimal
    worked: Decimal = Decimal(0)
    paid: Decimal = Decimal(0)
    progress: Decimal | None = None
    """Share done as last said; None: nobody said."""
    planned_on: date | None = None
    mishap: int | None = None


@dataclass(frozen=True, slots=True)
class MaterialFacts:
    """One planned material and what was drawn and bought of it, less what was put back."""

    key: int
    piece: int
    code: str
    name: str
    stage: str
    unit: str
    quantity: Decimal
    cost: Decimal
    used: Decimal = Decimal(0)
    paid: Decimal = Decimal(0)
    mishap: int | None = None


@dataclass(frozen=True, slots=True)
class LooseFacts:
    """Work or material that nothing was planned for: `worked` hours, or a quantity with nought hours."""

    name: str
    worked: Decimal
    paid: Decimal
    is_work: bool
    mishap: int | None = None


@dataclass(frozen=True, slots=True)
class MishapFacts:
    """One mishap."""

    key: int
    piece: int
    name: str
    stage: str
    outcome: str
    castings: int


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """One kind of piece of the job."""

    key: int
    name: str
    quantity: int
    price: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Everything that a cost report follows from."""

    on: date
    closed: bool
    minor_units: int
    price: Decimal
    breakage_allowance: Decimal
    overhead_rate: Decimal
    pieces: tuple[PieceFacts, ...] = ()
    operations: tuple[OperationFacts, ...] = ()
    materials: tuple[MaterialFacts, ...] = ()
    loose: tuple[LooseFacts, ...] = ()
    mishaps: tuple[MishapFacts, ...] = ()
