"""Mixes, roles and operations as tables for a spreadsheet: a row each, SI figures, the unit in the head."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from catalog.csv_cells import write_table
from catalog.models import CatalogueChange, Mix, Operation, ShelfItem
from catalog.price_list import cell
from catalog.selectors import PaidRole, PlannedOperation
from catalog.services.labour import STANDARD_FIGURES
from catalog.services.mixes import FIGURES as MIX_FIGURES
from catalog.vocabulary import DRIVERS

MIX_HEADER = ("code", *MIX_FIGURES, "bag", "fibre", "parts_kg_per_m3")
ROLE_HEADER = ("code", "name")
SHELF_HEADER = (
    "code",
    "name",
    "content",
    "unit",
    "length_mm",
    "width_mm",
    "count",
    "place",
    "noted_on",
    "noted_by",
)
CHANGE_HEADER = ("at", "by", "kind", "code", "new", "column", "before", "after")
PAY_HEADER = ("currency", "pay_per_hour", "on_costs", "valid_from")
OPERATION_COLUMNS = ("code", "name", "stage", "position", "retired_from")
STANDARD_COLUMNS = tuple(name for name in STANDARD_FIGURES if name != "per_driver_hours")
OPERATION_HEADER = (
    *OPERATION_COLUMNS,
    "valid_from",
    "role",
    *STANDARD_COLUMNS,
    "back_to",
    *(f"hours_per_{driver}" for driver in DRIVERS),
)


def mix_table(rows: Iterable[Mix]) -> str:
    """Mixes as RFC 4180 text; the parts of a recipe in one cell, each with its kg in 1 m³."""
    return write_table(MIX_HEADER, (_mix(row) for row in rows))


def _mix(row: Mix) -> tuple[str, ...]:
    parts = (f"{part.material.code} {cell(part.kg_per_m3)}" for part in row.parts.all())
    others = (row.bag.code if row.bag else "", row.fibre.code if row.fibre else "", "; ".join(parts))
    return (row.code, *(cell(getattr(row, name)) for name in MIX_FIGURES), *others)


def shelf_table(rows: Iterable[ShelfItem]) -> str:
    """What is on the shelf as RFC 4180 text."""
    return write_table(SHELF_HEADER, (_on_shelf(row) for row in rows))


def _on_shelf(row: ShelfItem) -> tuple[str, ...]:
    sizes = tuple(cell(getattr(row, name)) for name in ("content", "length_mm", "width_mm", "count"))
    unit = "" if row.is_offcut else row.material.content_unit
    noted = (row.place, f"{row.noted_at:%Y-%m-%d}", row.noted_by)
    return (row.material.code, row.material.name, sizes[0], unit, *sizes[1:], *noted)


def change_table(rows: Iterable[CatalogueChange]) -> str:
    """What was changed as RFC 4180 text: a row for each column of each change."""
    return write_table(CHANGE_HEADER, (line for row in rows for line in _changed(row)))


def _changed(row: CatalogueChange) -> Iterator[tuple[str, ...]]:
    told = (row.at.isoformat(timespec="seconds"), row.by, row.kind, row.code, "yes" if row.new else "no")
    for one in row.columns:
        yield (*told, one["column"], _as_text(one["before"]), _as_text(one["after"]))


def _as_text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False) if isinstance(value, list | dict) else cell(value)


def role_table(rows: Iterable[PaidRole], *, pay: bool, currency: str) -> str:
    """Roles as RFC 4180 text; what they are paid only with `pay`."""
    return write_table(ROLE_HEADER + (PAY_HEADER if pay else ()), (_role(row, pay, currency) for row in rows))


def _role(row: PaidRole, pay: bool, currency: str) -> tuple[str, ...]:
    told = (row.role.code, row.role.name)
    if not pay:
        return told
    if row.rate is None:
        return (*told, currency, "", "", "")
    return (*told, currency, *(cell(getattr(row.rate, name)) for name in PAY_HEADER[1:]))


def operation_table(rows: Iterable[PlannedOperation]) -> str:
    """Operations with the standards that hold, as RFC 4180 text; a column of hours for every driver."""
    return write_table(OPERATION_HEADER, (_operation(row) for row in rows))


def _operation(row: PlannedOperation) -> tuple[str, ...]:
    told = _about(row.operation)
    held = row.standard
    if held is None:
        return (*told, *[""] * (len(OPERATION_HEADER) - len(told)))
    figures = (cell(getattr(held, name)) for name in STANDARD_COLUMNS)
    hours = (cell(held.per_driver_hours.get(driver)) for driver in DRIVERS)
    back_to = held.back_to.code if held.back_to else ""
    return (*told, held.valid_from.isoformat(), held.role.code, *figures, back_to, *hours)


def _about(row: Operation) -> tuple[str, ...]:
    return tuple(cell(getattr(row, name)) for name in OPERATION_COLUMNS)
