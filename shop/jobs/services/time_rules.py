"""Rules of time that timers, minutes and corrections share."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum
from django.utils import timezone

from shop.jobs.access import Person
from shop.jobs.models import TimeEntry
from shop.jobs.services.common import refuse

DAY_SECONDS = 24 * 60 * 60


def own_time(person: Person) -> QuerySet[TimeEntry]:
    """A person's entries, those struck out too."""
    return TimeEntry.objects.filter(person=person)


def length_s(begun: datetime, ended: datetime) -> int:
    """Whole seconds between two instants, at least one, whatever clocks did in between."""
    if ended <= begun:
        refuse("at", "It would end before it began.", "negative")
    seconds = max(round((ended - begun).total_seconds()), 1)
    if seconds > DAY_SECONDS:
        refuse("at", "That is longer than a day; when did you really stop?", "too_long")
    return seconds


def seconds_of(minutes: Decimal) -> int:
    """Whole seconds of some minutes. Refused below a second and beyond a day."""
    seconds = round(minutes * 60) if minutes.is_finite() else 0
    if not 1 <= seconds <= DAY_SECONDS:
        refuse("minutes", "Give minutes above 0, at most 1440.", "out_of_range", minutes)
    return seconds


def refuse_long_day(person: Person, day: date, seconds: int, besides: TimeEntry | None = None) -> None:
    """Refuse more than 24 hours by minutes in one day of one person."""
    rows = own_time(person).filter(worked_on=day, started_at__isnull=True, struck_out=False)
    if besides is not None:
        rows = rows.exclude(pk=besides.pk)
    if (rows.aggregate(sum=Sum("seconds"))["sum"] or 0) + seconds > DAY_SECONDS:
        refuse("minutes", "That would make more than 24 hours in one day.", "too_long")


def refuse_overlap(
    person: Person, begun: datetime, ended: datetime | None, besides: TimeEntry | None = None
) -> None:
    """Refuse a stretch that shares time with another of the same person; without an end, it still runs."""
    rows = own_time(person).filter(started_at__isnull=False, struck_out=False)
    rows = rows.filter(Q(ended_at__gt=begun) | Q(ended_at__isnull=True))
    if ended is not None:
        rows = rows.filter(started_at__lt=ended)
    if besides is not None:
        rows = rows.exclude(pk=besides.pk)
    if (clash := rows.order_by("started_at").first()) and clash.started_at is not None:
        began = timezone.localtime(clash.started_at)
        refuse("at", f"You have other time from {began:%Y-%m-%d %H:%M} that this would overlap.", "overlap")
