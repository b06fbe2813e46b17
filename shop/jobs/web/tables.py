"""Jobs and hours as tables for a spreadsheet, and the orders that their heads ask for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from catalog.csv_cells import write_table
from shop.jobs.models import Job, TimeEntry

JOB_ORDERS = {
    "newest": ("-opened_on", "-pk"),
    "number": ("-number",),
    "title": ("title",),
    "client": ("client__name", "title"),
    "opened": ("-opened_on", "-pk"),
    "due": ("due_on", "-pk"),
    "state": ("status", "-pk"),
}
MONEY_ORDERS = {"price": ("-price",)}
JOB_HEADER = ("number", "title", "client", "opened_on", "due_on", "closed_on", "state")
MONEY_HEADER = ("currency", "price")
TIME_ORDERS = {
    "newest": ("-worked_on", "-pk"),
    "day": ("-worked_on", "-pk"),
    "person": ("person__name", "person__username", "-worked_on"),
    "job": ("-job__number", "-worked_on"),
    "operation": ("operation__name", "-worked_on"),
    "minutes": ("-seconds",),
}
TIME_HEADER = ("day", "person", "job", "title", "operation", "minutes", "note")


def as_table(rows: Iterable[Job], *, money: bool) -> str:
    """Jobs as RFC 4180 text, one row each; the price agreed only with `money`."""
    return write_table(JOB_HEADER + (MONEY_HEADER if money else ()), (_job(job, money) for job in rows))


def _job(job: Job, money: bool) -> tuple[str, ...]:
    days = (_day(job.opened_on), _day(job.due_on), _day(job.closed_on))
    told = (job.number, job.title, job.client.name if job.client else "", *days, job.status)
    return (*told, job.currency, str(job.price)) if money else told


def hours_as_table(rows: Iterable[TimeEntry]) -> str:
    """Entries of time as RFC 4180 text; pay is no part of it. A timer that runs has no minutes yet."""
    return write_table(TIME_HEADER, (_entry(one) for one in rows))


def _entry(one: TimeEntry) -> tuple[str, ...]:
    minutes = "" if one.seconds is None else f"{one.seconds / 60:.1f}"
    what = one.operation.name if one.operation else ""
    person = one.person.get_full_name()
    return (one.worked_on.isoformat(), person, one.job.number, one.job.title, what, minutes, one.note)


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""
