"""How the rows that `shown` makes read: the description of what the API answers.

What stands only in answers to owners, or to owners and estimators, is not required.
"""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers

from shop.jobs.models import Job, Mishap


def _text(**options: Any) -> serializers.CharField:
    return serializers.CharField(**options)


def _id(**options: Any) -> serializers.IntegerField:
    return serializers.IntegerField(**options)


class JobRow(serializers.Serializer[Any]):
    """A job in a list."""

    id = _id()
    number = _text()
    title = _text()
    client = _text()
    quote = _id(allow_null=True)
    status = serializers.ChoiceField(choices=Job.Status.choices)
    opened_on = serializers.DateField()
    due_on = serializers.DateField(allow_null=True)
    closed_on = serializers.DateField(allow_null=True)
    currency = _text(required=False, help_text="Owners and estimators; so are the next three.")
    price = _text(required=False)
    breakage_allowance = _text(required=False)
    overhead_rate = _text(required=False)


class CorrectionRow(serializers.Serializer[Any]):
    """How an entry read before, who changed it, when and why."""

    at = serializers.DateTimeField()
    by = _text()
    reason = _text()
    before = serializers.DictField()


class TimeRow(serializers.Serializer[Any]):
    """An entry of time; `hours` is null while its timer runs."""

    id = _id()
    job = _id()
    operation = _id(allow_null=True)
    mishap = _id(allow_null=True)
    person = _text()
    worked_on = serializers.DateField()
    started_at = serializers.DateTimeField(allow_null=True)
    ended_at = serializers.DateTimeField(allow_null=True)
    running = serializers.BooleanField()
    hours = _text(allow_null=True)
    note = _text()
    struck_out = serializers.BooleanField()
    key = _text()
    corrections: ClassVar[Any] = CorrectionRow(many=True)
    rate = _text(required=False, help_text="Owners.")


class DrawRow(serializers.Serializer[Any]):
    """A draw, purchase or return."""

    id = _id()
    job = _id()
    material = _id(allow_null=True)
    mishap = _id(allow_null=True)
    kind = _text(help_text="stock, bought or return.")
    code = _text()
    name = _text()
    unit = _text()
    quantity = _text()
    drawn_on = serializers.DateField()
    by = _text()
    note = _text()
    struck_out = serializers.BooleanField()
    key = _text()
    corrections: ClassVar[Any] = CorrectionRow(many=True)
    amount = _text(required=False, help_text="Owners and estimators; so are the next two.")
    supplier = _text(required=False)
    invoice = _text(required=False)


class AgainRow(serializers.Serializer[Any]):
    """An operation to be done again."""

    id = _id()
    operation = _text()
    name = _text()
    hours = _text()


class MishapRow(serializers.Serializer[Any]):
    """A mishap, with the operations to be done again."""

    id = _id()
    job = _id()
    piece = _id()
    operation = _text()
    stage = _text()
    cause = _text()
    outcome = serializers.ChoiceField(choices=Mishap.Outcome.choices)
    castings = _id()
    happened_on = serializers.DateField()
    by = _text()
    note = _text()
    key = _text()
    again: ClassVar[Any] = AgainRow(many=True)


class ProgressRow(serializers.Serializer[Any]):
    """One word on how far an operation is."""

    id = _id()
    operation = _id()
    share = _text()
    at = serializers.DateTimeField()
    by = _text()
    key = _text()
