"""From what a request asks to what the services take: rows of the job by id, the sender's key."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django.contrib.auth import get_user_model
from django.db import models
from django.shortcuts import get_object_or_404
from rest_framework import serializers
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.pages import Pages
from shop.jobs.access import Person, may_see_pay
from shop.jobs.models import Job, Mishap, PlannedOperation
from shop.jobs.selectors.jobs import jobs
from shop.jobs.services.common import refuse
from shop.jobs.services.time import Work

M = TypeVar("M", bound=models.Model)
_QUOTED = re.compile(r'\A"([^"\\]{1,64})"\Z')


def the_job(pk: int) -> Job:
    """The job of an address, or 404."""
    return get_object_or_404(jobs(), pk=pk)


def page_of(
    view: APIView, request: Request, rows: models.QuerySet[M], shown: Callable[[M], dict[str, Any]]
) -> Response:
    """A page of rows, each as it is shown."""
    pages = Pages()
    found = pages.paginate_queryset(rows, request, view=view)
    return pages.get_paginated_response([shown(one) for one in found or ()])


def read(serializer: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    """The body as a serializer reads it; a key in the `Idempotency-Key` header stands for one in the body."""
    asked = serializer(data=request.data)
    asked.is_valid(raise_exception=True)
    fields: dict[str, Any] = dict(asked.validated_data)
    header = request.headers.get("Idempotency-Key", "")
    if header and "key" in asked.fields and not fields.get("key"):
        quoted = _QUOTED.match(header.strip())
        fields["key"] = quoted.group(1) if quoted else header.strip()[:64]
    return fields


def row_of(rows: models.QuerySet[M], pk: int | None, path: str) -> M | None:
    """A row of the job by its id. Refused where the job has none such."""
    if pk is None:
        return None
    found = rows.filter(pk=pk).first()
    if found is None:
        refuse(path, "This job has no such row.", "unknown", pk)
    return found


def operation_of(job: Job, pk: int) -> PlannedOperation:
    """A planned operation of the job by its id."""
    found = row_of(
        PlannedOperation.objects.filter(piece__job=job).select_related("piece__job"), pk, "operation"
    )
    if found is None:
        raise AssertionError("an id was given")
    return found


def work_of(job: Job, fields: Mapping[str, Any], user: Person) -> Work:
    """What is worked on. Only owners may say a rate."""
    if "rate" in fields and not may_see_pay(user):
        raise PermissionDenied("Rates are for owners.")
    operations = PlannedOperation.objects.filter(piece__job=job).select_related("piece", "mishap")
    return Work(
        operation=row_of(operations, fields.get("operation"), "operation"),
        mishap=row_of(Mishap.objects.filter(job=job), fields.get("mishap"), "mishap"),
        role=fields.get("role", ""),
        rate=fields.get("rate"),
    )


def person_of(fields: Mapping[str, Any], user: Person) -> Person:
    """Whose time it is: one's own; owners may enter anybody's."""
    wanted = fields.get("person")
    if not wanted or wanted == user.get_username():
        return user
    if not may_see_pay(user):
        raise PermissionDenied("Only owners enter the time of others.")
    found = get_user_model().objects.filter(username=wanted, is_active=True).first()
    if found is None:
        refuse("person", "Nobody of the shop has that username.", "unknown", wanted)
    return found
