"""What mail waits, and since when."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Case, IntegerField, QuerySet, Value, When

from catalog.selectors import found_by
from quoting.models import ClientLink, OutgoingMail

LATE_AFTER = timedelta(hours=1)


def mails(*, search: str = "", status: str = "") -> QuerySet[OutgoingMail]:
    """Mails with their quotes and clients: those that wait first (`settled` nought), then the newest.

    `search` looks in the quote's number and title, the client's name and the address.
    """
    waits = Case(When(status="waiting", then=Value(0)), default=Value(1), output_field=IntegerField())
    rows = OutgoingMail.objects.select_related("link__quote__client", "link__created_by")
    if status:
        rows = rows.filter(status=status)
    quote = "link__quote__"
    found = found_by(search, rows, f"{quote}number", f"{quote}title", f"{quote}client__name", "link__sent_to")
    return found.annotate(settled=waits).order_by("settled", "-link__created_at", "-pk")


def mail_of(link: ClientLink) -> OutgoingMail:
    """The mail that a link went out with, as it stands now."""
    return OutgoingMail.objects.get(link=link)


def mail_is_late(now: datetime) -> bool:
    """Whether a mail has been waiting for more than an hour."""
    waiting = OutgoingMail.objects.filter(status=OutgoingMail.Status.WAITING)
    return waiting.filter(link__created_at__lte=now - LATE_AFTER).exists()
