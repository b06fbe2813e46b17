"""Reading jobs: lists, one whole job, who works on what just now."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet

from catalog.search import words_of
from shop.jobs.access import Person
from shop.jobs.models import Draw, Job, JobPhotograph, Mishap, PlannedOperation, Progress, TimeEntry


def jobs(*, search: str = "", status: str = "") -> QuerySet[Job]:
    """Jobs, newest first, with client and quote; `search` looks in number, title and client."""
    found = Job.objects.select_related("client", "quote")
    if status:
        found = found.filter(status=status)
    for word in words_of(search):
        found = found.filter(
            Q(title__icontains=word) | Q(number__icontains=word) | Q(client__name__icontains=word)
        )
    return found.order_by("-opened_on", "-pk")


def operations(job: Job) -> list[PlannedOperation]:
    """All operations of a job in order of work: by piece, as planned, then what mishaps added."""
    rows = PlannedOperation.objects.filter(piece__job=job).select_related("piece", "mishap")
    return sorted(rows, key=lambda one: (one.piece.position, one.mishap_id or 0, one.position, one.pk))


def running_timers(job: Job | None = None) -> QuerySet[TimeEntry]:
    """Timers that run, of everybody, on one job or all."""
    rows = TimeEntry.objects.filter(seconds__isnull=True, struck_out=False)
    rows = rows.select_related("person", "operation", "mishap", "job")
    return rows.filter(job=job) if job is not None else rows


def running_timer(person: Person) -> TimeEntry | None:
    """A person's timer that runs, if any."""
    return running_timers().filter(person=person).first()


def hours(
    *, search: str = "", person: int | None = None, since: date | None = None, until: date | None = None
) -> QuerySet[TimeEntry]:
    """Entries of time of all jobs, newest first, without those struck out; `search` looks in job, operation
    and note, the days count themselves in.
    """
    rows = TimeEntry.objects.filter(struck_out=False).select_related("person", "job", "operation")
    rows = rows.filter(person=person) if person is not None else rows
    rows = rows.filter(worked_on__gte=since) if since else rows
    rows = rows.filter(worked_on__lte=until) if until else rows
    for word in words_of(search):
        said = Q(job__number__icontains=word) | Q(job__title__icontains=word) | Q(note__icontains=word)
        rows = rows.filter(said | Q(operation__name__icontains=word))
    return rows.order_by("-worked_on", "-pk")


def time_entries(job: Job, *, person: Person = None) -> QuerySet[TimeEntry]:
    """A job's entries of time, newest first; one person's where given."""
    rows = TimeEntry.objects.filter(job=job).select_related("person", "operation", "mishap")
    rows = rows.prefetch_related("corrections__by")
    if person is not None:
        rows = rows.filter(person=person)
    return rows.order_by("-worked_on", "-pk")


def draws(job: Job, *, person: Person = None) -> QuerySet[Draw]:
    """A job's draws, newest first; one person's where given."""
    rows = (
        Draw.objects.filter(job=job)
        .select_related("material", "mishap", "by")
        .prefetch_related("corrections__by")
    )
    if person is not None:
        rows = rows.filter(by=person)
    return rows.order_by("-drawn_on", "-pk")


def mishaps(job: Job) -> QuerySet[Mishap]:
    """A job's mishaps in order, each with the operations it made necessary again."""
    again = Prefetch("operations", queryset=PlannedOperation.objects.order_by("position"))
    return Mishap.objects.filter(job=job).select_related("piece", "by").prefetch_related(again)


def photographs(job: Job) -> QuerySet[JobPhotograph]:
    """A job's photographs in order, without their bytes."""
    rows = JobPhotograph.objects.filter(job=job).select_related("picture", "by")
    return rows.defer("picture__content").order_by("at", "pk")


def progress(job: Job) -> QuerySet[Progress]:
    """All that was said on a job's progress, oldest first."""
    rows = Progress.objects.filter(operation__piece__job=job).select_related("operation", "by")
    return rows.order_by("at", "pk")


def seconds_until(entry: TimeEntry, now: datetime) -> int:
    """Seconds of an entry; of a timer that runs, those until now."""
    if entry.seconds is not None or entry.started_at is None:
        return entry.seconds or 0
    return max(round((now - entry.started_at).total_seconds()), 0)
