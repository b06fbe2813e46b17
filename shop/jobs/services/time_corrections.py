"""Correcting entries of time and striking them out: how they read before is kept."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.errors import IllegalMove
from shop.jobs.access import Person
from shop.jobs.models import TimeEntry
from shop.jobs.services.common import held_open, hold_person, keep_before, refuse
from shop.jobs.services.time import Work, rate_of
from shop.jobs.services.time_rules import length_s, refuse_long_day, refuse_overlap, seconds_of

_KEPT = (
    "operation_id",
    "mishap_id",
    "worked_on",
    "started_at",
    "ended_at",
    "seconds",
    "rate",
    "note",
    "struck_out",
)


@transaction.atomic
def correct_time(
    entry: TimeEntry,
    *,
    by: Person,
    now: datetime,
    reason: str,
    **changes: Any,
) -> TimeEntry:
    """Change an entry's minutes, start, end, operation, mishap, rate or note; how it read is kept.

    A stretch between two instants is corrected by its instants, an entry by minutes by `minutes`. Work that
    turns out to have been another's is paid as that is, unless its rate was told.
    """
    hold_person(entry.person)
    row = TimeEntry.objects.select_for_update().get(pk=entry.pk)
    held_open(row.job)
    if row.struck_out:
        raise IllegalMove("struck out", "correct", "This entry was struck out.")
    keep_before(row, _KEPT, by=by, at=now, reason=reason)
    before = _usual_rate(row)
    for name in ("operation", "mishap", "note", "rate"):
        if name in changes:
            setattr(row, name, changes[name])
    if row.operation is not None and row.operation.piece.job_id != row.job_id:
        refuse("operation", "This operation belongs to another job.", "other_job")
    if "rate" not in changes and row.rate == before:
        row.rate = _usual_rate(row) or row.rate
    if row.started_at is None:
        _correct_minutes(row, changes)
    else:
        _correct_stretch(row, row.started_at, changes, now)
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def strike_out_time(entry: TimeEntry, *, by: Person, now: datetime, reason: str) -> TimeEntry:
    """Take an entry out of every sum; it stays to be read, with who did it and why."""
    hold_person(entry.person)
    row = TimeEntry.objects.select_for_update().get(pk=entry.pk)
    held_open(row.job)
    keep_before(row, _KEPT, by=by, at=now, reason=reason)
    row.struck_out = True
    row.save()
    return row


def _usual_rate(row: TimeEntry) -> Decimal | None:
    """What an hour of this work costs where nobody said otherwise; None for work that was not planned."""
    if row.operation is None and row.mishap is None:
        return None
    return rate_of(Work(row.operation, row.mishap), row.mishap, row.worked_on)


def _correct_minutes(row: TimeEntry, changes: dict[str, Any]) -> None:
    for name in ("started_at", "ended_at"):
        if name in changes:
            refuse(name, "This entry was made by minutes; correct the minutes.", "no_stretch")
    row.worked_on = changes.get("worked_on", row.worked_on)
    if "minutes" in changes:
        row.seconds = seconds_of(changes["minutes"])
    refuse_long_day(row.person, row.worked_on, row.seconds or 0, besides=row)


def _correct_stretch(row: TimeEntry, start: datetime, changes: dict[str, Any], now: datetime) -> None:
    if "minutes" in changes:
        refuse("minutes", "This entry has a start and an end; correct those.", "has_stretch")
    begun: datetime = changes.get("started_at", start)
    ended: datetime | None = changes.get("ended_at", row.ended_at)
    if begun > now or (ended is not None and ended > now):
        refuse("ended_at", "This time has not come yet.", "future")
    refuse_overlap(row.person, begun, ended, besides=row)
    row.started_at, row.worked_on = begun, timezone.localdate(begun)
    if ended is not None:
        row.ended_at, row.seconds = ended, length_s(begun, ended)
