"""The page of mail to clients: what waits, since when and why; to try again, or to give up; as a table."""

from __future__ import annotations

from datetime import UTC, datetime

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from catalog.csv_cells import write_table
from catalog.web.ordering import Orders, csv_file, ordered
from quoting.errors import IllegalMove
from quoting.models import OutgoingMail
from quoting.selectors.outbox import mails
from quoting.services.outbox import drop, try_again
from quoting.web.doors import quoters

ROWS = 50
Status = OutgoingMail.Status
HEADER = (
    *("quote", "client", "to", "state", "tries"),
    *("written_at", "next_try_at", "settled_at", "what_was_wrong"),
)
ORDERS: Orders = {
    "waiting": ("settled", "-link__created_at"),
    "quote": ("link__quote__number", "-link__created_at"),
    "to": ("link__sent_to", "-link__created_at"),
    "written": ("-link__created_at",),
    "state": ("status", "-link__created_at"),
    "next": (F("next_try_at").asc(nulls_last=True), "-link__created_at"),
}


@quoters
@never_cache
@require_safe
def outbox(request: HttpRequest) -> HttpResponse:
    """Every mail, those that wait first unless asked otherwise."""
    rows, order = _found(request)
    context = {
        "page": Paginator(rows, ROWS).get_page(request.GET.get("page")),
        "order": order,
        "search": _asked(request, "search"),
        "status": _asked(request, "status"),
        "statuses": Status.choices,
    }
    return render(request, "site/outbox.html", context)


@quoters
@never_cache
@require_safe
def outbox_table(request: HttpRequest) -> HttpResponse:
    """The same mails as a table for a spreadsheet, instants in UTC."""
    return csv_file(write_table(HEADER, (_cells(mail) for mail in _found(request)[0])), "mail")


def _asked(request: HttpRequest, name: str) -> str:
    return request.GET.get(name, "").replace("\x00", "").strip()


def _found(request: HttpRequest) -> tuple[QuerySet[OutgoingMail], str]:
    rows = mails(search=_asked(request, "search"), status=_asked(request, "status"))
    return ordered(rows, request.GET.get("sort", ""), ORDERS)


def _cells(mail: OutgoingMail) -> tuple[str, ...]:
    link = mail.link
    instants = (_instant(at) for at in (link.created_at, mail.next_try_at, mail.settled_at))
    told = (link.quote.number or "", link.quote.client.name, link.sent_to)
    return (*told, mail.status, str(mail.tries), *instants, mail.last_error)


def _instant(at: datetime | None) -> str:
    return "" if at is None else at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@quoters
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Try a waiting mail now."""
    mail = get_object_or_404(OutgoingMail, pk=pk)
    try:
        try_again(mail, timezone.now())
    except IllegalMove as refused:
        messages.error(request, str(refused))
        return redirect("outbox")
    mail.refresh_from_db()
    if mail.status == Status.SENT:
        messages.success(request, "Sent.")
    else:
        messages.error(request, f"It did not go: {mail.last_error or mail.get_status_display().lower()}")
    return redirect("outbox")


@quoters
@require_POST
def give_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a waiting mail and take its link back."""
    mail = get_object_or_404(OutgoingMail.objects.select_related("link__quote"), pk=pk)
    try:
        drop(mail, timezone.now(), by=request.user)
    except IllegalMove as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "Dropped; its link does not work any more.")
    return redirect("outbox")
