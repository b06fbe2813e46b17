"""The days of a job: a step is put on another day, and what follows it goes along."""

from __future__ import annotations

from datetime import date

from django.db import transaction
from django.utils import timezone

from quoting.engine.takeoff.calendar import later, next_working
from quoting.selectors.price_book import shop_terms
from shop.jobs.access import Person
from shop.jobs.models import JobDate
from shop.jobs.services.common import held_open, record, refuse

FURTHEST_DAYS = 3660


@transaction.atomic
def move_day(day: JobDate, to: date, *, by: Person = None, path: str = "planned_on") -> JobDate:
    """Put a step on another day; every later step of the piece keeps its distance, on working days.

    What the price and the earned value rest on stays as it was planned. Raises IllegalMove when the job is
    closed, Refused for a day before the step that comes first, or out of all reason.
    """
    job = held_open(day.piece.job)
    dates = list(day.piece.dates.select_for_update().order_by("position"))
    at = next(number for number, one in enumerate(dates) if one.pk == day.pk)
    moved, old = dates[at], dates[at].planned_on
    if at and to < dates[at - 1].planned_on:
        before = dates[at - 1]
        refuse(path, f"“{before.name}” comes first, on {before.planned_on}.", "out_of_order", to)
    if abs((to - job.opened_on).days) > FURTHEST_DAYS:
        refuse(path, "Give a day within ten years of the job's opening.", "out_of_range", to)
    terms, days = shop_terms(), (to - old).days
    for one in dates[at + 1 :]:
        one.planned_on = next_working(later(one.planned_on, days), terms)
    moved.planned_on = to
    JobDate.objects.bulk_update(dates[at:], ["planned_on"])
    if days:
        said = f"{moved.name} of {day.piece.name} from {old} to {to}, and what follows"
        record(job, "days moved", by, timezone.now(), said)
    return moved
