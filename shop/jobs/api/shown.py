"""What the API shows of a job, by who asks: no money to the bench, no pay but to owners."""

from __future__ import annotations

from typing import Any

from shop.jobs.access import Person, may_see_money, may_see_pay
from shop.jobs.facts import hours_of
from shop.jobs.models import Correction, Draw, Job, Mishap, PlannedOperation, Progress, TimeEntry
from shop.jobs.selectors.jobs import operations
from shop.jobs.selectors.progress import latest_progress


def job_row(job: Job, user: Person) -> dict[str, Any]:
    """A job in a list."""
    shown: dict[str, Any] = {
        "id": job.pk,
        "number": job.number,
        "title": job.title,
        "client": job.client.name if job.client else "",
        "quote": job.quote_id,
        "status": job.status,
        "opened_on": job.opened_on,
        "due_on": job.due_on,
        "closed_on": job.closed_on,
    }
    if not may_see_money(user):
        return shown
    return shown | {
        "currency": job.currency,
        "price": str(job.price),
        "breakage_allowance": str(job.breakage_allowance),
        "overhead_rate": str(job.overhead_rate),
    }


def job_whole(job: Job, user: Person) -> dict[str, Any]:
    """A job with its pieces, what is planned of each, and its days."""
    planned, said = operations(job), latest_progress(job)
    return job_row(job, user) | {
        "note": job.note,
        "pieces": [
            {
                "id": piece.pk,
                "name": piece.name,
                "quantity": piece.quantity,
                "kind": piece.kind,
                "operations": [
                    _operation(one, said.get(one.pk), user) for one in planned if one.piece_id == piece.pk
                ],
                "materials": [
                    {
                        "id": one.pk,
                        "mishap": one.mishap_id,
                        "code": one.code,
                        "name": one.name,
                        "stage": one.stage,
                        "unit": one.unit,
                        "quantity": str(one.quantity),
                        "pack_size": str(one.pack_size),
                        "pack_name": one.pack_name,
                    }
                    | ({"cost": str(one.cost)} if may_see_money(user) else {})
                    for one in piece.materials.all()
                ],
                "dates": [
                    {"step": one.step, "name": one.name, "planned_on": one.planned_on}
                    for one in piece.dates.all()
                ],
            }
            for piece in job.pieces.prefetch_related("materials", "dates")
        ],
        "events": [{"at": one.at, "kind": one.kind, "detail": one.detail} for one in job.events.all()],
    }


def time_row(entry: TimeEntry, user: Person) -> dict[str, Any]:
    """An entry of time; no hours while its timer runs, so that it reads the same until it is stopped."""
    shown: dict[str, Any] = {
        "id": entry.pk,
        "job": entry.job_id,
        "operation": entry.operation_id,
        "mishap": entry.mishap_id,
        "person": entry.person.get_username(),
        "worked_on": entry.worked_on,
        "started_at": entry.started_at,
        "ended_at": entry.ended_at,
        "running": entry.seconds is None,
        "hours": None if entry.seconds is None else str(hours_of(entry.seconds)),
        "note": entry.note,
        "struck_out": entry.struck_out,
        "key": entry.key or "",
        "corrections": [_correction(one, user) for one in entry.corrections.all()],
    }
    return shown | ({"rate": str(entry.rate)} if may_see_pay(user) else {})


def draw_row(draw: Draw, user: Person) -> dict[str, Any]:
    """A draw, purchase or return."""
    shown: dict[str, Any] = {
        "id": draw.pk,
        "job": draw.job_id,
        "material": draw.material_id,
        "mishap": draw.mishap_id,
        "kind": draw.kind,
        "code": draw.code,
        "name": draw.name,
        "unit": draw.unit,
        "quantity": str(draw.quantity),
        "drawn_on": draw.drawn_on,
        "by": draw.by.get_username() if draw.by else "",
        "note": draw.note,
        "struck_out": draw.struck_out,
        "key": draw.key or "",
        "corrections": [_correction(one, user) for one in draw.corrections.all()],
    }
    if not may_see_money(user):
        return shown
    return shown | {"amount": str(draw.amount), "supplier": draw.supplier, "invoice": draw.invoice}


def mishap_row(mishap: Mishap) -> dict[str, Any]:
    """A mishap, with the operations to be done again."""
    return {
        "id": mishap.pk,
        "job": mishap.job_id,
        "piece": mishap.piece_id,
        "operation": mishap.operation,
        "stage": mishap.stage,
        "cause": mishap.cause,
        "outcome": mishap.outcome,
        "castings": mishap.castings,
        "happened_on": mishap.happened_on,
        "by": mishap.by.get_username() if mishap.by else "",
        "note": mishap.note,
        "key": mishap.key or "",
        "again": [
            {"id": one.pk, "operation": one.code, "name": one.name, "hours": str(one.hours)}
            for one in mishap.operations.all()
        ],
    }


def progress_row(said: Progress) -> dict[str, Any]:
    """One word on how far an operation is."""
    return {
        "id": said.pk,
        "operation": said.operation_id,
        "share": str(said.share),
        "at": said.at,
        "by": said.by.get_username() if said.by else "",
        "key": said.key or "",
    }


def _operation(one: PlannedOperation, done: Any, user: Person) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "id": one.pk,
        "mishap": one.mishap_id,
        "operation": one.code,
        "name": one.name,
        "stage": one.stage,
        "role": one.role,
        "crew": one.crew,
        "hours": str(one.hours),
        "planned_on": one.planned_on,
        "done": None if done is None else str(done),
    }
    return shown | ({"rate": str(one.rate), "cost": str(one.cost)} if may_see_pay(user) else {})


def _correction(one: Correction, user: Person) -> dict[str, Any]:
    hidden: set[str] = set()
    if not may_see_pay(user):
        hidden.add("rate")
    if not may_see_money(user):
        hidden |= {"amount", "supplier", "invoice"}
    before = {name: value for name, value in one.before.items() if name not in hidden}
    by = one.by.get_username() if one.by else ""
    return {"at": one.at, "by": by, "reason": one.reason, "before": before}
