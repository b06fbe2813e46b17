"""The bench: start, stop, minutes, draws, mishaps, done. Every form works without script; with it, an entry
made without a signal is kept on the phone and sent once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from django.contrib.auth import get_user_model
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog import selectors as catalogue
from shop.jobs.access import Person, may_see_pay
from shop.jobs.models import Job, Mishap, PlannedMaterial, PlannedOperation
from shop.jobs.selectors import jobs as reads
from shop.jobs.selectors.progress import latest_progress
from shop.jobs.services.common import refuse
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import Work, add_minutes, start_timer, stop_timer
from shop.jobs.units import typed_in
from shop.jobs.web.doors import loggers
from shop.jobs.web.materials import offered, taken
from shop.jobs.web.sent import Sent, refused
from shop.jobs.web.typed import Typed

SHARES = (
    ("0", "not at all"),
    ("0.25", "a quarter"),
    ("0.5", "half"),
    ("0.75", "three quarters"),
    ("1", "all"),
)
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
    if request.method != "POST":
        return bench_sheet(request, job)
    name = str(request.POST.get("do", ""))
    doing, done = DOINGS.get(name, (_unknown, ""))
    now, form = timezone.now(), Typed(request.POST)
    if sent := refused(request, name, lambda: doing(request.user, job, form, now), done, NO_FIELD):
        return bench_sheet(request, job, sent)
    return redirect("jobs:bench-job", number=number)


def bench_sheet(request: HttpRequest, job: Job, sent: Sent | None = None) -> HttpResponse:
    """A job's page at the bench; a form that was refused (`sent`) stands open as it was typed."""
    said, system = latest_progress(job), catalogue.shop_terms().unit_system
    rows = [(one, said.get(one.pk) == 1) for one in reads.operations(job)]
    pieces = list(job.pieces.prefetch_related("dates"))
    materials = PlannedMaterial.objects.filter(piece__job=job).select_related("piece").order_by("pk")
    mishaps = list(reads.mishaps(job))
    context = {
        "job": job,
        "rows": rows,
        "several": len(pieces) > 1,
        "done_count": sum(done for _, done in rows),
        "running": reads.running_timer(request.user),
        "materials": offered(materials, system),
        "system": system,
        "outcomes": Mishap.Outcome.choices,
        "mendable": mishaps,
        "people": _people(request.user),
        "repairs": [one for one in mishaps if one.outcome == Mishap.Outcome.REPAIR],
        "shares": SHARES,
        "entries": reads.time_entries(job, person=request.user)[:20],
        "draws": taken(reads.draws(job, person=request.user)[:20], system),
        "dates": [(piece, one) for piece in pieces for one in piece.dates.all()],
        "photographs": reads.photographs(job),
        "may_see_pay": may_see_pay(request.user),
        "today": timezone.localdate(),
        "sent": sent,
    }
    return render(request, "jobs/bench.html", context, status=200 if sent is None else 422)


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


def _mending(job: Job, form: Typed) -> Mishap | None:
    """The mishap that work or material is for, where it is for one."""
    found: Mishap | None = form.maybe_chosen("mishap", Mishap.objects.filter(job=job), "To mend something")
    return found


def _people(user: Person) -> Iterable[Person]:
    """Whose time somebody may enter, where it is not only one's own."""
    if not may_see_pay(user):
        return ()
    return get_user_model().objects.filter(is_active=True).order_by("name", "username")


def _person(by: Person, form: Typed) -> Person:
    """Whose time it is: one's own, or what an owner chose."""
    wanted = form.text("person")
    if not wanted or wanted == by.get_username():
        return by
    if not may_see_pay(by):
        raise PermissionDenied
    found = get_user_model().objects.filter(username=wanted, is_active=True).first()
    if found is None:
        form.wrong("person", "Whose time: choose one of the list.", "unknown")
    return found


def _start(by: Person, job: Job, form: Typed, now: datetime) -> None:
    mending = _mending(job, form)
    read = form.chosen if mending is None else form.maybe_chosen
    operation = read("operation", _operations(job), "Operation")
    form.checked()
    start_timer(job, Work(operation, mending), person=by, at=now, now=now, switch=True)


def _stop(by: Person, job: Job, form: Typed, now: datetime) -> None:
    stop_timer(person=by, at=now, now=now)


def _minutes(by: Person, job: Job, form: Typed, now: datetime) -> None:
    operation = form.chosen("operation", _operations(job), "Operation")
    minutes, day, note = form.number("minutes", "Minutes"), form.day("worked_on"), form.text("note")
    mending, person = _mending(job, form), _person(by, form)
    form.checked()
    add_minutes(
        job, Work(operation, mending), person=person, minutes=minutes, worked_on=day, now=now, note=note
    )


def _draw(by: Person, job: Job, form: Typed, now: datetime) -> None:
    materials = PlannedMaterial.objects.filter(piece__job=job).select_related("piece")
    material = form.chosen("material", materials, "Material")
    kind, quantity = (
        "return" if form.text("kind") == "return" else "stock",
        form.number("quantity", "Quantity"),
    )
    mending = _mending(job, form)
    form.checked()
    drawn = Drawn(quantity, kind, material, unit=typed_in(material.unit, form.text("counted_in")))
    record_draw(job, drawn, on=timezone.localdate(now), by=by, now=now, mishap=mending)


def _mishap(by: Person, job: Job, form: Typed, now: datetime) -> None:
    told = Happened(
        operation=form.chosen("operation", _operations(job), "Operation"),
        cause=form.needed("cause", "Say what happened, in a few words."),
        outcome=form.needed("outcome", "Say what is done about it."),
        on=timezone.localdate(now),
        castings=form.whole("castings", "Pieces") if form.text("castings") else 1,
        minutes=form.maybe_number("minutes", "Minutes") or Happened.minutes,
    )
    form.checked()
    record_mishap(told, by=by, now=now)


def _progress(by: Person, job: Job, form: Typed, now: datetime) -> None:
    operation, share = form.chosen("operation", _operations(job), "Operation"), form.number("share", "Share")
    form.checked()
    record_progress(operation, share, by=by, at=now, now=now)


def _unknown(by: Person, job: Job, form: Typed, now: datetime) -> None:
    refuse("do", "Use the buttons of this page.", "unknown", form.text("do"))


NO_FIELD = {"at": "", "key": "", "do": "", "drawn_on": "", "happened_on": "", "unit": ""}
"""What the writes speak of and no form here has a field for."""
Doing = Callable[[Any, Job, Typed, datetime], None]
DOINGS: dict[str, tuple[Doing, str]] = {
    "start": (_start, "Your timer is running."),
    "stop": (_stop, "Your timer is stopped."),
    "minutes": (_minutes, "Your time is entered."),
    "draw": (_draw, "The material is booked."),
    "mishap": (_mishap, "The mishap is noted; what has to be done again is in the list."),
    "progress": (_progress, "Noted."),
    "share": (_progress, "Noted."),
}
