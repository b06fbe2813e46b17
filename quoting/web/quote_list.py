"""The list of quotes: totals as they were issued, and the list as a table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from babel.numbers import format_currency

from catalog.csv_cells import write_table
from quoting.models import IssuedQuote, Quote

HEADER = ("number", "title", "client", "state", "issued_on", "valid_until", "currency", "net", "gross")


def total_words(quote: Quote) -> str:
    """What an issued quote asked for, in its own currency and locale; nothing for a draft.

    Of a quote with options the one accepted, the first before that.
    """
    issued = _issued(quote)
    if issued is None:
        return ""
    gross = _sums(quote, issued)["gross"]
    return format_currency(Decimal(gross), issued.data["currency"], locale=issued.data["locale"])


def as_table(rows: Iterable[Quote], on: date) -> str:
    """Quotes as RFC 4180 text, one row each, as they stand on a day; figures are those that were issued."""
    return write_table(HEADER, (_row(quote, on) for quote in rows))


def _row(quote: Quote, on: date) -> tuple[str, ...]:
    issued = _issued(quote)
    data = issued.data | _sums(quote, issued) if issued else {}
    figures = (data.get(key, "") for key in ("issued_on", "valid_until", "currency", "net", "gross"))
    return (quote.number or "", quote.title, quote.client.name, quote.state(on), *figures)


def _sums(quote: Quote, issued: IssuedQuote) -> Mapping[str, Any]:
    """The sums of the option that the client took; the quote's own where there is none."""
    answer = getattr(quote, "answer", None)
    taken = answer.option if answer is not None else ""
    data: Mapping[str, Any] = issued.data
    return next((one for one in data.get("options", ()) if one["name"] == taken), data)


def _issued(quote: Quote) -> IssuedQuote | None:
    return getattr(quote, "issued", None)
