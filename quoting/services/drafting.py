"""Drafts: quotes that may change, follow the prices of their day, and can be thrown away."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from catalog import selectors as catalogue
from quoting.access import Person
from quoting.errors import DraftOvertaken, IllegalMove
from quoting.models import Client, PieceRevision, Quote, QuoteItem, QuoteLine
from quoting.services.quote_events import held, record

Status = Quote.Status
_FIELDS = frozenset({"client", "title", "quoted_on", "valid_days", "discount", "note"})


@dataclass(frozen=True)
class ItemWanted:
    """A saved piece to put in a quote; without a quantity the specification's own."""

    revision: PieceRevision
    quantity: int | None = None
    option: str = ""
    """The alternative it belongs to; empty: part of every one."""
    tax_category: str = "standard"


@dataclass(frozen=True)
class LineWanted:
    """Another line to put in a quote."""

    text: str
    unit_price: Decimal
    quantity: Decimal = Decimal(1)
    tax_category: str = "standard"
    option: str = ""


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
    revises: Quote | None = None,
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
        revises=revises,
        created_by=by,
    )
    quote.full_clean(exclude=("created_by",))
    quote.save()
    _put_items(quote, items)
    _put_lines(quote, lines)
    record(quote, "drafted", by, f"in place of {revises.number}" if revises else "")
    return quote


@transaction.atomic
def change_draft(
    quote: Quote,
    *,
    items: Sequence[ItemWanted] | None = None,
    lines: Sequence[LineWanted] | None = None,
    by: Person = None,
    upon: int | None = None,
    **fields: Any,
) -> Quote:
    """Change what is given of a draft; items and lines given replace those that stand.

    `upon` is the version that was changed. Raises DraftOvertaken where it is not the one that stands,
    IllegalMove when the quote is no draft, ValidationError with every fault by field.
    """
    draft = held(quote)
    if draft.status != Status.DRAFT:
        raise IllegalMove(draft.status, "change", "An issued quote does not change; revise it instead.")
    if upon is not None and draft.version != upon:
        raise DraftOvertaken(draft.pk)
    for name, value in fields.items():
        if name not in _FIELDS:
            raise AssertionError(f"a draft has no {name} to change")
        setattr(draft, name, value)
    draft.version += 1
    draft.full_clean(exclude=("created_by",))
    draft.save()
    if items is not None:
        draft.items.all().delete()
        _put_items(draft, items)
    if lines is not None:
        draft.lines.all().delete()
        _put_lines(draft, lines)
    record(draft, "changed", by)
    return draft


@transaction.atomic
def delete_draft(quote: Quote) -> None:
    """Throw a draft away. Raises IllegalMove when it was issued."""
    draft = held(quote)
    if draft.status != Status.DRAFT:
        raise IllegalMove(draft.status, "delete", "An issued quote is kept; withdraw it instead.")
    draft.delete()


@transaction.atomic
def revise_quote(quote: Quote, *, on: date, by: Person = None) -> Quote:
    """A new draft with the same pieces and lines at the prices of `on`, to take the place of an issued quote.

    The old one stands until the new one is issued, and can be read for ever. Raises IllegalMove for a draft,
    for what was accepted, and for what has been superseded already.
    """
    old = held(quote)
    refusals = {
        Status.DRAFT: "A draft can be changed as it is.",
        Status.ACCEPTED: "This quote was accepted; agree changes in a new quote.",
        Status.SUPERSEDED: "This quote was superseded already; revise the one that took its place.",
    }
    if reason := refusals.get(Status(old.status)):
        raise IllegalMove(old.status, "revise", reason)
    draft = draft_quote(
        old.client,
        title=old.title,
        quoted_on=on,
        items=[
            ItemWanted(item.revision, item.quantity, item.option, item.tax_category)
            for item in old.items.all()
        ],
        lines=[
            LineWanted(line.text, line.unit_price, line.quantity, line.tax_category, line.option)
            for line in old.lines.all()
        ],
        valid_days=old.valid_days,
        discount=old.discount,
        note=old.note,
        revises=old,
        by=by,
    )
    record(old, "revised", by, "a new draft is being made")
    return draft


def _put_items(quote: Quote, items: Sequence[ItemWanted]) -> None:
    rates = catalogue.shop_terms().tax_rates
    for position, wanted in enumerate(items, start=1):
        path = f"items[{position - 1}]"
        _taxed(wanted, path, rates)
        own = wanted.revision.document.get("quantity", 1)
        item = QuoteItem(
            quote=quote,
            position=position,
            revision=wanted.revision,
            quantity=wanted.quantity or own,
            option=wanted.option.strip(),
            tax_category=wanted.tax_category,
        )
        _checked(item, path)
        item.save()


def _put_lines(quote: Quote, lines: Sequence[LineWanted]) -> None:
    rates = catalogue.shop_terms().tax_rates
    for position, wanted in enumerate(lines, start=1):
        path = f"lines[{position - 1}]"
        _taxed(wanted, path, rates)
        line = QuoteLine(
            quote=quote,
            position=position,
            text=wanted.text.strip(),
            option=wanted.option.strip(),
            quantity=wanted.quantity,
            unit_price=wanted.unit_price,
            tax_category=wanted.tax_category,
        )
        _checked(line, path)
        line.save()


def _taxed(wanted: ItemWanted | LineWanted, path: str, rates: Collection[str]) -> None:
    if wanted.tax_category not in rates:
        known = ", ".join(sorted(rates))
        raise ValidationError(
            {f"{path}.tax_category": f"No tax rate {wanted.tax_category!r}; the shop has {known}."}
        )


def _checked(row: QuoteItem | QuoteLine, path: str) -> None:
    try:
        row.full_clean()
    except ValidationError as faults:
        raise ValidationError(
            {f"{path}.{name}": messages for name, messages in faults.message_dict.items()}
        ) from None
