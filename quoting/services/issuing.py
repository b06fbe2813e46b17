"""Issuing, after which nothing about a quote changes; taking it back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from catalog import selectors as catalogue
from quoting.access import Person
from quoting.documents.client_quote import (
    Sent,
    canonical,
    client_data,
    digest,
    draft_data,
    quote_pdf,
    valid_until,
)
from quoting.documents.workshop import workshop_data
from quoting.engine.estimate.kept_terms import keep
from quoting.engine.estimate.report import report
from quoting.errors import DraftOvertaken, IllegalMove
from quoting.models import IssuedQuote, NumberSeries, Quote
from quoting.selectors.price_book import names_of, price_book
from quoting.selectors.quotes import PricedQuote, price_quote
from quoting.services.quote_events import held, move

Status = Quote.Status
LONGEST_REASON = 500


@transaction.atomic
def issue_quote(quote: Quote, *, on: date, by: Person = None, seen: str | None = None) -> IssuedQuote:
    """Number a draft, freeze what it says and rests on, store its paper: in one transaction.

    A draft that revises another supersedes it. `seen` is the digest of `draft_data` that somebody looked at:
    raises DraftOvertaken where the client would be told anything else. Raises IllegalMove when the quote is
    no draft, is empty or cannot take the other's place any more, Refused when it cannot be priced.
    """
    draft = held(quote)
    replaced = _replaced(draft)
    _ready(draft)
    priced, names = price_quote(draft), names_of(draft.quoted_on)
    _refuse_below_nought(draft, priced)
    if seen is not None and digest(canonical(draft_data(priced, on))) != seen:
        raise DraftOvertaken(draft.pk)
    workshop = workshop_data(priced, price_book(draft.quoted_on), names)
    number = _next_number(f"Q{on:%y}")  # late: who issues next waits for it
    sent = Sent(number, on, valid_until(on, draft.valid_days))
    data = client_data(priced, catalogue.shop_terms(), sent, names)
    paper = quote_pdf(data)
    draft.number = number
    move(draft, Status.ISSUED, by, number)
    issued = IssuedQuote.objects.create(
        quote=draft,
        data=data,
        basis=_basis(priced),
        workshop=workshop,
        data_sha256=digest(canonical(data)),
        pdf=paper,
        pdf_sha256=digest(paper),
        issued_at=timezone.now(),
        issued_by=by,
        valid_until=sent.valid_until,
    )
    if replaced is not None and replaced.status == Status.ISSUED:
        move(replaced, Status.SUPERSEDED, by, f"by {number}")
    return issued


@transaction.atomic
def withdraw_quote(quote: Quote, *, reason: str = "", by: Person = None) -> Quote:
    """Take an issued quote back. Raises IllegalMove when it is not out, ValidationError for a reason longer
    than is kept."""
    if len(reason) > LONGEST_REASON:
        raise ValidationError({"reason": f"Write at most {LONGEST_REASON} letters."})
    out = held(quote)
    if out.status != Status.ISSUED:
        raise IllegalMove(out.status, "withdraw", "Only a quote that is out can be withdrawn.")
    move(out, Status.WITHDRAWN, by, reason)
    return out


def _ready(draft: Quote) -> None:
    if draft.status != Status.DRAFT:
        raise IllegalMove(draft.status, "issue", "This quote was issued already.")
    named = [item.option for item in draft.items.all()] + [line.option for line in draft.lines.all()]
    if not named:
        raise IllegalMove(draft.status, "issue", "There is nothing in this quote yet; add a piece or a line.")
    options = sorted({name for name in named if name})
    if len(options) == 1:
        reason = f"{options[0]} is the only option; name another, or offer it without one."
        raise IllegalMove(draft.status, "issue", reason)


def _refuse_below_nought(draft: Quote, priced: PricedQuote) -> None:
    for option in priced.options:
        if option.totals.gross < 0:
            named = option.name or "This quote"
            raise IllegalMove(
                draft.status, "issue", f"{named} comes to less than nothing: look at its lines again."
            )


def _replaced(draft: Quote) -> Quote | None:
    """The quote whose place the draft takes, held too."""
    if draft.revises is None:
        return None
    old = held(draft.revises)
    if old.status in {Status.ACCEPTED, Status.SUPERSEDED}:
        reason = f"{old.number} was {old.status} meanwhile; this draft cannot take its place any more."
        raise IllegalMove(draft.status, "issue", reason)
    return old


def _basis(priced: PricedQuote) -> dict[str, Any]:
    """The shop's own side of an issued quote."""
    return {
        "cost": str(priced.cost),
        "terms": keep(priced.terms),
        "options": [{"name": one.name, "cost": str(one.cost)} for one in priced.options if one.name],
        "items": [
            {"document": item.item.revision.document, "estimate": report(item.estimate)}
            for item in priced.items
        ],
    }


def _next_number(series: str) -> str:
    """The next number of a series. Its row stays locked until the transaction ends, so a number is used or
    given back with everything else: no gap, no repeat.
    """
    NumberSeries.objects.get_or_create(name=series)
    row = NumberSeries.objects.select_for_update().get(name=series)
    row.last += 1
    row.save()
    return f"{series}-{row.last:04d}"
