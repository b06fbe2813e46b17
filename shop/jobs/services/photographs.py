"""Photographs on a job: put there by anybody of the shop, taken off by who put them there, or an owner."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from catalog.pictures import PHOTOGRAPH, made_anew
from catalog.services.pictures import drop, keep
from shop.jobs.access import Person
from shop.jobs.models import Job, JobPhotograph
from shop.jobs.services.common import held_open, record, refuse

MOST = 200
"""Photographs on one job."""


@transaction.atomic
def add_photograph(job: Job, content: bytes, *, note: str, by: Person, now: datetime) -> JobPhotograph:
    """Put a photograph on a job, made anew; one that is there already stays as it is, and is returned.

    Raises CatalogRefused for a file that will not do, Refused for too many, IllegalMove for a closed job.
    """
    made = made_anew(content, PHOTOGRAPH)  # before anything is locked: it takes a while
    held = held_open(job)
    there = JobPhotograph.objects.filter(job=held)
    known = there.filter(picture__sha256=made.sha256).first()
    if known is not None:
        return known
    if there.count() >= MOST:
        refuse("picture", f"There are {MOST} photographs on this job; take one off first.", "too_many")
    row = JobPhotograph(job=held, picture=keep(made), note=note.strip(), at=now, by=by)
    row.full_clean(exclude=("by",))
    row.save()
    record(held, "photograph", by, now, row.note)
    return row


@transaction.atomic
def remove_photograph(row: JobPhotograph, *, by: Person, now: datetime) -> None:
    """Take a photograph off its job, and throw the picture away where nothing else shows it.

    Raises IllegalMove for a closed job.
    """
    held = held_open(row.job)
    picture, note = row.picture_id, row.note
    row.delete()
    drop(picture)
    record(held, "photograph off", by, now, note)
