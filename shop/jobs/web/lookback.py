"""The look-back page: what finished jobs say, and taking it into the catalogue."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.web.ordering import arranged, csv_file
from shop.jobs.selectors.lookback import finding, findings
from shop.jobs.selectors.margins import closed_reports, margins, months, promises
from shop.jobs.services.standards import accept_finding
from shop.jobs.web.doors import owners
from shop.jobs.web.lookback_tables import (
    BREAKAGE_ORDERS,
    HOURS_ORDERS,
    breakage_table,
    hours_table,
    margin_table,
    month_table,
    with_breakage,
)
from shop.jobs.web.sent import tried

_MONTHS = 12
TABLES = ("hours", "breakage", "margins", "months")


@require_safe
@owners
def look_back_page(request: HttpRequest) -> HttpResponse:
    """Hours and breakage by operation, margins, the last twelve months, promises."""
    today, closed = timezone.localdate(), closed_reports(now=timezone.now())
    asked, found = request.GET.get("sort", ""), findings(today)
    by_hours, hours_order = arranged(found, asked, HOURS_ORDERS)
    by_breakage, breakage_order = arranged(with_breakage(found), asked, BREAKAGE_ORDERS)
    context = {
        "findings": by_hours,
        "breakage": by_breakage,
        "order": hours_order or breakage_order,
        "margins": margins(closed),
        "months": months(_first(today), today, closed),
        "promises": promises(today),
    }
    return render(request, "jobs/look_back.html", context)


@require_safe
@owners
def look_back_table(request: HttpRequest, table: str) -> HttpResponse:
    """One of the page's tables (`TABLES`) as a file for a spreadsheet."""
    today, asked = timezone.localdate(), request.GET.get("sort", "")
    if table == "hours":
        text = hours_table(arranged(findings(today), asked, HOURS_ORDERS)[0])
    elif table == "breakage":
        text = breakage_table(arranged(with_breakage(findings(today)), asked, BREAKAGE_ORDERS)[0])
    elif table == "margins":
        text = margin_table(margins(closed_reports(now=timezone.now())))
    else:
        text = month_table(months(_first(today), today, closed_reports(now=timezone.now())))
    return csv_file(text, f"look-back-{table}")


@require_POST
@owners
def accept(request: HttpRequest, code: str) -> HttpResponse:
    """Set a new standard from today as the jobs suggest."""
    found = finding(code, timezone.localdate())
    if found is None:
        raise Http404
    hours = request.POST.get("what") == "hours"

    def doing() -> None:
        accept_finding(
            found,
            hours=hours,
            breakage=not hours,
            on=timezone.localdate(),
            who=request.user.get_username(),
        )

    tried(request, doing, f"{found.name} has a new standard from today; the one before stays.")
    return redirect("jobs:look-back")


def _first(today: date) -> date:
    """First day of the month eleven months ago."""
    month = today.year * 12 + today.month - _MONTHS
    return date(month // 12, month % 12 + 1, 1)
