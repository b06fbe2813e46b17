"""What every write of a job does first: hold the row, see that it is open, check instants and faults."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, NoReturn, TypeVar

from django.contrib.auth import get_user_model
from django.db import models
from django.utils import timezone

from quoting.engine.errors import Fault, Refused
from quoting.errors import IllegalMove
from shop.jobs.access import Person
from shop.jobs.models import Correction, Draw, Job, JobEvent, TimeEntry

M = TypeVar("M", bound=models.Model)
CLOCKS_DIFFER = timedelta(minutes=5)
"""How far the clock of a phone may be ahead of ours."""
LONGEST_REASON = 300
OLDEST = timedelta(days=31)
"""How long an entry may wait on a phone without a signal."""


def refuse(path: str, message: str, code: str, value: object = None) -> NoReturn:
    """Raise Refused with one fault."""
    raise Refused([Fault(path, message, code, None if value is None else str(value)[:80])])


def held_open(job: Job) -> Job:
    """The job as the database has it, its row locked. Raises IllegalMove when it is closed."""
    held = Job.objects.select_for_update().get(pk=job.pk)
    if held.status != Job.Status.OPEN:
        raise IllegalMove(held.status, "log", "This job is closed; open it again to add to it.")
    return held


def known_instant(at: datetime, now: datetime, path: str = "at") -> datetime:
    """An instant as it may be logged: with its zone, not of the future, not older than a month."""
    if timezone.is_naive(at):
        refuse(path, "Give the time with its zone, as 2026-03-02T08:00:00Z.", "naive_time", at)
    if at > now + CLOCKS_DIFFER:
        refuse(path, "This time has not come yet.", "future", at.isoformat())
    if at < now - OLDEST:
        refuse(path, "This is more than a month ago; enter it by minutes.", "too_old", at.isoformat())
    return at


def hold_person(person: Person) -> None:
    """Lock the person's row, where there is one: two phones of one person take turns."""
    if person is not None:
        get_user_model().objects.select_for_update().get(pk=person.pk)


def replayed(rows: models.QuerySet[M], key: str, **same: Any) -> M | None:
    """The row that an earlier sending of the same entry made. Refused when the key was another entry's."""
    if not key:
        return None
    known = rows.filter(key=key).first()
    if known is None:
        return None
    for name, value in same.items():
        if getattr(known, name) != value:
            refuse("key", "This key belongs to another entry.", "key_reused", key)
    return known


def record(job: Job, kind: str, by: Person, at: datetime, detail: str = "") -> None:
    """Note what happened to a job."""
    JobEvent.objects.create(job=job, at=at, by=by, kind=kind, detail=detail[:500])


def keep_before(
    entry: TimeEntry | Draw, fields: tuple[str, ...], *, by: Person, at: datetime, reason: str
) -> None:
    """Write down how an entry reads before it changes. Refused without a reason, or for one too long."""
    if not reason.strip():
        refuse("reason", "Say why it is corrected.", "required")
    if len(reason.strip()) > LONGEST_REASON:
        refuse("reason", f"Write at most {LONGEST_REASON} letters.", "too_long")
    before = {name: _plain(getattr(entry, name)) for name in fields}
    which = {"time": entry} if isinstance(entry, TimeEntry) else {"draw": entry}
    Correction.objects.create(at=at, by=by, reason=reason.strip(), before=before, **which)


def _plain(value: object) -> object:
    if isinstance(value, Decimal):
        return str(value)
    return value.isoformat() if hasattr(value, "isoformat") else value
