"""What owners and estimators book on a job's page: purchases, and corrections of entries."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from shop.jobs.access import may_change_entry
from shop.jobs.models import Draw, Job, PlannedMaterial, TimeEntry
from shop.jobs.selectors import jobs as reads
from shop.jobs.services.draws import Drawn, record_draw, strike_out_draw
from shop.jobs.services.time_corrections import correct_time, strike_out_time
from shop.jobs.web import typed
from shop.jobs.web.doors import loggers, money, tried
from shop.jobs.web.jobs import job_sheet


@require_POST
@money
def purchase(request: HttpRequest, number: str) -> HttpResponse:
    """Book something bought for a job, with what was paid and the invoice."""
    job = get_object_or_404(reads.jobs(), number=number)
    if not tried(request, lambda: _bought(request, job), "The purchase is booked."):
        return job_sheet(request, job, bought=request.POST)
    return redirect("jobs:job", number=number)


def _bought(request: HttpRequest, job: Job) -> None:
    planned = PlannedMaterial.objects.filter(piece__job=job).select_related("piece")
    drawn = Drawn(
        quantity=typed.number(request, "quantity", "Quantity"),
        kind=Draw.Kind.BOUGHT,
        material=typed.maybe_chosen(request, "material", planned, "Material"),
        name=typed.text(request, "name"),
        amount=typed.number(request, "amount", "Paid"),
        supplier=typed.text(request, "supplier"),
        invoice=typed.text(request, "invoice"),
    )
    record_draw(job, drawn, on=typed.day(request, "drawn_on"), by=request.user, now=timezone.now())


@require_POST
@loggers
def correct_entry(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Correct or strike out an entry of time: one's own, owners anybody's."""
    entry = get_object_or_404(TimeEntry, pk=pk, job__number=number)
    if not may_change_entry(request.user, entry.person_id):
        raise PermissionDenied
    tried(request, lambda: _corrected(request, entry), "The entry is corrected; how it read is kept.")
    return redirect("jobs:job", number=number)


def _corrected(request: HttpRequest, entry: TimeEntry) -> None:
    reason, now = typed.text(request, "reason"), timezone.now()
    if typed.text(request, "do") == "strike-out":
        strike_out_time(entry, by=request.user, now=now, reason=reason)
        return
    changes: dict[str, Any] = {
        "minutes": typed.maybe_number(request, "minutes", "Minutes"),
        "started_at": typed.maybe_instant(request, "started_at"),
        "ended_at": typed.maybe_instant(request, "ended_at"),
    }
    given = {name: value for name, value in changes.items() if value is not None}
    correct_time(entry, by=request.user, now=now, reason=reason, **given)


@require_POST
@loggers
def strike_draw(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Strike out a draw: one's own, owners anybody's."""
    draw = get_object_or_404(Draw, pk=pk, job__number=number)
    if not may_change_entry(request.user, draw.by_id):
        raise PermissionDenied
    reason = typed.text(request, "reason")
    tried(
        request,
        lambda: strike_out_draw(draw, by=request.user, now=timezone.now(), reason=reason),
        "The entry is struck out; it stays to be read.",
    )
    return redirect("jobs:job", number=number)
