"""A job's rows as the facts its cost report follows from: the only translator between the two."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from quoting.engine.money import to_minor
from shop.jobs.costing import cost_report
from shop.jobs.facts import (
    JobFacts,
    LooseFacts,
    MaterialFacts,
    MishapFacts,
    OperationFacts,
    PieceFacts,
    hours_of,
)
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation, TimeEntry
from shop.jobs.report_lines import CostReport
from shop.jobs.selectors.jobs import operations, seconds_until
from shop.jobs.selectors.progress import latest_progress

Sums = dict[int, tuple[Decimal, Decimal]]


def report_of(job: Job, *, now: datetime) -> CostReport:
    """A job's cost report at an instant; timers that run count until then."""
    return cost_report(job_facts(job, now=now))


def job_facts(job: Job, *, now: datetime) -> JobFacts:
    """What is known of a job, in a number of queries that its size does not change."""
    work, loose_work = _work(job, now)
    used, loose_parts = _used(job)
    said = latest_progress(job)
    materials = PlannedMaterial.objects.filter(piece__job=job).order_by(
        "piece__position", "mishap_id", "position"
    )
    return JobFacts(
        on=timezone.localdate(now),
        closed=job.status == Job.Status.CLOSED,
        minor_units=job.minor_units,
        price=job.price,
        breakage_allowance=job.breakage_allowance,
        overhead_rate=job.overhead_rate,
        pieces=tuple(
            PieceFacts(piece.pk, piece.name, piece.quantity, piece.price) for piece in job.pieces.all()
        ),
        operations=tuple(_operation(one, work, said) for one in operations(job)),
        materials=tuple(_material(one, used) for one in materials),
        loose=(*loose_work, *loose_parts),
        mishaps=tuple(_mishap(one) for one in job.mishaps.all()),
    )


def _work(job: Job, now: datetime) -> tuple[Sums, list[LooseFacts]]:
    """Hours and their cost by operation; and what was booked on none, or on a mishap not its own."""
    sums: Sums = defaultdict(lambda: (Decimal(0), Decimal(0)))
    loose = []
    rows = TimeEntry.objects.filter(job=job, struck_out=False).select_related("operation", "person")
    for entry in rows.order_by("pk"):
        hours = hours_of(seconds_until(entry, now))
        paid = to_minor(hours * entry.rate, job.minor_units)
        planned = entry.operation
        if planned is not None and planned.mishap_id == entry.mishap_id:
            before = sums[planned.pk]
            sums[planned.pk] = (before[0] + hours, before[1] + paid)
        else:
            name = planned.name if planned is not None else entry.note or "Other work"
            loose.append(LooseFacts(name, hours, paid, is_work=True, mishap=entry.mishap_id))
    return sums, loose


def _used(job: Job) -> tuple[Sums, list[LooseFacts]]:
    """Quantity and cost by planned material, what was put back taken off; and what was not planned."""
    sums: Sums = defaultdict(lambda: (Decimal(0), Decimal(0)))
    loose = []
    rows = Draw.objects.filter(job=job, struck_out=False).select_related("material")
    for draw in rows.order_by("pk"):
        sign = -1 if draw.kind == Draw.Kind.RETURN else 1
        paid = to_minor(draw.amount, job.minor_units) * sign
        planned = draw.material
        if planned is not None and planned.mishap_id == draw.mishap_id:
            before = sums[planned.pk]
            sums[planned.pk] = (before[0] + draw.quantity * sign, before[1] + paid)
        else:
            loose.append(LooseFacts(draw.name, Decimal(0), paid, is_work=False, mishap=draw.mishap_id))
    return sums, loose


def _operation(row: PlannedOperation, work: Sums, said: dict[int, Decimal]) -> OperationFacts:
    worked, paid = work.get(row.pk, (Decimal(0), Decimal(0)))
    return OperationFacts(
        key=row.pk,
        piece=row.piece_id,
        code=row.code,
        name=row.name,
        stage=row.stage,
        hours=row.hours,
        rate=row.rate,
        cost=row.cost,
        worked=worked,
        paid=paid,
        progress=said.get(row.pk),
        planned_on=row.planned_on,
        mishap=row.mishap_id,
    )


def _material(row: PlannedMaterial, used: Sums) -> MaterialFacts:
    quantity, paid = used.get(row.pk, (Decimal(0), Decimal(0)))
    return MaterialFacts(
        key=row.pk,
        piece=row.piece_id,
        code=row.code,
        name=row.name,
        stage=row.stage,
        unit=row.unit,
        quantity=row.quantity,
        cost=row.cost,
        used=quantity,
        paid=paid,
        mishap=row.mishap_id,
    )


def _mishap(row: Mishap) -> MishapFacts:
    return MishapFacts(row.pk, row.piece_id, str(row), row.stage, row.outcome, row.castings)
