"""The cut list as a document: read with every fault at once, written with the keys of the contract."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from math import isfinite

from quoting.engine.cutting.values import BarPlan, CutPlan, CutRequest, Part, SheetPlan, Stock
from quoting.engine.errors import Fault, Refused

MOST_PARTS = 2_000
MOST_ROWS = 500
LONGEST_MM = 100_000
LONGEST_NAME = 200
DEAREST = Decimal(1_000_000_000)
FINEST_PRICE = Decimal("0.000001")

DOCUMENT_KEYS = ("kerf_mm", "trim_mm", "stock", "parts")
STOCK_KEYS = ("code", "length_mm", "width_mm", "price", "count")
PART_KEYS = ("name", "length_mm", "width_mm", "quantity", "turn")
DEFAULTS: Mapping[str, object] = {"count": None, "turn": True}
"""What a key that may be absent then means."""

Row = Mapping[str, object]


def read_request(document: object) -> CutRequest:
    """The request that a parsed JSON document makes.

    Lengths in mm, above 0 and at most 100,000 (kerf and trim may be 0); prices 0 or more; at most 2,000 parts
    in all. Stock with price 0 and a `count` is on hand and used first. Errors: `Refused` with every fault,
    each with the path to its value.

    >>> read_request({"kerf_mm": 3, "trim_mm": 0, "stock": [], "parts": []})
    Traceback (most recent call last):
    quoting.engine.errors.Refused: stock: at least one size of sheet is needed
    """
    reader = _Reader()
    top = reader.row(document, "", DOCUMENT_KEYS)
    kerf = reader.length(top, "", "kerf_mm", least=0)
    trim = reader.length(top, "", "trim_mm", least=0)
    stock = tuple(reader.stock(row, path) for row, path in reader.rows(top, "stock", STOCK_KEYS))
    parts = tuple(reader.part(row, path) for row, path in reader.rows(top, "parts", PART_KEYS))
    reader.check_together(stock, parts, trim)
    if top.get("stock") == []:
        reader.fault("stock", "at least one size of sheet is needed", "required")
    if reader.faults:
        raise Refused(reader.faults)
    return CutRequest(kerf, trim, stock, parts)


def plan_document(plan: CutPlan) -> dict[str, object]:
    """The plan as the contract's JSON object: lengths in mm, the cost a number in the prices' currency."""
    return {
        "sheets": [_sheet(sheet) for sheet in plan.sheets],
        "cost": int(plan.cost) if plan.cost == plan.cost.to_integral_value() else float(plan.cost),
        "lower_bound_sheets": plan.lower_bound_sheets,
        "proven_optimal": plan.proven_optimal,
        "unplaced": list(plan.unplaced),
    }


def _sheet(sheet: SheetPlan) -> dict[str, object]:
    placed = ("name", "x_mm", "y_mm", "length_mm", "width_mm", "turned")
    offcut = ("x_mm", "y_mm", "length_mm", "width_mm")
    cut = ("axis", "at_mm", "from_mm", "to_mm")
    return {
        "code": sheet.code,
        "placed": [{key: getattr(row, key) for key in placed} for row in sheet.placed],
        "offcuts": [{key: getattr(row, key) for key in offcut} for row in sheet.offcuts],
        "cuts": [{key: getattr(row, key) for key in cut} for row in sheet.cuts],
    }


def bars_document(plan: BarPlan) -> dict[str, object]:
    """The plan of lengths in the same way; what they cost stands in the lines of materials."""
    return {
        "bars": [
            {
                "code": bar.code,
                "pieces": [
                    {"name": piece.name, "x_mm": piece.x_mm, "length_mm": piece.length_mm}
                    for piece in bar.pieces
                ],
                "offcut_mm": bar.offcut_mm,
            }
            for bar in plan.bars
        ],
        "lower_bound_bars": plan.lower_bound_bars,
        "proven_optimal": plan.proven_optimal,
    }


class _Reader:
    """Reads values and collects what is wrong with them; a wrong value reads as a harmless one."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def fault(self, path: str, message: str, code: str, value: object = None) -> None:
        self.faults.append(Fault(path, message, code, None if value is None else repr(value)[:60]))

    def row(self, value: object, path: str, keys: Sequence[str]) -> Row:
        """The known keys of an object; what may be absent is filled in."""
        if not isinstance(value, Mapping):
            self.fault(path, f"must be an object with {', '.join(keys)}", "type", value)
            return {}
        for key in value:
            if key not in keys:
                self.fault(_join(path, str(key)), f"unknown key; known are {', '.join(keys)}", "unknown_key")
        for key in keys:
            if key not in value and key not in DEFAULTS:
                self.fault(_join(path, key), "is missing", "required")
        return {key: value.get(key, DEFAULTS.get(key)) for key in keys if key in value or key in DEFAULTS}

    def rows(self, top: Row, name: str, keys: Sequence[str]) -> list[tuple[Row, str]]:
        """The objects of a list with their paths."""
        if name not in top:
            return []
        value = top[name]
        if not isinstance(value, list):
            self.fault(name, "must be a list", "type", value)
            return []
        if len(value) > MOST_ROWS:
            self.fault(name, f"has {len(value)} rows; {MOST_ROWS} at most", "too_many")
            return []
        return [(self.row(row, f"{name}[{n}]", keys), f"{name}[{n}]") for n, row in enumerate(value)]

    def stock(self, row: Row, path: str) -> Stock:
        return Stock(
            self.text(row, path, "code"),
            self.length(row, path, "length_mm"),
            self.length(row, path, "width_mm"),
            self.price(row, path),
            None if row.get("count") is None else self.count(row, path, "count"),
        )

    def part(self, row: Row, path: str) -> Part:
        turn = row.get("turn", True)
        if not isinstance(turn, bool):
            self.fault(_join(path, "turn"), "must be true or false", "type", turn)
        return Part(
            self.text(row, path, "name"),
            self.length(row, path, "length_mm"),
            self.length(row, path, "width_mm"),
            self.count(row, path, "quantity"),
            turn is True,
        )

    def text(self, row: Row, path: str, key: str) -> str:
        value = row.get(key, "-")
        if isinstance(value, str) and value.strip() and len(value) <= LONGEST_NAME:
            return value
        self.fault(_join(path, key), f"must be a text of 1 to {LONGEST_NAME} characters", "type", value)
        return "-"

    def length(self, row: Row, path: str, key: str, least: int | None = None) -> float:
        """A length in mm above 0, or from `least` on."""
        value = row.get(key, 1)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(_join(path, key), "must be a number of mm", "type", value)
            return 1.0
        low = value > 0 if least is None else value >= least
        if not (low and value <= LONGEST_MM and isfinite(value)):
            said = "above 0" if least is None else f"from {least}"
            self.fault(_join(path, key), f"must be {said} and at most {LONGEST_MM:,} mm", "range", value)
            return 1.0
        return float(value)

    def count(self, row: Row, path: str, key: str) -> int:
        value = row.get(key, 1)
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault(_join(path, key), "must be a whole number", "type", value)
        elif not 1 <= value <= MOST_PARTS:
            self.fault(_join(path, key), f"must be from 1 to {MOST_PARTS:,}", "range", value)
        else:
            return value
        return 1

    def price(self, row: Row, path: str) -> Decimal:
        value = row.get("price", 0)
        try:
            if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
                raise InvalidOperation
            price = Decimal(str(value))
        except InvalidOperation:
            self.fault(_join(path, "price"), "must be a number", "type", value)
            return Decimal(0)
        if not (price.is_finite() and 0 <= price <= DEAREST and price % FINEST_PRICE == 0):
            message = f"must be from 0 to {DEAREST:,}, with six decimals at most"
            self.fault(_join(path, "price"), message, "range", value)
            return Decimal(0)
        return price

    def check_together(self, stock: Sequence[Stock], parts: Sequence[Part], trim: float) -> None:
        """What can only be seen on the whole: codes twice, too many parts, sheets that are all trim."""
        total = sum(part.quantity for part in parts)
        if total > MOST_PARTS:
            self.fault("parts", f"ask for {total:,} parts in all; {MOST_PARTS:,} at most", "too_many")
        if self.faults:
            return
        seen: dict[str, int] = {}
        for number, row in enumerate(stock):
            first = seen.setdefault(row.code, number)
            if first != number:
                message = f"is the code of stock[{first}] too; sheets are told apart by it"
                self.fault(f"stock[{number}].code", message, "twice", row.code)
            if 2 * trim >= min(row.length_mm, row.width_mm):
                message = f"a trim of {trim:g} mm on every side leaves nothing of this sheet"
                self.fault(f"stock[{number}]", message, "range")


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key
