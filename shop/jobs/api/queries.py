"""How the lists below jobs may be narrowed and put in order."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db import models
from rest_framework import serializers

from catalog.api.pages import Query, ordering, row_id
from shop.jobs.models import Draw, Job, Mishap

M = TypeVar("M", bound=models.Model)


class JobQuery(Query):
    """The shop's jobs."""

    search = serializers.CharField(required=False, default="", help_text="Words of number, title, client.")
    status = serializers.ChoiceField(choices=Job.Status.choices, required=False, default="")
    client = row_id("Its id.")
    quote = row_id("Its id.")
    opened_from = serializers.DateField(required=False)
    opened_until = serializers.DateField(required=False)
    due_until = serializers.DateField(required=False, help_text="Promised for this day or earlier.")
    ordering = ordering("number", "opened_on", "due_on", "title")


class TimeQuery(Query):
    """Hours worked on a job."""

    person = serializers.CharField(required=False, help_text="Username.")
    operation = row_id("Its id in the job.")
    worked_from = serializers.DateField(required=False)
    worked_until = serializers.DateField(required=False)
    running = serializers.BooleanField(required=False, allow_null=True, default=None)
    struck_out = serializers.BooleanField(required=False, allow_null=True, default=None)
    ordering = ordering("worked_on")


class DrawQuery(Query):
    """Materials of a job."""

    kind = serializers.ChoiceField(choices=Draw.Kind.choices, required=False)
    material = row_id("Id of a planned material.")
    drawn_from = serializers.DateField(required=False)
    drawn_until = serializers.DateField(required=False)
    struck_out = serializers.BooleanField(required=False, allow_null=True, default=None)
    ordering = ordering("drawn_on")


class MishapQuery(Query):
    """Mishaps of a job."""

    outcome = serializers.ChoiceField(choices=Mishap.Outcome.choices, required=False)
    ordering = ordering("happened_on")


class ProgressQuery(Query):
    """What was said of a job's progress."""

    operation = row_id("Its id in the job.")
    ordering = ordering("at")


class PeriodQuery(Query):
    """From the month of one day to that of another."""

    paged = False
    first = serializers.DateField(required=False, help_text="A day of the first month; else this January.")
    last = serializers.DateField(required=False, help_text="A day of the last month; else today.")


_LOOK_UPS = {
    "client": "client_id",
    "quote": "quote_id",
    "opened_from": "opened_on__gte",
    "opened_until": "opened_on__lte",
    "due_until": "due_on__lte",
    "person": "person__username",
    "operation": "operation_id",
    "worked_from": "worked_on__gte",
    "worked_until": "worked_on__lte",
    "running": "seconds__isnull",
    "struck_out": "struck_out",
    "kind": "kind",
    "material": "material_id",
    "drawn_from": "drawn_on__gte",
    "drawn_until": "drawn_on__lte",
    "outcome": "outcome",
}


def narrowed(rows: models.QuerySet[M], asked: dict[str, Any]) -> models.QuerySet[M]:
    """The rows that were asked for, in the order asked for."""
    told = {
        _LOOK_UPS[name]: value for name, value in asked.items() if name in _LOOK_UPS and value is not None
    }
    found = rows.filter(**told)
    return found.order_by(asked["ordering"], "pk") if "ordering" in asked else found
