"""What the API of jobs reads. Writing is left to the services; these only check form."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from rest_framework import serializers

from catalog.api.bodies import Known
from catalog.vocabulary import Stage
from quoting.models import Client, Quote
from shop.jobs.models import Draw, Mishap

_NOUGHT = Decimal(0)


def _amount(**options: Any) -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=14, decimal_places=4, min_value=_NOUGHT, **options)


def _key() -> serializers.CharField:
    return serializers.CharField(
        max_length=64,
        required=False,
        default="",
        allow_blank=True,
        help_text="Made by the sender; an entry sent twice is kept once. `Idempotency-Key` does as well.",
    )


def _text(length: int, **options: Any) -> serializers.CharField:
    options.setdefault("default", "")
    return serializers.CharField(max_length=length, required=False, allow_blank=True, **options)


class JobOperationWrite(Known):
    """An operation planned by hand; what is left out is taken from the catalogue by its code."""

    code = serializers.CharField(max_length=40)
    name = _text(80)
    stage = serializers.ChoiceField(choices=Stage.choices, required=False)
    role = _text(40)
    hours = _amount()
    rate = _amount(required=False)
    planned_on = serializers.DateField(required=False)


class JobMaterialWrite(Known):
    """A material planned by hand; `cost` is for all of it."""

    code = _text(40)
    name = _text(200)
    stage = serializers.CharField(max_length=20, required=False, default="cast")
    unit = serializers.CharField(max_length=10, required=False, default="each")
    quantity = serializers.DecimalField(
        max_digits=14, decimal_places=6, min_value=_NOUGHT, required=False, default=Decimal(1)
    )
    cost = _amount()


class JobPieceWrite(Known):
    """A kind of piece of a job opened by hand."""

    name = serializers.CharField(max_length=200)
    quantity = serializers.IntegerField(min_value=1, max_value=1000, required=False, default=1)
    kind = _text(40)
    price = _amount(required=False, default=_NOUGHT)
    operations: ClassVar[Any] = JobOperationWrite(many=True, required=False, default=list)
    materials: ClassVar[Any] = JobMaterialWrite(many=True, required=False, default=list)


class JobWrite(Known):
    """A job to open: from a `quote`, or by hand from a title and pieces."""

    quote = serializers.PrimaryKeyRelatedField(queryset=Quote.objects.all(), required=False)
    start = serializers.DateField(required=False, help_text="First day of work on a quote's job.")
    title = _text(200)
    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all(), required=False)
    price = _amount(required=False, default=_NOUGHT)
    breakage_allowance = _amount(required=False, default=_NOUGHT)
    overhead_rate = _amount(required=False)
    opened_on = serializers.DateField(required=False)
    due_on = serializers.DateField(required=False)
    note = _text(4000)
    pieces: ClassVar[Any] = JobPieceWrite(many=True, required=False, default=list)


class DayMove(Known):
    """A step on another day; every later step of its piece goes along."""

    piece = serializers.IntegerField(help_text="Its id in the job.")
    step = serializers.CharField(max_length=20)
    planned_on = serializers.DateField()


class JobChange(Known):
    """What may be changed of a job that is open."""

    title = serializers.CharField(max_length=200, required=False)
    due_on = serializers.DateField(required=False, allow_null=True)
    note = serializers.CharField(max_length=4000, required=False, allow_blank=True)
    days = serializers.ListField(child=DayMove(), required=False, max_length=200)


class CloseWrite(Known):
    """When a job was closed; today, if not said."""

    closed_on = serializers.DateField(required=False)


class WorkWrite(Known):
    """What somebody works on."""

    operation = serializers.IntegerField(required=False, help_text="Its id in the job.")
    mishap = serializers.IntegerField(required=False)
    role = _text(40)
    note = _text(300)
    key = _key()


class TimeWrite(WorkWrite):
    """Time that is over: `minutes` of a day, or `started_at` and `ended_at`. Person and rate: owners only."""

    minutes = serializers.DecimalField(max_digits=8, decimal_places=3, required=False)
    worked_on = serializers.DateField(required=False)
    started_at = serializers.DateTimeField(required=False)
    ended_at = serializers.DateTimeField(required=False)
    person = serializers.CharField(max_length=150, required=False, help_text="Username.")
    rate = _amount(required=False)


class StartWrite(WorkWrite):
    """A timer to start; `switch` stops one that runs."""

    at = serializers.DateTimeField(required=False, help_text="When it was started; now, if not said.")
    switch = serializers.BooleanField(required=False, default=False)


class StopWrite(Known):
    """A timer to stop: the one started with `key`, else the one that runs."""

    at = serializers.DateTimeField(required=False)
    key = _key()


class TimeChange(Known):
    """What may be corrected of an entry, and why."""

    reason = serializers.CharField(max_length=300)
    minutes = serializers.DecimalField(max_digits=8, decimal_places=3, required=False)
    worked_on = serializers.DateField(required=False)
    started_at = serializers.DateTimeField(required=False)
    ended_at = serializers.DateTimeField(required=False)
    operation = serializers.IntegerField(required=False, allow_null=True)
    mishap = serializers.IntegerField(required=False, allow_null=True)
    note = serializers.CharField(max_length=300, required=False, allow_blank=True)
    rate = _amount(required=False)


class Reason(Known):
    """Why an entry is struck out."""

    reason = serializers.CharField(max_length=300)


class DrawWrite(Known):
    """Material drawn, bought or put back. Amount, supplier and invoice are for owners and estimators."""

    kind = serializers.CharField(
        max_length=8, required=False, default=Draw.Kind.STOCK, help_text="stock, bought or return."
    )
    material = serializers.IntegerField(required=False, help_text="Id of a planned material of the job.")
    code = _text(40)
    name = _text(200)
    unit = serializers.CharField(
        max_length=10,
        required=False,
        default="",
        allow_blank=True,
        help_text="What the quantity counts: a planned material's own unit, or lb, gal, fl oz, ft, sq ft for"
        " it; of anything else its unit. Left out: the material's own, or each.",
    )
    quantity = serializers.DecimalField(max_digits=14, decimal_places=6)
    amount = _amount(required=False, help_text="For all of it, without tax; else the price of the day.")
    supplier = _text(120)
    invoice = _text(80)
    drawn_on = serializers.DateField(required=False)
    mishap = serializers.IntegerField(required=False)
    note = _text(300)
    key = _key()


class DrawChange(Known):
    """What may be corrected of a draw, and why."""

    reason = serializers.CharField(max_length=300)
    quantity = serializers.DecimalField(max_digits=14, decimal_places=6, required=False)
    amount = _amount(required=False)
    supplier = serializers.CharField(max_length=120, required=False, allow_blank=True)
    invoice = serializers.CharField(max_length=80, required=False, allow_blank=True)
    drawn_on = serializers.DateField(required=False)
    note = serializers.CharField(max_length=300, required=False, allow_blank=True)


class MishapWrite(Known):
    """Something that went wrong at an operation."""

    operation = serializers.IntegerField(help_text="Its id in the job.")
    cause = serializers.CharField(max_length=200)
    outcome = serializers.ChoiceField(choices=Mishap.Outcome.choices)
    castings = serializers.IntegerField(min_value=1, max_value=1000, required=False, default=1)
    minutes = serializers.DecimalField(
        max_digits=8, decimal_places=3, min_value=_NOUGHT, required=False, default=_NOUGHT
    )
    happened_on = serializers.DateField(required=False)
    note = _text(2000)
    key = _key()


class ProgressWrite(Known):
    """How far an operation is, 0 to 1."""

    operation = serializers.IntegerField(help_text="Its id in the job.")
    share = serializers.DecimalField(max_digits=5, decimal_places=4)
    at = serializers.DateTimeField(required=False)
    key = _key()


class FindingAccept(Known):
    """Which suggestions of the look-back to take into the catalogue."""

    hours = serializers.BooleanField(required=False, default=False)
    breakage = serializers.BooleanField(required=False, default=False)


class MonthWrite(Known):
    """A month's figures from the books."""

    opening_raw = _amount()
    opening_in_hand = _amount()
    opening_finished = _amount()
    purchases = _amount()
    direct_materials = _amount()
    indirect_materials = _amount()
    direct_labour = _amount()
    indirect_labour = _amount()
    other_overhead = _amount()
    overhead_applied = _amount()
    completed = _amount()
    sold = _amount()
    sales = _amount()
    selling = _amount(required=False, default=_NOUGHT)
    general = _amount(required=False, default=_NOUGHT)
