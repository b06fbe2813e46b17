"""What is typed into the small forms of jobs, read with a maker's message where it cannot be read."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import models
from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from shop.jobs.services.common import refuse

MOST = Decimal(10) ** 8
"""No figure of a job is as large."""


def text(request: HttpRequest, name: str) -> str:
    """A text, trimmed."""
    return request.POST.get(name, "").strip()


def number(request: HttpRequest, name: str, what: str) -> Decimal:
    """A number; a comma does for a point. Refused for anything else."""
    typed = text(request, name).replace(",", ".")
    try:
        found = Decimal(typed)
    except InvalidOperation:
        refuse(name, f"{what}: write a number such as 12.5.", "invalid", typed)
    if not (found.is_finite() and abs(found) < MOST):
        refuse(name, f"{what}: write a number such as 12.5.", "invalid", typed)
    return found


def maybe_number(request: HttpRequest, name: str, what: str) -> Decimal | None:
    """A number, or nothing where nothing was typed."""
    return number(request, name, what) if text(request, name) else None


def whole(request: HttpRequest, name: str, what: str) -> int:
    """A whole number. Refused for anything else."""
    found = number(request, name, what)
    if found != int(found):
        refuse(name, f"{what}: write a whole number.", "invalid", found)
    return int(found)


def day(request: HttpRequest, name: str) -> date:
    """A day; today where nothing was typed."""
    return maybe_day(request, name) or timezone.localdate()


def maybe_day(request: HttpRequest, name: str) -> date | None:
    """A day, or nothing where nothing was typed."""
    typed = text(request, name)
    if not typed:
        return None
    try:
        return date.fromisoformat(typed)
    except ValueError:
        refuse(name, "Write a date as YYYY-MM-DD.", "invalid", typed)


def maybe_instant(request: HttpRequest, name: str) -> datetime | None:
    """An instant in the site's zone, or nothing where nothing was typed."""
    typed = text(request, name)
    if not typed:
        return None
    try:
        found = parse_datetime(typed)
    except ValueError:
        found = None
    if found is None:
        refuse(name, "Write a time as YYYY-MM-DD HH:MM.", "invalid", typed)
    return timezone.make_aware(found) if timezone.is_naive(found) else found


def chosen(request: HttpRequest, name: str, rows: models.QuerySet[Any], what: str) -> Any:
    """The row whose key was chosen. Refused where none was, or none of these."""
    typed = text(request, name)
    found = rows.filter(pk=int(typed)).first() if typed.isascii() and typed.isdigit() else None
    if found is None:
        refuse(name, f"{what}: choose one of the list.", "unknown", typed)
    return found


def maybe_chosen(request: HttpRequest, name: str, rows: models.QuerySet[Any], what: str) -> Any:
    """The row whose key was chosen, or nothing where none was."""
    return chosen(request, name, rows, what) if text(request, name) else None
