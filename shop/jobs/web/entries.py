"""Purchases on a job's page, and corrections of entries, from there or from the bench."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from shop.jobs.access import Person, may_change_entry, may_see_money
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation, TimeEntry
from shop.jobs.selectors import jobs as reads
from shop.jobs.services.draws import Drawn, record_draw, strike_out_draw
from shop.jobs.services.mishaps_undone import strike_out_mishap
from shop.jobs.services.time_corrections import correct_time, strike_out_time
from shop.jobs.units import typed_in
from shop.jobs.web.bench import bench_sheet
from shop.jobs.web.doors import loggers, money
from shop.jobs.web.jobs import job_sheet
from shop.jobs.web.sent import Sent, refused
from shop.jobs.web.typed import Typed


@require_POST
@money
def purchase(request: HttpRequest, number: str) -> HttpResponse:
    """Book something bought for a job, with what was paid and the invoice."""
    job, form = get_object_or_404(reads.jobs(), number=number), Typed(request.POST)
    sent = refused(
        request, "purchase", lambda: _bought(request.user, job, form), "The purchase is booked.", {"unit": ""}
    )
    if sent is not None:
        return job_sheet(request, job, sent)
    return redirect("jobs:job", number=number)


def _bought(by: Person, job: Job, form: Typed) -> None:
    planned = PlannedMaterial.objects.filter(piece__job=job).select_related("piece")
    material = form.maybe_chosen("material", planned, "Material")
    quantity, amount = form.number("quantity", "Quantity"), form.number("amount", "Paid")
    on = form.day("drawn_on")
    mending = form.maybe_chosen("mishap", Mishap.objects.filter(job=job), "To mend something")
    form.checked()
    drawn = Drawn(
        quantity=quantity,
        kind=Draw.Kind.BOUGHT,
        material=material,
        name=form.text("name"),
        unit=typed_in(material.unit, form.text("counted_in")) if material is not None else "",
        amount=amount,
        supplier=form.text("supplier"),
        invoice=form.text("invoice"),
    )
    record_draw(job, drawn, on=on, by=by, now=timezone.now(), mishap=mending)


@require_POST
@loggers
def correct_entry(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Correct or strike out an entry of time: one's own, owners anybody's."""
    entry = get_object_or_404(TimeEntry, pk=pk, job__number=number)
    if not may_change_entry(request.user, entry.person_id):
        raise PermissionDenied
    form, done = Typed(request.POST), "The entry is corrected; how it read is kept."
    sent = refused(
        request, f"correct-{pk}", lambda: _corrected(request.user, entry, form), done, {"at": "ended_at"}
    )
    return page_again(request, number, sent)


def _corrected(by: Person, entry: TimeEntry, form: Typed) -> None:
    reason, now = form.text("reason"), timezone.now()
    if form.text("do") == "strike-out":
        strike_out_time(entry, by=by, now=now, reason=reason)
        return
    changes: dict[str, Any] = {
        "minutes": form.maybe_number("minutes", "Minutes"),
        "started_at": form.maybe_instant("started_at"),
        "ended_at": form.maybe_instant("ended_at"),
    }
    work = _work(entry, form)
    form.checked()
    given = {name: value for name, value in changes.items() if value is not None}
    correct_time(entry, by=by, now=now, reason=reason, **given, **work)


def _work(entry: TimeEntry, form: Typed) -> dict[str, Any]:
    """What it was spent on, where the form says so: an operation, the mending of a mishap, or both."""
    if not form.has("operation"):
        return {}
    operations = PlannedOperation.objects.filter(piece__job=entry.job_id).select_related("piece", "mishap")
    operation = form.maybe_chosen("operation", operations, "Operation")
    mishap = form.maybe_chosen("mishap", Mishap.objects.filter(job=entry.job_id), "To mend something")
    if mishap is None and operation is not None:
        mishap = operation.mishap
    return {"operation": operation, "mishap": mishap}


@require_POST
@loggers
def strike_draw(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Strike out a draw: one's own, owners anybody's."""
    draw = get_object_or_404(Draw, pk=pk, job__number=number)
    if not may_change_entry(request.user, draw.by_id):
        raise PermissionDenied
    reason = Typed(request.POST).text("reason")
    sent = refused(
        request,
        f"strike-{pk}",
        lambda: strike_out_draw(draw, by=request.user, now=timezone.now(), reason=reason),
        "The entry is struck out; it stays to be read.",
    )
    return page_again(request, number, sent)


@require_POST
@loggers
def undo_mishap(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Take back a mishap that was none: one's own, owners anybody's."""
    mishap = get_object_or_404(Mishap, pk=pk, job__number=number)
    if not may_change_entry(request.user, mishap.by_id):
        raise PermissionDenied
    reason = Typed(request.POST).text("reason")
    sent = refused(
        request,
        f"undo-{pk}",
        lambda: strike_out_mishap(mishap, by=request.user, now=timezone.now(), reason=reason),
        "The mishap is taken back with what it planned again; days that it moved stay.",
    )
    return page_again(request, number, sent)


def page_again(request: HttpRequest, number: str, sent: Sent | None) -> HttpResponse:
    """The page that a form came from: again, or with the form as it was typed where it was refused."""
    at_bench = request.POST.get("from") == "bench" or not may_see_money(request.user)
    if sent is None:
        return redirect("jobs:bench-job" if at_bench else "jobs:job", number=number)
    job = get_object_or_404(reads.jobs(), number=number)
    return bench_sheet(request, job, sent) if at_bench else job_sheet(request, job, sent)
