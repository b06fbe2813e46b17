"""Writing quotes: drafts that may change, and issuing, after which nothing does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from catalog import selectors as catalogue
from quoting.access import Person
from quoting.documents.client_quote import Sent, canonical, client_data, digest, quote_pdf, valid_until
from quoting.engine.estimate.report import report
from quoting.errors import IllegalMove
from quoting.models import (
    Client,
    IssuedQuote,
    NumberSeries,
    PieceRevision,
    Quote,
    QuoteEvent,
    QuoteItem,
    QuoteLine,
)
from quoting.selectors.price_book import names_of
from quoting.selectors.quotes import price_quote


@dataclass(frozen=True)
class ItemWanted:
    """A saved piece to put in a quote; without a quantity the specification's own."""

    revision: PieceRevision
    quantity: int | None = None


@dataclass(frozen=True)
class LineWanted:
    """Another line to put in a quote."""

    text: str
    unit_price: Decimal
    quantity: Decimal = Decimal(1)
    tax_category: str = "standard"


@transaction.atomic
def draft_quote(
    client: Client,
    *,
    title: str,
    quoted_on: date,
    items: Sequence[ItemWanted] = (),
    lines: Sequence[LineWanted] = (),
    valid_days: int | None = None,
    discount: Decimal = Decimal(0),
    note: str = "",
    by: Person = None,
) -> Quote:
    """Save a draft. Raises ValidationError with every fault, by field."""
    quote = Quote(
        client=client,
        title=title.strip(),
        quoted_on=quoted_on,
        valid_days=valid_days or catalogue.shop_terms().validity_days,
        discount=discount,
        note=note.strip(),
        created_by=by,
    )
    quote.full_clean(exclude=("created_by",))
    quote.save()
    _put_items(quote, items)
    _put_lines(quote, lines)
    _record(quote, "drafted", by)
    return quote


@transaction.atomic
def change_draft(
    quote: Quote,
    *,
    items: Sequence[ItemWanted] | None = None,
    lines: Sequence[LineWanted] | None = None,
    by: Person = None,
    **fields: Any,
) -> Quote:
    """Change what is given of a draft; items and lines given replace those that stand.

    Raises IllegalMove when the quote is no draft, ValidationError with every fault by field.
    """
    held = _held(quote)
    if held.status != Quote.Status.DRAFT:
        raise IllegalMove(held.status, "change", "An issued quote does not change; revise it instead.")
    for name, value in fields.items():
        if name not in {"client", "title", "quoted_on", "valid_days", "discount", "note"}:
            raise AssertionError(f"a draft has no {name} to change")
        setattr(held, name, value)
    held.version += 1
    held.full_clean(exclude=("created_by",))
    held.save()
    if items is not None:
        held.items.all().delete()
        _put_items(held, items)
    if lines is not None:
        held.lines.all().delete()
        _put_lines(held, lines)
    _record(held, "changed", by)
    return held


@transaction.atomic
def delete_draft(quote: Quote) -> None:
    """Throw a draft away. Raises IllegalMove when it was issued."""
    held = _held(quote)
    if held.status != Quote.Status.DRAFT:
        raise IllegalMove(held.status, "delete", "An issued quote is kept; withdraw it instead.")
    held.delete()


@transaction.atomic
def issue_quote(quote: Quote, *, on: date, by: Person = None) -> IssuedQuote:
    """Number a draft, freeze what it says and rests on, store its paper: in one transaction.

    Raises IllegalMove when the quote is no draft or is empty, Refused when it cannot be priced.
    """
    held = _held(quote)
    if held.status != Quote.Status.DRAFT:
        raise IllegalMove(held.status, "issue", "This quote was issued already.")
    if not held.items.exists() and not held.lines.exists():
        raise IllegalMove(held.status, "issue", "There is nothing in this quote yet; add a piece or a line.")
    priced = price_quote(held)
    number = _next_number(f"Q{on:%y}")
    sent = Sent(number, on, valid_until(on, held.valid_days))
    data = client_data(priced, catalogue.shop_terms(), sent, names_of(held.quoted_on))
    paper = quote_pdf(data)
    held.number, held.status, held.version = number, Quote.Status.ISSUED, held.version + 1
    held.save()
    issued = IssuedQuote.objects.create(
        quote=held,
        data=data,
        basis={
            "cost": str(priced.cost),
            "items": [
                {"document": item.item.revision.document, "estimate": report(item.estimate)}
                for item in priced.items
            ],
        },
        data_sha256=digest(canonical(data)),
        pdf=paper,
        pdf_sha256=digest(paper),
        issued_at=timezone.now(),
        issued_by=by,
        valid_until=sent.valid_until,
    )
    _record(held, "issued", by, number)
    return issued


@transaction.atomic
def withdraw_quote(quote: Quote, *, reason: str = "", by: Person = None) -> Quote:
    """Take an issued quote back. Raises IllegalMove when it is not out."""
    held = _held(quote)
    if held.status != Quote.Status.ISSUED:
        raise IllegalMove(held.status, "withdraw", "Only a quote that is out can be withdrawn.")
    held.status, held.version = Quote.Status.WITHDRAWN, held.version + 1
    held.save()
    _record(held, "withdrawn", by, reason)
    return held


def _held(quote: Quote) -> Quote:
    """The quote as the database has it, its row locked for this transaction."""
    return Quote.objects.select_for_update().get(pk=quote.pk)


def _next_number(series: str) -> str:
    """The next number of a series. Its row stays locked until the transaction ends, so a number is used or
    given back with everything else: no gap, no repeat.
    """
    NumberSeries.objects.get_or_create(name=series)
    row = NumberSeries.objects.select_for_update().get(name=series)
    row.last += 1
    row.save()
    return f"{series}-{row.last:04d}"


def _put_items(quote: Quote, items: Sequence[ItemWanted]) -> None:
    for position, wanted in enumerate(items, start=1):
        own = wanted.revision.document.get("quantity", 1)
        item = QuoteItem(
            quote=quote, position=position, revision=wanted.revision, quantity=wanted.quantity or own
        )
        _checked(item, f"items[{position - 1}]")
        item.save()


def _put_lines(quote: Quote, lines: Sequence[LineWanted]) -> None:
    rates = catalogue.shop_terms().tax_rates
    for position, wanted in enumerate(lines, start=1):
        path = f"lines[{position - 1}]"
        if wanted.tax_category not in rates:
            known = ", ".join(sorted(rates))
            raise ValidationError(
                {f"{path}.tax_category": f"No tax rate {wanted.tax_category!r}; the shop has {known}."}
            )
        line = QuoteLine(
            quote=quote,
            position=position,
            text=wanted.text.strip(),
            quantity=wanted.quantity,
            unit_price=wanted.unit_price,
            tax_category=wanted.tax_category,
        )
        _checked(line, path)
        line.save()


def _checked(row: QuoteItem | QuoteLine, path: str) -> None:
    try:
        row.full_clean()
    except ValidationError as faults:
        raise ValidationError(
            {f"{path}.{name}": messages for name, messages in faults.message_dict.items()}
        ) from None


def _record(quote: Quote, kind: str, by: Person, detail: str = "") -> None:
    QuoteEvent.objects.create(quote=quote, at=timezone.now(), by=by, kind=kind, detail=detail[:500])
