"""Hours worked, of everybody and every job: found, ordered, paged, and as a table."""

from __future__ import annotations

from datetime import date

from django.core.paginator import Paginator
from django.db.models import QuerySet, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.web.ordering import csv_file, ordered
from shop.accounts.models import User
from shop.jobs.models import TimeEntry
from shop.jobs.selectors.jobs import hours
from shop.jobs.web.doors import money
from shop.jobs.web.tables import TIME_ORDERS, hours_as_table

ENTRIES_ON_A_PAGE = 60
ASKED = ("search", "person", "since", "until")


@require_safe
@money
def time_page(request: HttpRequest) -> HttpResponse:
    """Entries of time, newest first unless asked otherwise, with the hours of all that were found."""
    rows, order = _found(request)
    context = {
        "page": Paginator(rows, ENTRIES_ON_A_PAGE).get_page(request.GET.get("page")),
        "order": order,
        "hours": (rows.aggregate(all=Sum("seconds"))["all"] or 0) / 3600,
        "asked": {name: request.GET.get(name, "") for name in ASKED},
        "people": User.objects.filter(time__isnull=False).distinct().order_by("name", "username"),
    }
    return render(request, "jobs/time.html", context)


@require_safe
@money
def time_table(request: HttpRequest) -> HttpResponse:
    """The same entries as a table for a spreadsheet."""
    return csv_file(hours_as_table(_found(request)[0]), "hours")


def _found(request: HttpRequest) -> tuple[QuerySet[TimeEntry], str]:
    search, person = request.GET.get("search", ""), request.GET.get("person", "")
    rows = hours(
        search=search,
        person=int(person) if person.isascii() and person.isdecimal() and len(person) < 10 else None,
        since=_day(request.GET.get("since", "")),
        until=_day(request.GET.get("until", "")),
    )
    return ordered(rows, request.GET.get("sort", ""), TIME_ORDERS)


def _day(said: str) -> date | None:
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None
