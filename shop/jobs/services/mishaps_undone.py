"""A mishap that was none: taken back, with the work it was thought to make necessary."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from shop.jobs.access import Person
from shop.jobs.models import Draw, Mishap, PlannedMaterial, PlannedOperation, Progress, TimeEntry
from shop.jobs.services.common import LONGEST_REASON, held_open, record, refuse


@transaction.atomic
def strike_out_mishap(mishap: Mishap, *, by: Person, now: datetime, reason: str) -> None:
    """Take a mishap and what it planned again out of the job; what it was and why it went stays to be read.

    Hours and material booked on it have to be put elsewhere first. Days that it moved stay where they are.
    Raises IllegalMove when the job is closed, Refused without a reason or while something is booked on it.
    """
    job = held_open(mishap.job)
    row = Mishap.objects.select_for_update().get(pk=mishap.pk)
    if not reason.strip() or len(reason.strip()) > LONGEST_REASON:
        refuse("reason", f"Say why, in up to {LONGEST_REASON} letters.", "required")
    on_it = Q(mishap=row)
    time = TimeEntry.objects.filter(on_it | Q(operation__mishap=row))
    draws = Draw.objects.filter(on_it | Q(material__mishap=row))
    if time.filter(struck_out=False).exists() or draws.filter(struck_out=False).exists():
        message = "Hours or material are booked on it: correct those or strike them out first."
        refuse("", message, "in_use")
    for entry in time:
        entry.operation, entry.mishap = _as_planned(row, entry.operation), None
        entry.save()
    for draw in draws:
        draw.material, draw.mishap = _material(row, draw.material), None
        draw.save()
    # What was left of the first attempt counted as done with the mishap.
    said = Progress.objects.filter(operation__piece=row.piece, operation__mishap__isnull=True, key=None)
    said.filter(at=row.at, by=row.by, share=Decimal(1)).delete()
    what = f"{row}, {row.castings} of {row.piece.name}, on {row.happened_on}"
    row.delete()
    record(job, "mishap undone", by, now, f"{what}: {reason.strip()}")


def _as_planned(row: Mishap, again: PlannedOperation | None) -> PlannedOperation | None:
    """The operation itself, for one that was planned again."""
    if again is None or again.mishap_id != row.pk:
        return again
    return row.piece.operations.filter(mishap__isnull=True, code=again.code).order_by("position").first()


def _material(row: Mishap, again: PlannedMaterial | None) -> PlannedMaterial | None:
    if again is None or again.mishap_id != row.pk:
        return again
    same = row.piece.materials.filter(mishap__isnull=True, code=again.code, name=again.name)
    return same.order_by("position").first()
