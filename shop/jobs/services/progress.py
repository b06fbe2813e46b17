"""How far operations are."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from shop.jobs.access import Person
from shop.jobs.models import PlannedOperation, Progress
from shop.jobs.services.common import held_open, hold_person, known_instant, refuse, replayed


@transaction.atomic
def record_progress(
    operation: PlannedOperation, share: Decimal, *, by: Person, at: datetime, now: datetime, key: str = ""
) -> Progress:
    """Say how far an operation is, 0 to 1; the latest word counts. Refused outside that."""
    hold_person(by)
    if known := replayed(Progress.objects.filter(by=by), key, operation_id=operation.pk):
        return known
    held_open(operation.piece.job)
    if not (share.is_finite() and 0 <= share <= 1):
        refuse("share", "Give a share from 0 to 1.", "out_of_range", share)
    return Progress.objects.create(
        operation=operation,
        share=share.quantize(Decimal("0.0001")),
        at=known_instant(at, now),
        by=by,
        key=key or None,
    )
