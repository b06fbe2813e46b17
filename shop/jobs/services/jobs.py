"""Opening a job, from a quote or by hand; closing it, and opening it again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.engine.errors import Fault, Refused
from quoting.errors import IllegalMove
from quoting.models import LAPSED, Client, PieceRevision, Quote
from quoting.selectors.price_book import shop_terms
from shop.jobs.access import Person
from shop.jobs.models import Job, JobDate, JobPiece, JobSeries, PlannedMaterial, PlannedOperation
from shop.jobs.planning import MaterialPlan, OperationPlan, PiecePlan, piece_plan
from shop.jobs.services.common import held_open, record

MAY_OPEN = ("issued", "accepted")
"""States of a quote that a job may be opened from: what was issued is frozen, accepted or not yet."""
NO_JOB_OF = {
    Quote.Status.DRAFT.value: "This quote is a draft; issue it first.",
    Quote.Status.DECLINED.value: "The client has declined this quote.",
    Quote.Status.WITHDRAWN.value: "This quote was withdrawn.",
    Quote.Status.SUPERSEDED.value: "A newer quote has taken the place of this one; open the job of that.",
    LAPSED: "This quote has lapsed; quote again, or have the client accept a new one.",
}


@dataclass(frozen=True)
class PieceWanted:
    """A kind of piece of a job opened by hand."""

    name: str
    quantity: int = 1
    kind: str = ""
    price: Decimal = Decimal(0)
    operations: Sequence[OperationPlan] = ()
    materials: Sequence[MaterialPlan] = ()


def open_accepted(quote: Quote) -> None:
    """Open the job of a quote just accepted; one that has its job already keeps it."""
    if not Job.objects.filter(quote=quote).exists():
        open_from_quote(quote, on=timezone.localdate(), by=quote.answer.by)


@transaction.atomic
def open_from_quote(
    quote: Quote, *, on: date, start: date | None = None, today: date | None = None, by: Person = None
) -> Job:
    """Open the job of a quote that was issued: plan, prices, terms and dates from what was frozen.

    `start` is the first day of work (by default `on`), `today` the day on which the quote must not have
    lapsed where it is not `on`. Of options the one accepted is made. Raises IllegalMove for a quote that is a
    draft, declined, lapsed, withdrawn or superseded, has options and no answer yet, or has its job.
    """
    held = Quote.objects.select_for_update().get(pk=quote.pk)
    if (state := held.state(max(on, today or on))) not in MAY_OPEN:
        raise IllegalMove(state, "open a job", NO_JOB_OF[state])
    if Job.objects.filter(quote=held).exists():
        raise IllegalMove(held.status, "open a job", "This quote has its job already.")
    terms, issued = shop_terms(), held.issued
    sums = _chosen(held)
    frozen = zip(
        held.items.select_related("revision").order_by("position"),
        issued.data["items"],
        issued.basis["items"],
        strict=True,
    )
    wanted = [
        (item, said, basis) for item, said, basis in frozen if item.option in ("", sums.get("name", ""))
    ]
    revisions = [item.revision for item, _, _ in wanted]
    plans = [piece_plan(said, basis, start or on, terms) for _, said, basis in wanted]
    ready = [plan.ready_on for plan in plans if plan.ready_on is not None]
    job = _new(
        on,
        by,
        title=held.title,
        client=held.client,
        quote=held,
        currency=issued.data["currency"],
        minor_units=terms.minor_units,
        price=Decimal(sums["net"]),
        breakage_allowance=sum((plan.breakage_allowance for plan in plans), Decimal(0)),
        overhead_rate=plans[0].overhead_rate if plans else terms.overhead_per_labour_hour,
        due_on=max(ready, default=None),
    )
    for position, (plan, revision) in enumerate(zip(plans, revisions, strict=True), start=1):
        _put_piece(job, position, plan, revision)
    return job


@transaction.atomic
def open_by_hand(
    *,
    title: str,
    on: date,
    pieces: Sequence[PieceWanted],
    client: Client | None = None,
    price: Decimal = Decimal(0),
    breakage_allowance: Decimal = Decimal(0),
    overhead_rate: Decimal | None = None,
    due_on: date | None = None,
    note: str = "",
    by: Person = None,
) -> Job:
    """Open a job that no quote stands behind. Raises ValidationError by field, Refused without a piece."""
    if not pieces:
        raise Refused([Fault("pieces", "A job makes at least one piece.", "required")])
    terms = shop_terms()
    rate = terms.overhead_per_labour_hour if overhead_rate is None else overhead_rate
    job = _new(
        on,
        by,
        title=title.strip(),
        client=client,
        currency=terms.currency,
        minor_units=terms.minor_units,
        price=price,
        breakage_allowance=breakage_allowance,
        overhead_rate=rate,
        due_on=due_on,
        note=note.strip(),
    )
    for position, wanted in enumerate(pieces, start=1):
        plan = PiecePlan(
            wanted.name,
            wanted.quantity,
            wanted.kind,
            wanted.price,
            Decimal(0),
            rate,
            {},
            tuple(wanted.operations),
            tuple(wanted.materials),
            (),
            None,
        )
        _put_piece(job, position, plan, None)
    return job


@transaction.atomic
def change_job(job: Job, *, by: Person = None, **changes: Any) -> Job:
    """Change an open job's title, day promised or note. Raises IllegalMove when it is closed."""
    held = held_open(job)
    said = []
    for name in ("title", "due_on", "note"):
        if name in changes and (old := getattr(held, name)) != changes[name]:
            setattr(held, name, changes[name])
            said.append(f"{name} was {old or 'empty'}")
    if said:
        held.full_clean(exclude=("created_by",))
        held.save()
        record(held, "changed", by, timezone.now(), "; ".join(said))
    return held


@transaction.atomic
def close_job(job: Job, *, on: date, by: Person = None) -> Job:
    """Close a job: nothing more is to come. Raises IllegalMove when it is closed, or a timer runs on it."""
    held = Job.objects.select_for_update().get(pk=job.pk)
    if held.status != Job.Status.OPEN:
        raise IllegalMove(held.status, "close", "This job is closed already.")
    running = held.time.filter(seconds__isnull=True, struck_out=False).select_related("person")
    if people := ", ".join(sorted(entry.person.get_full_name() for entry in running)):
        raise IllegalMove(held.status, "close", f"A timer still runs on this job: {people}.")
    held.status, held.closed_on = Job.Status.CLOSED, max(on, held.opened_on)
    held.save()
    record(held, "closed", by, timezone.now())
    return held


@transaction.atomic
def reopen_job(job: Job, *, by: Person = None) -> Job:
    """Open a closed job again. Raises IllegalMove when it is open."""
    held = Job.objects.select_for_update().get(pk=job.pk)
    if held.status != Job.Status.CLOSED:
        raise IllegalMove(held.status, "open again", "This job is open.")
    held.status, held.closed_on = Job.Status.OPEN, None
    held.save()
    record(held, "opened again", by, timezone.now())
    return held


def _chosen(quote: Quote) -> Mapping[str, Any]:
    """The sums of the option accepted, or of the whole quote where it has none."""
    said: Mapping[str, Any] = quote.issued.data
    if not said.get("options"):
        return said
    if quote.status != Quote.Status.ACCEPTED:
        raise IllegalMove(quote.status, "open a job", "The client has not chosen one of its options yet.")
    return next(one for one in said["options"] if one["name"] == quote.answer.option)


def _new(on: date, by: Person, **fields: object) -> Job:
    job = Job(number=_next_number(on), opened_on=on, created_by=by, **fields)
    job.full_clean(exclude=("created_by",))
    job.save()
    record(job, "opened", by, timezone.now())
    return job


def _next_number(on: date) -> str:
    """The next number of the year; its row stays locked until the transaction ends: no gap, no repeat."""
    JobSeries.objects.get_or_create(year=on.year)
    row = JobSeries.objects.select_for_update().get(year=on.year)
    row.last += 1
    row.save()
    return f"J{on:%y}-{row.last:04d}"


def _put_piece(job: Job, position: int, plan: PiecePlan, revision: PieceRevision | None) -> None:
    piece = JobPiece(
        job=job,
        position=position,
        name=plan.name,
        quantity=plan.quantity,
        kind=plan.kind,
        price=plan.price,
        revision=revision,
        drivers=dict(plan.drivers),
    )
    piece.full_clean()
    piece.save()
    for place, operation in enumerate(plan.operations, start=1):
        put_operation(piece, place, operation)
    for place, material in enumerate(plan.materials, start=1):
        put_material(piece, place, material)
    for place, step in enumerate(plan.dates, start=1):
        JobDate.objects.create(
            piece=piece, position=place, step=step.step, name=step.name, planned_on=step.planned_on
        )


def put_operation(piece: JobPiece, position: int, plan: OperationPlan, **more: object) -> PlannedOperation:
    """Save one planned operation of a piece."""
    row = PlannedOperation(
        piece=piece,
        position=position,
        code=plan.code,
        name=plan.name,
        stage=plan.stage,
        role=plan.role,
        crew=plan.crew,
        hours=plan.hours,
        rate=plan.rate,
        cost=plan.cost,
        remake_hours=plan.remake_hours,
        breakage=plan.breakage,
        back_to=plan.back_to,
        spread=list(plan.spread),
        planned_on=plan.planned_on,
        **more,
    )
    row.full_clean()
    row.save()
    return row


def put_material(piece: JobPiece, position: int, plan: MaterialPlan, **more: object) -> PlannedMaterial:
    """Save one planned material of a piece."""
    row = PlannedMaterial(
        piece=piece,
        position=position,
        code=plan.code,
        name=plan.name,
        stage=plan.stage,
        unit=plan.unit,
        quantity=plan.quantity,
        pack_size=plan.pack_size,
        pack_name=plan.pack_name,
        cost=plan.cost,
        **more,
    )
    row.full_clean()
    row.save()
    return row
