"""Cells of a CSV file: formulas made harmless on the way out, numbers and dates read on the way in. Pure."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

Cell = str | int | float | Decimal
MOST_BYTES = 1_000_000
MOST_ROWS = 5_000
_FORMULA = re.compile(r"\A'*[=+\-@\t\r\n＝＋－＠]")
_NUMBER = re.compile(r"\A[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?\Z")
_COMMA_NUMBER = re.compile(r"\A[0-9]+,[0-9]+\Z")


class Unreadable(ValueError):
    """The file as a whole cannot be read as a table."""


def neutral(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula: an apostrophe in front where it might.

    >>> neutral("=1+1"), neutral("Board"), neutral("'-5")
    ("'=1+1", 'Board', "''-5")
    """
    return f"'{cell}" if _FORMULA.match(cell) else cell


def restored(cell: str) -> str:
    """Undo `neutral`.

    >>> restored("'=1+1"), restored("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def write_table(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as RFC 4180 text, texts neutralised, with the mark that tells spreadsheets UTF-8.

    Numbers stay numbers, those below nought too.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([neutral(cell) if isinstance(cell, str) else cell for cell in row])
    return "\ufeff" + out.getvalue()


def read_table(content: bytes) -> tuple[str, list[tuple[int, list[str]]]]:
    """Return the delimiter and the rows that hold anything, each with the line it starts on.

    Comma or semicolon, whichever the first line holds more of; UTF-8, with or without its mark.
    """
    if len(content) > MOST_BYTES:
        raise Unreadable(f"The file is longer than {MOST_BYTES // 1000} kB: split it.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        raise Unreadable(f"Line {line} is not UTF-8: save the file as CSV UTF-8.") from None
    if "\x00" in text:
        raise Unreadable("The file holds the character NUL: it is not a CSV file.")
    first = text.split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    return delimiter, _rows(text, delimiter)


def _rows(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    start = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((start, [restored(cell.strip()) for cell in row]))
            start = reader.line_num + 1
            if len(rows) > MOST_ROWS + 1:
                raise Unreadable(f"The file has more than {MOST_ROWS} rows: split it.")
    except csv.Error as fault:
        raise Unreadable(
            f"Line {start} cannot be read, often for want of a quotation mark: {fault}."
        ) from None
    return rows


def as_number(cell: str, delimiter: str) -> str:
    """Return a number as text with a point, or raise `ValueError`; a comma may do where semicolons part.

    >>> as_number("12,50", ";")
    '12.50'
    """
    if delimiter == ";" and _COMMA_NUMBER.match(cell):
        cell = cell.replace(",", ".")
    if not cell.isascii() or not _NUMBER.match(cell):
        raise ValueError("Write a plain number such as 12.50, without thousands marks, currency or unit.")
    return cell


def as_date(cell: str) -> date:
    """Return a date written YYYY-MM-DD, or raise `ValueError`."""
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", cell):
        raise ValueError("Write a date as YYYY-MM-DD.")
    try:
        return date.fromisoformat(cell)
    except ValueError:
        raise ValueError("There is no such day.") from None
