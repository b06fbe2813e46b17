"""Papers made when asked for, and the calendar behind its secret address."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from quoting.documents.calendar_feed import Entry, feed
from quoting.engine.errors import Refused
from quoting.models import Quote
from quoting.selectors.links import calendar_of, guesses_too_often
from quoting.selectors.planned_days import PlannedDay, planned_days, planned_pour
from quoting.services.links import record_attempt
from quoting.services.shop_papers import buying_paper, traveller
from quoting.web.doors import quoters
from quoting.web.visitor import visitor


@require_safe
def traveller_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The traveller: for everybody who works here, since no money is on it."""
    quote = get_object_or_404(Quote, pk=pk)
    try:
        paper = traveller(quote, pour=_pour(request, quote), address=bench_address(request, quote))
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("home")
    return _pdf(paper, f"traveller-{quote.number or 'draft'}")


@quoters
@require_safe
def buying_list_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """What to order, by supplier."""
    quote = get_object_or_404(Quote, pk=pk)
    try:
        paper = buying_paper(quote, pour=_pour(request, quote))
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("quoting:quote", pk=pk)
    return _pdf(paper, f"buying-list-{quote.number or 'draft'}")


@login_not_required
@never_cache
@require_safe
def calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """The feed of the person that the secret belongs to."""
    now, address = timezone.now(), visitor(request)
    if guesses_too_often(address, now):
        return HttpResponse(status=429, headers={"Retry-After": "900"})
    if calendar_of(secret) is None:
        record_attempt(address, now)
        return HttpResponse(status=404)
    content = feed([_entry(day) for day in planned_days(timezone.localdate())], "Workshop")
    headers = {"X-Robots-Tag": "noindex", "Referrer-Policy": "no-referrer"}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


def bench_address(request: HttpRequest, quote: Quote) -> str:
    """Where the QR code leads: the bench page of the job, or the page of the quote before there is one."""
    job = getattr(quote, "job", None)
    path = reverse("jobs:bench-job", args=[job.number]) if job else reverse("quoting:quote", args=[quote.pk])
    return request.build_absolute_uri(path)


def _entry(planned: PlannedDay) -> Entry:
    issued = planned.quote
    said = issued.data["items"][planned.item - 1]
    perhaps = " (if accepted)" if planned.provisional else ""
    return Entry(
        uid=f"{issued.quote.number}-{planned.item}-{planned.step}@concrete-to-commission",
        day=planned.day,
        title=f"{planned.name}: {said['quantity']} × {said['name']}{perhaps}",
        detail=f"{planned.job or issued.quote.number}, {issued.data['client']['name']}\n{planned.why}",
        written=planned.written,
    )


def _pour(request: HttpRequest, quote: Quote) -> date:
    """The day asked for, else the one planned in the job, else today."""
    try:
        asked = parse_date(request.GET.get("pour", ""))
    except ValueError:
        asked = None
    return asked or planned_pour(quote) or timezone.localdate()


def _pdf(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
