"""Mishaps: what went wrong, and the work it makes necessary again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from quoting.engine.takeoff.calendar import next_working
from quoting.selectors.price_book import shop_terms
from shop.jobs.access import Person
from shop.jobs.models import JobPiece, Mishap, PlannedMaterial, PlannedOperation, Progress
from shop.jobs.planning import MaterialPlan, OperationPlan, recast_materials, recast_operations
from shop.jobs.services.common import held_open, hold_person, record, refuse, replayed
from shop.jobs.services.jobs import put_material, put_operation
from shop.jobs.services.time import Work, add_minutes


@dataclass(frozen=True)
class Happened:
    """What went wrong: at which operation of a piece, why, and what is done about it."""

    operation: PlannedOperation
    cause: str
    outcome: str
    on: date
    castings: int = 1
    minutes: Decimal = Decimal(0)
    """Of the person who tells it, spent on it already."""
    note: str = ""


@transaction.atomic
def record_mishap(told: Happened, *, by: Person, now: datetime, key: str = "") -> Mishap:
    """Record a mishap. A recast plans again what has to be done again, and moves the days still to come.

    Raises IllegalMove when the job is closed, Refused for more castings than the job makes or a day to come.
    """
    piece = told.operation.piece
    hold_person(by)
    if known := replayed(Mishap.objects.filter(by=by), key, job_id=piece.job_id):
        return known
    job = held_open(piece.job)
    if not 1 <= told.castings <= piece.quantity:
        most = f"from 1 to {piece.quantity}, as many as are made" if piece.quantity > 1 else "only 1 is made"
        refuse("castings", f"How many pieces: {most}.", "out_of_range", told.castings)
    if told.on > timezone.localdate(now) + timedelta(days=1):
        refuse("happened_on", "This day has not come yet.", "future", told.on)
    row = Mishap(
        job=job,
        piece=piece,
        operation=told.operation.code,
        stage=told.operation.stage,
        cause=told.cause.strip(),
        outcome=told.outcome,
        castings=told.castings,
        happened_on=told.on,
        at=now,
        by=by,
        note=told.note.strip(),
        key=key or None,
    )
    row.full_clean(exclude=("by",))
    row.save()
    if told.outcome == Mishap.Outcome.RECAST:
        _plan_again(row, piece, now, by)
    if told.minutes:
        work = Work(mishap=row)
        add_minutes(job, work, person=by, minutes=told.minutes, worked_on=told.on, now=now, note=told.cause)
    record(job, "mishap", by, now, str(row))
    return row


def _plan_again(row: Mishap, piece: JobPiece, now: datetime, by: Person) -> None:
    planned = list(piece.operations.filter(mishap__isnull=True).order_by("position"))
    plans = [_operation_plan(one) for one in planned]
    again = recast_operations(plans, row.operation, row.castings, row.job.minor_units)
    for place, plan in enumerate(again, start=1):
        put_operation(piece, place, plan, mishap=row)
    materials = [_material_plan(one) for one in piece.materials.filter(mishap__isnull=True)]
    lost = recast_materials(materials, again, row.castings, piece.quantity, row.job.minor_units)
    for place, material in enumerate(lost, start=1):
        put_material(piece, place, material, mishap=row)
    if row.castings == piece.quantity:
        _finish_until(planned, row.operation, now, by)
    if any(plan.stage == "cast" for plan in again):
        _move_days(piece, row.happened_on)


def _finish_until(planned: list[PlannedOperation], broken: str, now: datetime, by: Person) -> None:
    """Nothing is left of the first attempt to be done: the work goes on in what was planned again."""
    for operation in planned:
        Progress.objects.create(operation=operation, share=Decimal(1), at=now, by=by)
        if operation.code == broken:
            return


def _move_days(piece: JobPiece, happened_on: date) -> None:
    """Cast again on the next working day; every later step as many days after it as before."""
    dates = list(piece.dates.order_by("position"))
    pours = [one for one in dates if one.step == "pour"]
    if not pours:
        return
    terms = shop_terms()
    poured = next_working(happened_on + timedelta(days=1), terms)
    later = poured - pours[0].planned_on
    if later <= timedelta(0):
        return
    for one in dates[dates.index(pours[0]) :]:
        one.planned_on = next_working(one.planned_on + later, terms)
        one.save()


def _operation_plan(row: PlannedOperation) -> OperationPlan:
    return OperationPlan(
        code=row.code,
        name=row.name,
        stage=row.stage,
        role=row.role,
        crew=row.crew,
        hours=row.hours,
        rate=row.rate,
        cost=row.cost,
        remake_hours=row.remake_hours,
        breakage=row.breakage,
        back_to=row.back_to,
        spread=tuple(row.spread),
    )


def _material_plan(row: PlannedMaterial) -> MaterialPlan:
    return MaterialPlan(
        code=row.code,
        name=row.name,
        stage=row.stage,
        unit=row.unit,
        quantity=row.quantity,
        cost=row.cost,
        pack_size=row.pack_size,
        pack_name=row.pack_name,
    )
