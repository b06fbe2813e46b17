"""Materials drawn, bought, put back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalog.selectors import shop_terms
from quoting.engine.money import to_minor
from quoting.errors import IllegalMove
from shop.jobs.access import Person
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial
from shop.jobs.selectors.rates import unit_price
from shop.jobs.services.common import held_open, hold_person, keep_before, refuse, replayed
from shop.jobs.units import PLACES, kept, said, shop_unit

_HALF_A_PLACE = Decimal(5).scaleb(-PLACES - 1)
_KEPT = ("kind", "quantity", "amount", "supplier", "invoice", "drawn_on", "note", "struck_out")


@dataclass(frozen=True)
class Drawn:
    """What was drawn: a planned material, or by code or name something that was not planned.

    `unit` is what the quantity counts; left out, the planned material's own, else each. `amount` is for
    all of it, without tax; left out, it is the price of the day, else as planned.
    """

    quantity: Decimal
    kind: str = Draw.Kind.STOCK
    material: PlannedMaterial | None = None
    code: str = ""
    name: str = ""
    unit: str = ""
    amount: Decimal | None = None
    supplier: str = ""
    invoice: str = ""
    note: str = ""


@transaction.atomic
def record_draw(
    job: Job,
    drawn: Drawn,
    *,
    on: date,
    by: Person,
    now: datetime,
    key: str = "",
    mishap: Mishap | None = None,
) -> Draw:
    """Record a draw, a purchase or what was put back.

    Raises IllegalMove when the job is closed, Refused for a quantity not above nought, a day to come, more
    put back than was taken, or a price that nobody knows.
    """
    hold_person(by)
    if known := replayed(Draw.objects.filter(by=by), key, job_id=job.pk):
        return known
    held = held_open(job)
    if not (drawn.quantity.is_finite() and drawn.quantity > 0):
        refuse(
            "quantity", "Give a quantity above 0; what is put back is a return.", "negative", drawn.quantity
        )
    if on > timezone.localdate(now) + timedelta(days=1):
        refuse("drawn_on", "This day has not come yet.", "future", on)
    planned = drawn.material
    if planned is not None and planned.piece.job_id != held.pk:
        refuse("material", "This material belongs to another job.", "other_job")
    quantity = _quantity(drawn)
    row = Draw(
        job=held,
        material=planned,
        mishap=mishap or (planned.mishap if planned is not None else None),
        kind=drawn.kind,
        code=planned.code if planned is not None else drawn.code,
        name=planned.name if planned is not None else drawn.name or drawn.code,
        unit=planned.unit if planned is not None else drawn.unit or "each",
        quantity=quantity,
        amount=_amount(drawn, quantity, on, held.minor_units),
        supplier=drawn.supplier,
        invoice=drawn.invoice,
        drawn_on=on,
        by=by,
        note=drawn.note,
        key=key or None,
    )
    _refuse_more_back(row)
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def correct_draw(draw: Draw, *, by: Person, now: datetime, reason: str, **changes: Any) -> Draw:
    """Change a draw's quantity, amount, supplier, invoice, day or note; how it read is kept."""
    row = Draw.objects.select_for_update().get(pk=draw.pk)
    held_open(row.job)
    if row.struck_out:
        raise IllegalMove("struck out", "correct", "This entry was struck out.")
    keep_before(row, _KEPT, by=by, at=now, reason=reason)
    for name, value in changes.items():
        if name not in _KEPT or name in {"kind", "struck_out"}:
            raise AssertionError(f"a draw has no {name} to correct")
        setattr(row, name, value)
    _refuse_more_back(row)
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def strike_out_draw(draw: Draw, *, by: Person, now: datetime, reason: str) -> Draw:
    """Take a draw out of every sum; it stays to be read."""
    row = Draw.objects.select_for_update().get(pk=draw.pk)
    held_open(row.job)
    keep_before(row, _KEPT, by=by, at=now, reason=reason)
    row.struck_out = True
    row.save()
    return row


def _quantity(drawn: Drawn) -> Decimal:
    """What was drawn, in the unit it is kept in."""
    unit = drawn.material.unit if drawn.material is not None else drawn.unit
    found = kept(drawn.quantity, drawn.unit, unit)
    if found is None:
        message = f"This is counted in {unit}, or in {shop_unit(unit, 'us')}."
        refuse("unit", message, "wrong_unit", drawn.unit)
    return to_minor(found, PLACES)


def _amount(drawn: Drawn, quantity: Decimal, on: date, minor_units: int) -> Decimal:
    if drawn.amount is not None:
        return drawn.amount
    planned = drawn.material
    code = planned.code if planned is not None else drawn.code
    price = unit_price(code, on) if code else None
    if price is None and planned is not None:
        price = planned.unit_price
    if price is None:
        refuse("amount", "No price is known for this; say what was paid.", "required")
    return to_minor(price * quantity, minor_units)


def _refuse_more_back(row: Draw) -> None:
    if row.kind != Draw.Kind.RETURN:
        return
    others = Draw.objects.filter(job=row.job, material=row.material, code=row.code, name=row.name)
    others = others.filter(struck_out=False).exclude(pk=row.pk)
    moves = [-one.quantity if one.kind == Draw.Kind.RETURN else one.quantity for one in others]
    taken = sum(moves, Decimal(0))
    # Pounds are kept to the milligram: 25 lb twice may be a last digit off 50 lb put back.
    if taken < row.quantity <= taken + _HALF_A_PLACE * (len(moves) + 1):
        row.quantity = taken
    if row.quantity > taken:
        system = shop_terms().unit_system
        message = f"Only {said(taken, row.unit, system)} were taken."
        refuse("quantity", message, "more_than_taken", row.quantity)
