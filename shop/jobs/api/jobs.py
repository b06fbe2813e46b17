"""Jobs and their cost reports over the API."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import status as http
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.pages import Pages
from catalog.api.tags import Tagged
from shop.jobs.access import may_see_pay
from shop.jobs.api.asked import page_of, read, the_job
from shop.jobs.api.permissions import Money, Running
from shop.jobs.api.queries import JobQuery, narrowed
from shop.jobs.api.rows import JobRow
from shop.jobs.api.serializers import CloseWrite, JobChange, JobWrite
from shop.jobs.api.shown import job_row, job_whole
from shop.jobs.documents.responses import csv_response, pdf_response
from shop.jobs.models import Job, JobDate
from shop.jobs.selectors.by_hand import material_plan, operation_plan
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.jobs import jobs
from shop.jobs.selectors.report_object import report_object
from shop.jobs.services.common import refuse
from shop.jobs.services.days import move_day
from shop.jobs.services.jobs import (
    PieceWanted,
    change_job,
    close_job,
    open_by_hand,
    open_from_quote,
    reopen_job,
)

OBJECT = {200: OpenApiTypes.OBJECT}


@extend_schema(tags=["jobs"])
class JobsView(APIView):
    """The shop's jobs."""

    permission_classes = (Running,)
    pagination_class = Pages

    @extend_schema(operation_id="jobs_list", parameters=[JobQuery], responses=JobRow(many=True))
    def get(self, request: Request) -> Response:
        """Jobs, newest first."""
        asked = JobQuery.read(request)
        found = jobs(search=asked.pop("search"), status=asked.pop("status"))
        return page_of(self, request, narrowed(found, asked), lambda one: job_row(one, request.user))

    @extend_schema(request=JobWrite, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request) -> Response:
        """Open a job, from a quote or by hand."""
        job = _open(read(JobWrite, request), request)
        return Response(job_whole(job, request.user), status=http.HTTP_201_CREATED)


class OneJob(Tagged):
    """A job's address, or one that changes its state: its tag is that of the job as it is shown."""

    permission_classes = (Running,)

    def retrieve(self, request: Request, pk: int) -> Response:
        """The job as it is shown to this person."""
        return Response(job_whole(the_job(pk), request.user))

    def lock(self, **kwargs: Any) -> None:
        """Hold the job for the rest of the transaction."""
        Job.objects.select_for_update().filter(pk=kwargs["pk"]).first()


@extend_schema(tags=["jobs"])
class JobView(OneJob):
    """One job."""

    @extend_schema(responses=OBJECT)
    def get(self, request: Request, pk: int) -> Response:
        """The job with its pieces, what is planned of each, and its days."""
        return self.retrieve(request, pk)

    @extend_schema(request=JobChange, responses=OBJECT)
    def patch(self, request: Request, pk: int) -> Response:
        """Change its title, the day promised, the note, or the days of its steps."""
        job, fields = the_job(pk), read(JobChange, request)
        moves = fields.pop("days", ())
        with transaction.atomic():
            change_job(job, by=request.user, **fields)
            for at, move in enumerate(moves):
                rows = JobDate.objects.filter(piece__job=job, piece=move["piece"], step=move["step"])
                if (day := rows.first()) is None:
                    refuse(f"days[{at}].step", "This job has no such step.", "unknown", move["step"])
                move_day(day, move["planned_on"], by=request.user, path=f"days[{at}].planned_on")
        return self.retrieve(request, pk)


@extend_schema(tags=["jobs"])
class CloseView(OneJob):
    """Closing a job."""

    @extend_schema(request=CloseWrite, responses=OBJECT)
    def post(self, request: Request, pk: int) -> Response:
        """Close it: nothing more is to come."""
        today = timezone.localdate()
        on = read(CloseWrite, request).get("closed_on", today)
        if on > today:
            refuse("closed_on", "This day has not come yet.", "future", on)
        close_job(the_job(pk), on=on, by=request.user)
        return self.retrieve(request, pk)


@extend_schema(tags=["jobs"])
class ReopenView(OneJob):
    """Opening a closed job again."""

    @extend_schema(request=None, responses=OBJECT)
    def post(self, request: Request, pk: int) -> Response:
        """Open it again."""
        reopen_job(the_job(pk), by=request.user)
        return self.retrieve(request, pk)


@extend_schema(tags=["jobs"])
class ReportView(APIView):
    """What a job cost, will cost, and why it differs from the plan."""

    permission_classes = (Money,)

    @extend_schema(responses=OBJECT)
    def get(self, request: Request, pk: int) -> Response:
        """The cost report as it is now."""
        return Response(_report(the_job(pk), request))


@extend_schema(tags=["jobs"])
class ReportCsvView(APIView):
    """The cost report as a table."""

    permission_classes = (Money,)

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request, pk: int) -> HttpResponse:
        """The cost report as CSV (RFC 4180)."""
        return csv_response(_report(the_job(pk), request))


@extend_schema(tags=["jobs"])
class ReportPdfView(APIView):
    """The cost report on paper."""

    permission_classes = (Money,)
    pace = "heavy"

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request: Request, pk: int) -> HttpResponse:
        """The cost report as PDF."""
        return pdf_response(_report(the_job(pk), request))


def _report(job: Job, request: Request) -> dict[str, Any]:
    return report_object(job, report_of(job, now=timezone.now()), pay=may_see_pay(request.user))


def _open(fields: dict[str, Any], request: Request) -> Job:
    on = fields.pop("opened_on", timezone.localdate())
    quote, start = fields.pop("quote", None), fields.pop("start", None)
    if quote is not None:
        return open_from_quote(quote, on=on, start=start, today=timezone.localdate(), by=request.user)
    pieces = [
        PieceWanted(
            name=piece["name"],
            quantity=piece["quantity"],
            kind=piece["kind"],
            price=piece["price"],
            operations=[operation_plan(one, on, f"pieces[{at}]") for one in piece["operations"]],
            materials=[material_plan(one) for one in piece["materials"]],
        )
        for at, piece in enumerate(fields.pop("pieces"))
    ]
    return open_by_hand(on=on, pieces=pieces, by=request.user, **fields)
