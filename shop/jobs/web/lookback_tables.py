"""The look-back's tables: in the order that their heads ask for, and as files for a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final

from catalog.csv_cells import Cell, write_table
from shop.jobs.selectors.lookback import Finding
from shop.jobs.selectors.margins import MarginRow, Margins, MonthRow

HOURS_ORDERS: Final[Mapping[str, Callable[[Finding], Any]]] = {
    "operation": lambda one: one.name,
    "jobs": lambda one: -one.hours.jobs,
    "standard": lambda one: -one.hours.planned,
    "worked": lambda one: -one.hours.worked,
    "bias": lambda one: one.hours.bias,
    "spread": lambda one: one.hours.spread,
    "suggested": lambda one: one.hours.factor,
}
BREAKAGE_ORDERS: Final[Mapping[str, Callable[[Finding], Any]]] = {
    "breaks-at": lambda one: one.name,
    "castings": lambda one: -one.breakage.castings,
    "lost": lambda one: -one.breakage.breaks,
    "chance": lambda one: -one.breakage.standard,
    "seen": lambda one: None if one.breakage.share_lost is None else -one.breakage.share_lost,
}
HOURS_HEADER = (
    *("operation", "name", "jobs", "standard_hours", "worked_hours", "bias", "spread"),
    *("odd_jobs", "suggested_factor", "suggested_sd"),
)
BREAKAGE_HEADER = (
    *("operation", "name", "jobs", "castings", "lost", "standard", "seen"),
    *("seen_low", "seen_high", "suggested"),
)
MARGIN_HEADER = ("by", "name", "jobs", "currency", "price", "cost", "margin", "of_price")
MONTH_HEADER = (
    *("month", "quoted", "quoted_net", "won", "won_price", "hours", "closed", "price", "cost", "margin"),
    *("materials", "labour", "overhead", "in_hand"),
)


def with_breakage(found: Iterable[Finding]) -> list[Finding]:
    """The operations at which something breaks, or is expected to."""
    return [one for one in found if one.breakage.standard or one.breakage.breaks]


def hours_table(found: Iterable[Finding]) -> str:
    """Hours by operation as RFC 4180 text."""
    return _written(HOURS_HEADER, (_hours(one) for one in found))


def _hours(one: Finding) -> tuple[Any, ...]:
    seen = one.hours
    sd = None if seen.posterior is None else seen.posterior.sd
    told = (one.code, one.name, seen.jobs, seen.planned, seen.worked, seen.bias, seen.spread)
    return (*told, "; ".join(seen.odd), seen.factor, sd)


def breakage_table(found: Iterable[Finding]) -> str:
    """Breakage by operation as RFC 4180 text."""
    return _written(BREAKAGE_HEADER, (_breakage(one) for one in found))


def _breakage(one: Finding) -> tuple[Any, ...]:
    seen = one.breakage
    low, high = (None, None) if seen.seen is None else (seen.seen.low, seen.seen.high)
    told = (one.code, one.name, seen.jobs, seen.castings, seen.breaks, seen.standard, seen.share_lost)
    return (*told, low, high, seen.suggested)


def margin_table(made: Margins) -> str:
    """Margins by kind of piece and by client as RFC 4180 text."""
    both = (("kind", made.by_kind), ("client", made.by_client))
    return _written(MARGIN_HEADER, (_margin(by, row) for by, rows in both for row in rows))


def _margin(by: str, row: MarginRow) -> tuple[Any, ...]:
    return (by, row.name, row.jobs, row.currency, row.price, row.cost, row.margin, row.of_price)


def month_table(rows: Iterable[MonthRow]) -> str:
    """The months with what was in hand at the end of each, as RFC 4180 text."""
    return _written(MONTH_HEADER, (_month(row) for row in rows))


def _month(row: MonthRow) -> tuple[Any, ...]:
    quoted = (row.month, row.quoted, row.quoted_net, row.won, row.won_price, row.hours)
    made = (row.closed, row.price, row.cost, row.margin)
    return (*quoted, *made, row.taken.materials, row.taken.labour, row.taken.overhead, row.taken.in_hand)


def _written(header: tuple[str, ...], rows: Iterator[tuple[Any, ...]]) -> str:
    return write_table(header, ([_cell(value) for value in row] for row in rows))


def _cell(value: Cell | None) -> Cell:
    """Nothing for none; a float to six figures."""
    if value is None:
        return ""
    return float(f"{value:.6g}") if isinstance(value, float) else value
