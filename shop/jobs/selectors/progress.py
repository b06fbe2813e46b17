"""How far the operations of a job are."""

from __future__ import annotations

from decimal import Decimal

from shop.jobs.models import Job, Progress


def latest_progress(job: Job) -> dict[int, Decimal]:
    """The last word on each operation that anybody said one on, by the operation's key."""
    rows = Progress.objects.filter(operation__piece__job=job).order_by("at", "pk")
    return {one.operation_id: one.share for one in rows}
