"""Pages of jobs: the list, one job with its cost report, opening and closing."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog import selectors as catalogue
from catalog.web.ordering import csv_file, ordered
from quoting.models import Client, Quote
from shop.jobs.access import Person, may_see_money, may_see_pay
from shop.jobs.documents.cost_report import charts, report_page
from shop.jobs.documents.responses import csv_response, pdf_response
from shop.jobs.models import Job, JobDate
from shop.jobs.planning import MaterialPlan
from shop.jobs.selectors import jobs as reads
from shop.jobs.selectors.by_hand import operation_plan
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.report_object import report_object
from shop.jobs.services.days import move_day
from shop.jobs.services.jobs import (
    MAY_OPEN,
    PieceWanted,
    change_job,
    close_job,
    open_by_hand,
    open_from_quote,
    reopen_job,
)
from shop.jobs.web.doors import loggers, money
from shop.jobs.web.materials import offered, taken
from shop.jobs.web.sent import Sent, refused, tried
from shop.jobs.web.tables import JOB_ORDERS, MONEY_ORDERS, as_table
from shop.jobs.web.typed import Typed

JOBS_ON_A_PAGE = 40


@require_safe
@loggers
def job_list(request: HttpRequest) -> HttpResponse:
    """The shop's jobs, and quotes that have none yet."""
    sees = may_see_money(request.user)
    rows, order = _listed(request)
    context = {
        "page": Paginator(rows, JOBS_ON_A_PAGE).get_page(request.GET.get("page")),
        "order": order,
        "search": request.GET.get("search", ""),
        "status": request.GET.get("status", "open"),
        "statuses": [*Job.Status.choices, ("", "All")],
        "may_run": sees,
        "today": timezone.localdate(),
        "quotes": _without_job() if sees else (),
    }
    return render(request, "jobs/list.html", context)


@require_safe
@loggers
def job_table(request: HttpRequest) -> HttpResponse:
    """The list as a table for a spreadsheet; prices only for who may see them."""
    return csv_file(as_table(_listed(request)[0], money=may_see_money(request.user)), "jobs")


def _listed(request: HttpRequest) -> tuple[QuerySet[Job], str]:
    search, status = request.GET.get("search", ""), request.GET.get("status", "open")
    rows = reads.jobs(search=search, status=status if status in Job.Status.values else "")
    # Who may not see a price may not put jobs in the order of it either.
    orders = {**JOB_ORDERS, **MONEY_ORDERS} if may_see_money(request.user) else JOB_ORDERS
    return ordered(rows, request.GET.get("sort", ""), orders)


def _without_job() -> Any:
    rows = Quote.objects.filter(status__in=MAY_OPEN, job__isnull=True).select_related("client")
    rows = rows.exclude(status=Quote.Status.ISSUED, issued__valid_until__lt=timezone.localdate())
    return rows.order_by("-pk")[:20]


@require_POST
@money
def open_quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Open the job of a quote."""
    quote = get_object_or_404(Quote, pk=pk)
    made: list[Job] = []

    def doing() -> None:
        made.append(open_from_quote(quote, on=timezone.localdate(), by=request.user))

    if tried(request, doing, "The job is open."):
        return redirect("jobs:job", number=made[0].number)
    return redirect("jobs:jobs")


@require_http_methods(["GET", "HEAD", "POST"])
@money
def new_job(request: HttpRequest) -> HttpResponse:
    """Open a job by hand: a piece, hours by operation, what materials may cost."""
    planned = [row.operation for row in catalogue.planned_operations(timezone.localdate())]
    sent = None
    if request.method == "POST":
        made: list[Job] = []
        form, codes = Typed(request.POST), [one.code for one in planned]
        sent = refused(
            request, "new", lambda: made.append(_opened(request.user, form, codes)), "The job is open."
        )
        if sent is None:
            return redirect("jobs:job", number=made[0].number)
    context = {
        "operations": [(one, f"hours-{one.code}") for one in planned],
        "clients": Client.objects.order_by("name", "pk"),
        "sent": sent,
    }
    return render(request, "jobs/new.html", context, status=200 if sent is None else 422)


def _opened(by: Person, form: Typed, codes: list[str]) -> Job:
    on = timezone.localdate()
    hours = {code: form.maybe_number(f"hours-{code}", f"Hours of {code}") for code in codes}
    materials = form.maybe_number("materials", "Materials")
    price = form.maybe_number("price", "Price") or Decimal(0)
    title, name = (form.needed(key, "Say what it is, in a few words.") for key in ("title", "piece"))
    quantity = form.whole("quantity", "How many")
    client = form.maybe_chosen("client", Client.objects.all(), "Client")
    allowance = form.maybe_number("allowance", "Breakage allowance") or Decimal(0)
    due_on = form.maybe_day("due_on")
    form.checked()
    operations = [operation_plan({"code": code, "hours": each}, on) for code, each in hours.items() if each]
    planned = [MaterialPlan("", "Materials", "mould", "lot", Decimal(1), materials)] if materials else []
    return open_by_hand(
        title=title,
        on=on,
        pieces=[
            PieceWanted(name=name, quantity=quantity, price=price, operations=operations, materials=planned)
        ],
        client=client,
        price=price,
        breakage_allowance=allowance,
        due_on=due_on,
        note=form.text("note").replace("\r\n", "\n"),
        by=by,
    )


@require_safe
@loggers
def job_page(request: HttpRequest, number: str) -> HttpResponse:
    """One job: its cost report, its days, everything booked on it. The bench is sent to its own page."""
    job = get_object_or_404(reads.jobs(), number=number)
    if not may_see_money(request.user):
        return redirect("jobs:bench-job", number=number)
    return job_sheet(request, job)


def job_sheet(request: HttpRequest, job: Job, sent: Sent | None = None) -> HttpResponse:
    """A job's page; a form that was refused (`sent`) stands open as it was typed."""
    shown, system = _report(job, request), catalogue.shop_terms().unit_system
    planned, pieces = reads.operations(job), list(job.pieces.prefetch_related("dates"))
    context = report_page(shown) | {
        "small_charts": charts(shown, compact=True),
        "job": job,
        "pieces": pieces,
        "steps": [(piece, one) for piece in pieces for one in piece.dates.all()],
        "entries": reads.time_entries(job),
        "draws": taken(reads.draws(job), system),
        "rows": [(one, False) for one in planned],
        "several": len({one.piece_id for one in planned}) > 1,
        "mendable": list(reads.mishaps(job)),
        "system": system,
        "photographs": reads.photographs(job),
        "events": job.events.select_related("by"),
        "planned_materials": offered(
            [one for piece in job.pieces.all() for one in piece.materials.all()], system
        ),
        "may_see_pay": may_see_pay(request.user),
        "late_by": _late(job, timezone.localdate()),
        "undone": sum(Decimal(line["done"]) < 1 for line in shown["operations"]),
        "sent": sent,
    }
    return render(request, "jobs/job.html", context, status=200 if sent is None else 422)


def _late(job: Job, today: date) -> int:
    """Days an open job is over its promise; nought when it is not."""
    if job.due_on is None or job.status != Job.Status.OPEN:
        return 0
    return max((today - job.due_on).days, 0)


@require_POST
@money
def change_details(request: HttpRequest, number: str) -> HttpResponse:
    """Change a job's title, the day it is promised for, or its note."""
    job, form = get_object_or_404(reads.jobs(), number=number), Typed(request.POST)
    sent = refused(request, "details", lambda: _changed(request.user, job, form), "The job is changed.")
    if sent is not None:
        return job_sheet(request, job, sent)
    return redirect("jobs:job", number=number)


def _changed(by: Person, job: Job, form: Typed) -> None:
    title = form.needed("title", "Say what it is, in a few words.")
    due_on, note = form.maybe_day("due_on"), form.text("note").replace("\r\n", "\n")
    form.checked()
    change_job(job, by=by, title=title, due_on=due_on, note=note)


@require_POST
@money
def change_day(request: HttpRequest, number: str) -> HttpResponse:
    """Put a step of a job on another day, with what follows it."""
    job, form = get_object_or_404(reads.jobs(), number=number), Typed(request.POST)
    sent = refused(request, "day", lambda: _moved(request.user, job, form), "The days are moved.")
    if sent is not None:
        return job_sheet(request, job, sent)
    return redirect("jobs:job", number=number)


def _moved(by: Person, job: Job, form: Typed) -> None:
    rows = JobDate.objects.filter(piece__job=job).select_related("piece__job")
    step, to = form.chosen("step", rows, "Step"), form.maybe_day("planned_on")
    if not form.text("planned_on"):
        form.wrong("planned_on", "Say which day.", "required")
    form.checked()
    if to is not None:
        move_day(step, to, by=by)


@require_POST
@money
def change_status(request: HttpRequest, number: str) -> HttpResponse:
    """Close a job, or open it again."""
    job = get_object_or_404(Job, number=number)
    if request.POST.get("do") == "close":
        tried(request, lambda: close_job(job, on=timezone.localdate(), by=request.user), "The job is closed.")
    else:
        tried(request, lambda: reopen_job(job, by=request.user), "The job is open again.")
    return redirect("jobs:job", number=number)


@require_safe
@money
def report_file(request: HttpRequest, number: str, form: str) -> HttpResponse:
    """The cost report as paper, table or object."""
    shown = _report(get_object_or_404(reads.jobs(), number=number), request)
    if form == "pdf":
        return pdf_response(shown)
    return csv_response(shown) if form == "csv" else JsonResponse(shown)


def _report(job: Job, request: HttpRequest) -> dict[str, Any]:
    return report_object(job, report_of(job, now=timezone.now()), pay=may_see_pay(request.user))
