"""Photographs of a job: put on it from the bench's phone or the office, shown, taken off."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.answers import picture_answer
from catalog.pictures import PHOTOGRAPH
from shop.jobs.access import may_change_entry
from shop.jobs.models import Job, JobPhotograph
from shop.jobs.services.common import refuse
from shop.jobs.services.photographs import add_photograph, remove_photograph
from shop.jobs.web.doors import loggers
from shop.jobs.web.entries import page_again
from shop.jobs.web.sent import refused, tried
from shop.jobs.web.typed import Typed


@require_POST
@loggers
def add(request: HttpRequest, number: str) -> HttpResponse:
    """Put a photograph on a job."""
    job = get_object_or_404(Job, number=number)
    sent = refused(request, "photograph", lambda: _added(request, job), "The photograph is on the job.")
    return page_again(request, number, sent)


def _added(request: HttpRequest, job: Job) -> None:
    sent = request.FILES.get("picture")
    if sent is None:
        refuse("picture", "Choose or take a photograph.", "required")
    content = sent.read(PHOTOGRAPH.most_bytes + 1)
    add_photograph(job, content, note=Typed(request.POST).text("note"), by=request.user, now=timezone.now())


@require_safe
@loggers
def show(request: HttpRequest, number: str, photograph: int) -> HttpResponse:
    """The picture, for everybody of the shop."""
    rows = JobPhotograph.objects.select_related("picture")
    row = get_object_or_404(rows, pk=photograph, job__number=number)
    return picture_answer(request, row.picture, f"{number}-{row.pk}")


@require_POST
@loggers
def remove(request: HttpRequest, number: str, photograph: int) -> HttpResponse:
    """Take it off: one's own, owners anybody's."""
    row = get_object_or_404(JobPhotograph, pk=photograph, job__number=number)
    if not may_change_entry(request.user, row.by_id):
        raise PermissionDenied
    tried(
        request,
        lambda: remove_photograph(row, by=request.user, now=timezone.now()),
        "The photograph is off the job.",
    )
    return page_again(request, number, None)
