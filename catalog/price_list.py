"""The price list as CSV: out, and in by way of a preview. Either every row of a file is taken, or none.

A row with a known code changes that material, one with a new code makes it. Columns that the file leaves out
stay as they are; a blank cell clears an optional figure and leaves a needed one. A price starts on
`valid_from`, today where that is blank.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from catalog import selectors
from catalog.csv_cells import Unreadable, as_date, as_number, read_table, write_table
from catalog.errors import CatalogRefused, Fault
from catalog.models import CatalogueChange, Material, MaterialPrice
from catalog.models.changes import ChangedKind
from catalog.services.changes import Said, change_of, said
from catalog.services.checks import dated_fault, figures, same_date
from catalog.services.materials import DESCRIPTION, described, priced_row
from catalog.vocabulary import FIGURE_NAMES

COLUMNS = (
    "code",
    "name",
    "kind",
    "usage",
    "pack_size",
    "pack_name",
    "price",
    "valid_from",
    "waste",
    "supplier",
    "lead_days",
    *FIGURE_NAMES,
    "source",
    "retired_from",
)
NUMBERS = frozenset({"pack_size", "price", "waste", "lead_days", *FIGURE_NAMES})
DATES = frozenset({"valid_from", "retired_from"})
KEPT_WHEN_BLANK = frozenset({"name", "kind", "pack_size", "pack_name", "waste", "lead_days"})
PRICE_COLUMNS = frozenset({"price", "valid_from"})
OUTDATED = Fault("", "The price list has changed meanwhile: look at the changes again.", "preview_outdated")


@dataclass(frozen=True, slots=True)
class RowFault:
    """One thing wrong with a file: the line as an editor counts it, the column's name, the reason."""

    line: int
    column: str
    message: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class CellChange:
    """What a column of a material says now and would say; blank for nothing."""

    column: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class RowChange:
    """What a line of the file would do."""

    line: int
    code: str
    name: str
    new: bool
    cells: tuple[CellChange, ...]


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file would change. `digest` names this very set of changes, so that no other gets applied."""

    rows: int
    unchanged: int
    changes: tuple[RowChange, ...]
    faults: tuple[RowFault, ...]
    digest: str


@dataclass(frozen=True, slots=True)
class _Write:
    material: Material
    before: Said
    price: MaterialPrice | None
    change: RowChange


# --- out -------------------------------------------------------------------------------------------------
def export(on: date, rows: Iterable[Material] | None = None) -> str:
    """Return materials, or all in use on a date, with the prices that hold, as CSV text."""
    found = selectors.priced(selectors.materials(on) if rows is None else rows, on)
    return write_table(COLUMNS, (_cells(row) for row in found))


def _cells(row: selectors.PricedMaterial) -> list[str]:
    prices = {"price": row.price, "valid_from": row.price_from}
    return [cell(prices[name] if name in prices else getattr(row.material, name)) for name in COLUMNS]


def cell(value: Any) -> str:
    """Return a value as a cell: nothing for none, a number without needless places."""
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return f"{selectors.trimmed(value):f}" if isinstance(value, Decimal) else str(value)


# --- in --------------------------------------------------------------------------------------------------
def preview(content: bytes, *, today: date) -> Preview:
    """Return what a file would change and every fault in it; nothing is written."""
    return _plan(content, today, "", lock=False)[0]


@transaction.atomic
def apply(content: bytes, *, today: date, who: str = "", digest: str = "") -> Preview:
    """Take a whole file in, or raise `CatalogRefused` and take nothing.

    With the `digest` of a preview, refuse also when the file would by now change something else than shown.
    """
    plan, writes = _plan(content, today, who, lock=True)
    if plan.faults:
        raise CatalogRefused(
            Fault(f"line {fault.line}, {fault.column}", fault.message, "row", fault.value or None)
            for fault in plan.faults
        )
    if digest and digest != plan.digest:
        raise CatalogRefused([OUTDATED])
    _write(writes)
    _note(writes, who)
    return plan


def _write(writes: list[_Write]) -> None:
    """Save what was planned; a code that somebody else has just taken makes the plan outdated."""
    try:
        with transaction.atomic():
            Material.objects.bulk_create([write.material for write in writes if write.change.new])
    except IntegrityError:
        raise CatalogRefused([OUTDATED]) from None
    for write in writes:
        changed = [cell.column for cell in write.change.cells if cell.column in DESCRIPTION]
        if changed and not write.change.new:
            write.material.save(update_fields=changed)
        if write.price is not None:
            write.price.material = write.material
    prices = [write.price for write in writes if write.price is not None]
    MaterialPrice.objects.bulk_create([price for price in prices if price.pk is None])
    MaterialPrice.objects.bulk_update(
        [price for price in prices if price.pk is not None],
        ["price", "entered_at", "entered_by"],
        batch_size=100,
    )


def _note(writes: list[_Write], who: str) -> None:
    """Note what was changed of the materials themselves; a price says itself who entered it."""
    changes = (
        change_of(
            ChangedKind.MATERIAL,
            write.change.code,
            write.before,
            said(write.material, DESCRIPTION),
            who=who,
            new=write.change.new,
        )
        for write in writes
    )
    CatalogueChange.objects.bulk_create([change for change in changes if change is not None], batch_size=200)


def _plan(content: bytes, today: date, who: str, *, lock: bool) -> tuple[Preview, list[_Write]]:
    try:
        delimiter, table = read_table(content)
        header = _header(table)
    except Unreadable as fault:
        return _preview(content, 0, [], [RowFault(1, "file", str(fault))]), []
    except CatalogRefused as refused:
        return _preview(content, 0, [], [RowFault(1, f.path, f.message) for f in refused.faults]), []
    reader = _Reader(header, delimiter, today, who, lock)
    writes, faults = [], []
    for line, row in table[1:]:
        write, row_faults = reader.read(line, row)
        faults += row_faults
        if write is not None and write.change.cells:
            writes.append(write)
    return _preview(content, len(table) - 1, writes, faults), [] if faults else writes


def _preview(content: bytes, rows: int, writes: list[_Write], faults: list[RowFault]) -> Preview:
    changes = tuple(write.change for write in writes)
    seen = [[c.line, c.code, c.new, [[x.column, x.before, x.after] for x in c.cells]] for c in changes]
    digest = hashlib.sha256(content + json.dumps(seen, ensure_ascii=True).encode()).hexdigest()
    unchanged = max(rows - len(changes) - len({fault.line for fault in faults}), 0)
    return Preview(rows, unchanged, changes, tuple(faults), digest)


def _header(table: list[tuple[int, list[str]]]) -> list[str]:
    """Return the columns of a file, or refuse: unknown or doubled ones, none named code."""
    header = [cell.lower() for cell in table[0][1]] if table else []
    while header and not header[-1]:
        header.pop()
    faults = [
        Fault(name or f"column {place}", f"No such column; known are {', '.join(COLUMNS)}.", "unknown_column")
        for place, name in enumerate(header, 1)
        if name not in COLUMNS
    ]
    faults += [
        Fault(name, "This column stands twice.", "twice")
        for name in dict.fromkeys(header)
        if name in COLUMNS and header.count(name) > 1
    ]
    if "code" not in header:
        faults.append(Fault("code", "The first line must name the columns, code among them.", "missing"))
    if faults:
        raise CatalogRefused(faults)
    return header


class _Reader:
    """Reads the rows of one file against the price list as it stands, fetched once."""

    def __init__(self, header: list[str], delimiter: str, today: date, who: str, lock: bool) -> None:
        self._header, self._delimiter, self._today, self._who = header, delimiter, today, who
        rows = Material.objects.select_for_update() if lock else Material.objects.all()
        self._known = {row.code: row for row in rows.order_by("code")}
        self._prices: dict[int, list[MaterialPrice]] = {}
        for price in MaterialPrice.objects.order_by("valid_from"):
            self._prices.setdefault(price.material_id, []).append(price)
        self._seen: dict[str, int] = {}

    def read(self, line: int, row: list[str]) -> tuple[_Write | None, list[RowFault]]:
        """Return what a row would write, or everything wrong with it."""
        if len(row) < len(self._header) or any(row[len(self._header) :]):
            message = f"This row has {len(row)} cells, the first line names {len(self._header)}."
            return None, [RowFault(line, "row", message)]
        cells = dict(zip(self._header, row, strict=False))
        code = cells.pop("code")
        if not code:
            return None, [RowFault(line, "code", "The code is missing.")]
        if code in self._seen:
            return None, [
                RowFault(line, "code", f"This code stands in line {self._seen[code]} already.", code)
            ]
        self._seen[code] = line
        return self._checked(line, code, cells)

    def _checked(self, line: int, code: str, cells: dict[str, str]) -> tuple[_Write | None, list[RowFault]]:
        values, faults = self._values(line, cells)
        faulty = {fault.column for fault in faults}
        material = self._known.get(code) or Material(code=code)
        new = material.pk is None
        before = {name: cell(getattr(material, name)) for name in DESCRIPTION}
        if new:
            before = dict.fromkeys(before, "")
        description = {name: value for name, value in values.items() if name not in PRICE_COLUMNS}
        told = said(Material() if new else material, DESCRIPTION)
        found = described(material, {"code": code, **description} if new else description, unique=False)
        price, price_faults = self._price(material, values) if not faulty & PRICE_COLUMNS else (None, [])
        faults += [
            RowFault(line, fault.path or "row", fault.message, fault.value or "")
            for fault in (*found, *price_faults)
            if fault.path not in faulty
        ]
        if faults:
            return None, faults
        changed = tuple(self._changes(material, before, price))
        return _Write(material, told, price, RowChange(line, code, material.name, new, changed)), []

    def _values(self, line: int, cells: dict[str, str]) -> tuple[dict[str, Any], list[RowFault]]:
        """Return the cells as values a service takes, and those that are no number or date."""
        values: dict[str, Any] = {}
        faults = []
        for name, cell in cells.items():
            if not cell and name in KEPT_WHEN_BLANK:
                continue
            try:
                if cell and name in NUMBERS:
                    values[name] = as_number(cell, self._delimiter)
                elif cell and name in DATES:
                    values[name] = as_date(cell)
                else:
                    values[name] = cell
            except ValueError as fault:
                faults.append(RowFault(line, name, str(fault), cell[:80]))
        return values, faults

    def _price(self, material: Material, values: dict[str, Any]) -> tuple[MaterialPrice | None, list[Fault]]:
        if values.get("price", "") == "":
            return None, []
        fresh, faults = priced_row(
            material, values["price"], values.get("valid_from") or self._today, self._who
        )
        if faults:
            return None, faults
        history = self._prices.get(material.pk, []) if material.pk else []
        fault = dated_fault(fresh, history, today=self._today)
        if fault is not None:
            advice = f"{fault.message} An empty cell starts today."
            return None, [Fault(fault.path, advice, fault.code, fault.value)]
        held = same_date(fresh, history)
        if held is not None and figures(held) == figures(fresh):
            return None, []
        fresh.pk = held.pk if held is not None else None
        return fresh, []

    def _changes(
        self, material: Material, before: dict[str, str], price: MaterialPrice | None
    ) -> Iterator[CellChange]:
        for name in DESCRIPTION:
            after = cell(getattr(material, name))
            if after != before[name]:
                yield CellChange(name, before[name], after)
        if price is not None:
            history = self._prices.get(material.pk, []) if material.pk else []
            held = [row for row in history if row.valid_from <= price.valid_from]
            yield CellChange("price", cell(held[-1].price) if held else "", cell(price.price))
            yield CellChange(
                "valid_from", held[-1].valid_from.isoformat() if held else "", str(price.valid_from)
            )
