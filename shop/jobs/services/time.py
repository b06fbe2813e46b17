"""Hours worked: timers and minutes. One timer a person; no two stretches of one person overlap."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.errors import IllegalMove
from shop.jobs.access import Person
from shop.jobs.models import Job, Mishap, PlannedOperation, TimeEntry
from shop.jobs.selectors.rates import hour_rate
from shop.jobs.services.common import held_open, hold_person, known_instant, refuse, replayed
from shop.jobs.services.time_rules import (
    length_s,
    own_time,
    refuse_long_day,
    refuse_overlap,
    seconds_of,
)


@dataclass(frozen=True)
class Work:
    """What somebody works on: an operation, the mending of a mishap, or (by role) something not planned.

    `rate` is what an hour cost where it was not the role's pay of the day.
    """

    operation: PlannedOperation | None = None
    mishap: Mishap | None = None
    role: str = ""
    rate: Decimal | None = None


@transaction.atomic
def start_timer(
    job: Job,
    work: Work,
    *,
    person: Person,
    at: datetime,
    now: datetime,
    key: str = "",
    switch: bool = False,
    note: str = "",
) -> TimeEntry:
    """Start a person's timer; with `switch`, one that runs is stopped at the same instant.

    Raises IllegalMove when another timer runs or the job is closed, Refused when the stretch would overlap.
    """
    hold_person(person)
    if known := replayed(own_time(person), key, job_id=job.pk):
        return known
    held = held_open(job)
    begun = known_instant(at, now)
    running = own_time(person).filter(seconds__isnull=True, struck_out=False).first()
    if running is not None:
        if not switch:
            raise IllegalMove("running", "start", "Your timer is running; stop it first.")
        _stop(running, begun)
    refuse_overlap(person, begun, None)
    return _save(held, work, person, note, key, worked_on=timezone.localdate(begun), started_at=begun)


@transaction.atomic
def stop_timer(
    *, person: Person, at: datetime, now: datetime, key: str = "", entry: TimeEntry | None = None
) -> TimeEntry:
    """Stop a person's timer: the one started with `key`, `entry`, or the one that runs.

    Stopping at the same instant again changes nothing. Raises IllegalMove when none runs or it was stopped at
    another instant, Refused when it would end before it began or last longer than a day.
    """
    hold_person(person)
    found = own_time(person).filter(struck_out=False)
    if key:
        found = found.filter(key=key)
    elif entry is not None:
        found = found.filter(pk=entry.pk)
    else:
        found = found.filter(seconds__isnull=True)
    row = found.order_by("-pk").first()
    if row is None or row.started_at is None:
        raise IllegalMove("idle", "stop", "No timer of yours is running.")
    ended = known_instant(at, now)
    if row.seconds is not None:
        if row.ended_at == ended:
            return row
        raise IllegalMove("stopped", "stop", "This timer was stopped at another time; correct the entry.")
    held_open(row.job)
    return _stop(row, ended)


@transaction.atomic
def add_stretch(
    job: Job,
    work: Work,
    *,
    person: Person,
    begun: datetime,
    ended: datetime,
    now: datetime,
    key: str = "",
    note: str = "",
) -> TimeEntry:
    """Enter a stretch that is over, between two instants. Refused as a timer would be."""
    hold_person(person)
    if known := replayed(own_time(person), key, job_id=job.pk):
        return known
    held = held_open(job)
    start, end = known_instant(begun, now, "started_at"), known_instant(ended, now, "ended_at")
    seconds = length_s(start, end)
    refuse_overlap(person, start, end)
    day = timezone.localdate(start)
    return _save(
        held, work, person, note, key, worked_on=day, started_at=start, ended_at=end, seconds=seconds
    )


@transaction.atomic
def add_minutes(
    job: Job,
    work: Work,
    *,
    person: Person,
    minutes: Decimal,
    worked_on: date,
    now: datetime,
    key: str = "",
    note: str = "",
) -> TimeEntry:
    """Enter a person's time by minutes of a day. Refused beyond a day, or for a day to come."""
    hold_person(person)
    if known := replayed(own_time(person), key, job_id=job.pk):
        return known
    held = held_open(job)
    seconds = seconds_of(minutes)
    if worked_on > timezone.localdate(now) + timedelta(days=1):
        refuse("worked_on", "This day has not come yet.", "future", worked_on)
    refuse_long_day(person, worked_on, seconds)
    return _save(held, work, person, note, key, worked_on=worked_on, seconds=seconds)


def _save(job: Job, work: Work, person: Person, note: str, key: str, **when: Any) -> TimeEntry:
    for name, part in (("operation", work.operation), ("mishap", work.mishap)):
        owner = getattr(part, "piece", None)
        if owner is not None and owner.job_id != job.pk:
            refuse(name, "This belongs to another job.", "other_job")
    mishap = work.mishap or (work.operation.mishap if work.operation is not None else None)
    row = TimeEntry(
        job=job,
        operation=work.operation,
        mishap=mishap,
        person=person,
        rate=rate_of(work, mishap, when["worked_on"]),
        note=note.strip(),
        key=key or None,
        **when,
    )
    row.full_clean()
    row.save()
    return row


def rate_of(work: Work, mishap: Mishap | None, on: date) -> Decimal:
    """What the hour costs: as told, else the role's pay of the day, else as it was planned."""
    if work.rate is not None:
        return work.rate
    planned = work.operation
    if planned is None and mishap is not None:
        planned = mishap.piece.operations.filter(code=mishap.operation).order_by("pk").first()
    role = work.role or (planned.role if planned is not None else "")
    rate = hour_rate(role, on) if role else None
    if rate is None and planned is not None:
        rate = planned.rate
    if rate is None:
        refuse("operation", "Say which operation, or whose work (role) it was.", "required")
    return rate.quantize(Decimal("1e-9"))


def _stop(row: TimeEntry, ended: datetime) -> TimeEntry:
    begun = row.started_at
    if begun is None:
        raise AssertionError("only a stretch can be stopped")
    seconds = length_s(begun, ended)
    refuse_overlap(row.person, begun, ended, besides=row)
    row.ended_at, row.seconds = ended, seconds
    row.save()
    return row
