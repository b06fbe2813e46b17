"""What every move of a quote does: hold its row, write down what happened."""

from __future__ import annotations

from django.db.models import Max
from django.utils import timezone

from quoting.access import Person
from quoting.models import Quote, QuoteEvent


def held(quote: Quote) -> Quote:
    """The quote as the database has it, its row locked for this transaction."""
    return Quote.objects.select_for_update().get(pk=quote.pk)


def record(quote: Quote, kind: str, by: Person, detail: str = "") -> None:
    """Write an event down, never before the one it follows: a clock set back changes no order."""
    last = quote.events.aggregate(last=Max("at"))["last"]
    at = max(timezone.now(), last) if last else timezone.now()
    QuoteEvent.objects.create(quote=quote, at=at, by=by, kind=kind, detail=detail[:2000])


def move(quote: Quote, status: Quote.Status, by: Person, detail: str = "") -> None:
    """Take a held quote to another status and write that down."""
    quote.status, quote.version = status, quote.version + 1
    quote.save()
    record(quote, status.value, by, detail)
