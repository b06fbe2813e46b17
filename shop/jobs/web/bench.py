"""The bench: start, stop, minutes, draws, mishaps, done. Every form works without script; with it, an entry
made without a signal is kept on the phone and sent once.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from shop.jobs.access import may_see_pay
from shop.jobs.models import Job, Mishap, PlannedMaterial, PlannedOperation
from shop.jobs.selectors import jobs as reads
from shop.jobs.selectors.progress import latest_progress
from shop.jobs.services.common import refuse
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import Work, add_minutes, start_timer, stop_timer
from shop.jobs.web import typed
from shop.jobs.web.doors import loggers, tried

WORKER = Path(__file__).resolve().parent.parent / "static" / "jobs" / "worker.js"


@require_safe
@loggers
def bench(request: HttpRequest) -> HttpResponse:
    """Open jobs, and what one is on just now."""
    context = {
        "rows": reads.jobs(status=Job.Status.OPEN),
        "running": reads.running_timer(request.user),
        "today": timezone.localdate(),
    }
    return render(request, "jobs/bench_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@loggers
def bench_job(request: HttpRequest, number: str) -> HttpResponse:
    """One job at the bench."""
    job = get_object_or_404(reads.jobs(), number=number)
    if request.method == "POST":
        doing, done = DOINGS.get(typed.text(request, "do"), (_unknown, ""))
        tried(request, lambda: doing(request, job, timezone.now()), done)
        return redirect("jobs:bench-job", number=number)
    said = latest_progress(job)
    rows = [(one, said.get(one.pk) == 1) for one in reads.operations(job)]
    context = {
        "job": job,
        "rows": rows,
        "done_count": sum(done for _, done in rows),
        "running": reads.running_timer(request.user),
        "materials": PlannedMaterial.objects.filter(piece__job=job).order_by("pk"),
        "outcomes": Mishap.Outcome.choices,
        "entries": reads.time_entries(job, person=request.user)[:20],
        "dates": [one for piece in job.pieces.prefetch_related("dates") for one in piece.dates.all()],
        "photographs": reads.photographs(job),
        "may_see_pay": may_see_pay(request.user),
        "today": timezone.localdate(),
    }
    return render(request, "jobs/bench.html", context)


@require_safe
@loggers
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the bench's pages on the phone; it serves only what is below its own address."""
    answer = HttpResponse(WORKER.read_text(encoding="utf-8"), content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    answer["Service-Worker-Allowed"] = "/bench/"
    return answer


def _operations(job: Job) -> Any:
    return PlannedOperation.objects.filter(piece__job=job).select_related("piece__job", "mishap")


def _start(request: HttpRequest, job: Job, now: datetime) -> None:
    operation = typed.chosen(request, "operation", _operations(job), "Operation")
    start_timer(job, Work(operation), person=request.user, at=now, now=now, switch=True)


def _stop(request: HttpRequest, job: Job, now: datetime) -> None:
    stop_timer(person=request.user, at=now, now=now)


def _minutes(request: HttpRequest, job: Job, now: datetime) -> None:
    operation = typed.chosen(request, "operation", _operations(job), "Operation")
    minutes = typed.number(request, "minutes", "Minutes")
    day, note = typed.day(request, "worked_on"), typed.text(request, "note")
    add_minutes(job, Work(operation), person=request.user, minutes=minutes, worked_on=day, now=now, note=note)


def _draw(request: HttpRequest, job: Job, now: datetime) -> None:
    materials = PlannedMaterial.objects.filter(piece__job=job).select_related("piece")
    material = typed.chosen(request, "material", materials, "Material")
    kind = "return" if typed.text(request, "kind") == "return" else "stock"
    drawn = Drawn(quantity=typed.number(request, "quantity", "Quantity"), kind=kind, material=material)
    record_draw(job, drawn, on=timezone.localdate(now), by=request.user, now=now)


def _mishap(request: HttpRequest, job: Job, now: datetime) -> None:
    told = Happened(
        operation=typed.chosen(request, "operation", _operations(job), "Operation"),
        cause=typed.text(request, "cause"),
        outcome=typed.text(request, "outcome"),
        on=timezone.localdate(now),
        castings=typed.whole(request, "castings", "Pieces") if typed.text(request, "castings") else 1,
        minutes=typed.maybe_number(request, "minutes", "Minutes") or Happened.minutes,
    )
    record_mishap(told, by=request.user, now=now)


def _progress(request: HttpRequest, job: Job, now: datetime) -> None:
    operation = typed.chosen(request, "operation", _operations(job), "Operation")
    record_progress(operation, typed.number(request, "share", "Share"), by=request.user, at=now, now=now)


def _unknown(request: HttpRequest, job: Job, now: datetime) -> None:
    refuse("do", "Use the buttons of this page.", "unknown", typed.text(request, "do"))


DOINGS: dict[str, tuple[Callable[[HttpRequest, Job, datetime], None], str]] = {
    "start": (_start, "Your timer is running."),
    "stop": (_stop, "Your timer is stopped."),
    "minutes": (_minutes, "Your time is entered."),
    "draw": (_draw, "The material is booked."),
    "mishap": (_mishap, "The mishap is noted; what has to be done again is in the list."),
    "progress": (_progress, "Noted."),
}
