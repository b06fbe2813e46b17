"""The quote form: what was typed, kept as typed, and what the services are asked for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError

from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, LineWanted

ITEM_KEYS = ("revision", "quantity", "tax_category", "option")
LINE_KEYS = ("text", "quantity", "unit_price", "tax_category", "option")
FIELD_KEYS = ("client", "new_client", "title", "quoted_on", "valid_days", "discount", "note")
STANDARD = "standard"
"""Tax category of a piece or line that names none."""
_UNSAID = {"tax_category": STANDARD}
MOST_ROWS = 200
LONGEST_OPTION = 80
YEARS = range(2000, 2101)


@dataclass(frozen=True)
class TypedQuote:
    """A quote form's texts: all of `FIELD_KEYS` by name, a mapping of texts for every item and line."""

    fields: Mapping[str, str]
    items: tuple[Mapping[str, str], ...] = ()
    lines: tuple[Mapping[str, str], ...] = ()


@dataclass
class _Reading:
    """Values read so far and what is wrong with the rest, by path."""

    faults: dict[str, list[str]] = field(default_factory=dict)

    def wrong(self, path: str, message: str) -> None:
        self.faults.setdefault(path, []).append(message)

    def decimal(self, path: str, text: str, what: str) -> Decimal:
        try:
            value = Decimal(text.strip().removesuffix("%").strip())
        except InvalidOperation:
            value = Decimal("NaN")
        if not value.is_finite() or abs(value.adjusted()) > 12:
            self.wrong(path, f"must be {what} (given: {text[:40] or 'nothing'})")
            return Decimal(0)
        return value

    def whole(self, path: str, text: str, least: int, most: int) -> int:
        if re.fullmatch(r"[0-9]{1,9}", text.strip()) and least <= int(text) <= most:
            return int(text)
        self.wrong(path, f"must be a whole number from {least} to {most} (given: {text[:40] or 'nothing'})")
        return least


def fields_of(given: Mapping[str, str]) -> dict[str, str]:
    """All the form's own fields, empty where nothing is given."""
    return {key: given.get(key, "") for key in FIELD_KEYS}


def typed_from(posted: Mapping[str, str]) -> TypedQuote:
    """What came with a posted form."""
    return TypedQuote(
        fields_of(posted),
        _rows("items", ITEM_KEYS, posted),
        _rows("lines", LINE_KEYS, posted),
    )


def typed_of(quote: Quote) -> TypedQuote:
    """A draft as its form shows it."""
    discount = (quote.discount * 100).normalize()
    return TypedQuote(
        {
            "client": str(quote.client_id),
            "title": quote.title,
            "quoted_on": quote.quoted_on.isoformat(),
            "valid_days": str(quote.valid_days),
            "discount": f"{discount:f}",
            "note": quote.note,
            "new_client": "",
        },
        tuple(
            {
                "revision": str(item.revision_id),
                "quantity": str(item.quantity),
                "tax_category": item.tax_category,
                "option": item.option,
            }
            for item in quote.items.all()
        ),
        tuple(
            {
                "text": line.text,
                "quantity": _plain(line.quantity),
                "unit_price": _plain(line.unit_price),
                "tax_category": line.tax_category,
                "option": line.option,
            }
            for line in quote.lines.all()
        ),
    )


def offered(typed: TypedQuote) -> dict[str, Any]:
    """What the price follows from: the day, the discount, items and lines.

    Raises ValidationError with every fault by the path of its field.
    """
    reading = _Reading()
    found = _offer(reading, typed)
    if reading.faults:
        raise ValidationError(reading.faults)
    return found


def wanted(typed: TypedQuote) -> dict[str, Any]:
    """The arguments of `draft_quote` and `change_draft`; a new client is named, not made.

    Raises ValidationError with every fault by the path of its field.
    """
    reading, fields = _Reading(), typed.fields
    found = _offer(reading, typed)
    found["valid_days"] = reading.whole("valid_days", fields["valid_days"], 1, 365)
    found |= {"title": fields["title"].strip(), "note": fields["note"].strip()}
    if not found["title"]:
        reading.wrong("title", "is missing: what the client asked for, in a few words")
    if not fields["new_client"].strip():
        found["client"] = _client(reading, fields["client"])
    if reading.faults:
        raise ValidationError(reading.faults)
    return found


def _offer(reading: _Reading, typed: TypedQuote) -> dict[str, Any]:
    percent = typed.fields["discount"] or "0"
    return {
        "quoted_on": _day(reading, typed.fields["quoted_on"]),
        "discount": reading.decimal("discount", percent, "a percentage such as 5") / 100,
        "items": [_item(reading, f"items[{i}]", row) for i, row in enumerate(typed.items)],
        "lines": [_line(reading, f"lines[{i}]", row) for i, row in enumerate(typed.lines)],
    }


def _day(reading: _Reading, text: str) -> date | None:
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        day = None
    if day is None or day.year not in YEARS:
        reading.wrong("quoted_on", f"must be a date such as 2026-05-31, from {YEARS[0]} to {YEARS[-1]}")
        return None
    return day


def _client(reading: _Reading, text: str) -> Client | None:
    client = Client.objects.filter(pk=text).first() if text.isdecimal() else None
    if client is None:
        reading.wrong("client", "must be one of the clients, or name a new one")
    return client


def _item(reading: _Reading, path: str, row: Mapping[str, str]) -> ItemWanted | None:
    pk = row["revision"]
    revision = PieceRevision.objects.select_related("piece").filter(pk=pk).first() if pk.isdecimal() else None
    quantity = reading.whole(f"{path}.quantity", row["quantity"], 1, 1000)
    if revision is None:
        reading.wrong(f"{path}.revision", "must be one of the saved pieces")
        return None
    return ItemWanted(revision, quantity, _option(reading, path, row), row["tax_category"])


def _line(reading: _Reading, path: str, row: Mapping[str, str]) -> LineWanted:
    if not row["text"].strip():
        reading.wrong(f"{path}.text", "is missing")
    return LineWanted(
        row["text"],
        reading.decimal(f"{path}.unit_price", row["unit_price"], "an amount such as 120 or -50.00"),
        reading.decimal(f"{path}.quantity", row["quantity"] or "1", "a number such as 1 or 2.5"),
        row["tax_category"],
        _option(reading, path, row),
    )


def _option(reading: _Reading, path: str, row: Mapping[str, str]) -> str:
    name = row.get("option", "").strip()
    if len(name) > LONGEST_OPTION:
        reading.wrong(f"{path}.option", f"must be at most {LONGEST_OPTION} letters")
    return name


def _rows(name: str, keys: tuple[str, ...], posted: Mapping[str, str]) -> tuple[Mapping[str, str], ...]:
    pattern = re.compile(re.escape(name) + r"\[([0-9]{1,4})\]\.")
    numbers = sorted({int(match[1]) for key in posted if (match := pattern.match(key))})[:MOST_ROWS]
    return tuple(
        {key: posted.get(f"{name}[{number}].{key}") or _UNSAID.get(key, "") for key in keys}
        for number in numbers
    )


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"
