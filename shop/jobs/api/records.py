"""Time, draws, mishaps and progress of a job over the API."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.pages import Pages
from catalog.api.tags import Tagged
from shop.jobs.access import Person, may_change_entry, may_see_money, may_see_pay
from shop.jobs.api import serializers as written
from shop.jobs.api.asked import operation_of, page_of, person_of, read, row_of, the_job, work_of
from shop.jobs.api.permissions import Logging
from shop.jobs.api.queries import DrawQuery, MishapQuery, ProgressQuery, TimeQuery, narrowed
from shop.jobs.api.rows import DrawRow, MishapRow, ProgressRow, TimeRow
from shop.jobs.api.shown import draw_row, mishap_row, progress_row, time_row
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation, TimeEntry
from shop.jobs.selectors import jobs as reads
from shop.jobs.services.common import refuse
from shop.jobs.services.draws import Drawn, correct_draw, record_draw, strike_out_draw
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.mishaps_undone import strike_out_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import add_minutes, add_stretch, start_timer, stop_timer
from shop.jobs.services.time_corrections import correct_time, strike_out_time


class Records(APIView):
    """What the addresses below a job share."""

    permission_classes = (Logging,)
    pagination_class = Pages

    def whose(self, user: Person) -> Person:
        """Whose entries somebody sees: owners and estimators everybody's, the bench its own."""
        return None if may_see_money(user) else user


@extend_schema(tags=["jobs"])
class TimeView(Records):
    """Hours worked on a job."""

    @extend_schema(parameters=[TimeQuery], responses=TimeRow(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """Entries, newest first: of everybody, for the bench one's own."""
        rows = reads.time_entries(the_job(pk), person=self.whose(request.user))
        rows = narrowed(rows, TimeQuery.read(request))
        return page_of(self, request, rows, lambda one: time_row(one, request.user))

    @extend_schema(request=written.TimeWrite, responses={201: TimeRow})
    def post(self, request: Request, pk: int) -> Response:
        """Enter time that is over."""
        job, fields, now = the_job(pk), read(written.TimeWrite, request), timezone.now()
        made = _entered(job, fields, request.user, now)
        return Response(time_row(made, request.user), status=status.HTTP_201_CREATED)


@extend_schema(tags=["jobs"])
class StartView(Records):
    """Starting one's timer."""

    @extend_schema(request=written.StartWrite, responses={201: TimeRow})
    def post(self, request: Request, pk: int) -> Response:
        """Start the timer on an operation of this job."""
        job, fields, now = the_job(pk), read(written.StartWrite, request), timezone.now()
        made = start_timer(
            job,
            work_of(job, fields, request.user),
            person=request.user,
            at=fields.get("at", now),
            now=now,
            key=fields["key"],
            switch=fields["switch"],
            note=fields["note"],
        )
        return Response(time_row(made, request.user), status=status.HTTP_201_CREATED)


@extend_schema(tags=["jobs"])
class StopView(Records):
    """Stopping one's timer."""

    @extend_schema(request=written.StopWrite, responses=TimeRow)
    def post(self, request: Request, pk: int) -> Response:
        """Stop the timer; stopping it twice at the same time changes nothing."""
        the_job(pk)
        fields, now = read(written.StopWrite, request), timezone.now()
        made = stop_timer(person=request.user, at=fields.get("at", now), now=now, key=fields["key"])
        return Response(time_row(made, request.user))


@extend_schema(tags=["jobs"])
class TimeEntryView(Tagged, Records):
    """One entry of time."""

    @extend_schema(responses=TimeRow)
    def get(self, request: Request, pk: int, entry: int) -> Response:
        """The entry, with how it read before: the bench its own, others everybody's."""
        row = get_object_or_404(reads.time_entries(the_job(pk)), pk=entry)
        if self.whose(request.user) not in (None, row.person):
            raise PermissionDenied("Time of others is not for the bench.")
        return Response(time_row(row, request.user))

    def lock(self, **kwargs: Any) -> None:
        """Hold the entry for the rest of the transaction."""
        TimeEntry.objects.select_for_update().filter(pk=kwargs["entry"]).first()

    @extend_schema(request=written.TimeChange, responses=TimeRow)
    def patch(self, request: Request, pk: int, entry: int) -> Response:
        """Correct it: one's own, owners anybody's; how it read is kept."""
        job, row = the_job(pk), self._entry(request, pk, entry)
        fields = read(written.TimeChange, request)
        if "rate" in fields and not may_see_pay(request.user):
            raise PermissionDenied("Rates are for owners.")
        if "operation" in fields:
            planned = PlannedOperation.objects.filter(piece__job=job)
            fields["operation"] = row_of(planned, fields["operation"], "operation")
        if "mishap" in fields:
            fields["mishap"] = row_of(Mishap.objects.filter(job=job), fields["mishap"], "mishap")
        now = timezone.now()
        made = correct_time(row, by=request.user, now=now, reason=fields.pop("reason"), **fields)
        return Response(time_row(made, request.user))

    @extend_schema(operation_id="jobs_time_strike_out", request=written.Reason, responses=TimeRow)
    def post(self, request: Request, pk: int, entry: int) -> Response:
        """Strike it out; it stays to be read."""
        row, fields, now = self._entry(request, pk, entry), read(written.Reason, request), timezone.now()
        made = strike_out_time(row, by=request.user, now=now, reason=fields["reason"])
        return Response(time_row(made, request.user))

    def _entry(self, request: Request, pk: int, entry: int) -> TimeEntry:
        row = get_object_or_404(TimeEntry, pk=entry, job_id=pk)
        if not may_change_entry(request.user, row.person_id):
            raise PermissionDenied("Time of others is for owners.")
        return row


@extend_schema(tags=["jobs"])
class DrawsView(Records):
    """Materials of a job."""

    @extend_schema(parameters=[DrawQuery], responses=DrawRow(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """Draws, newest first: of everybody, for the bench one's own."""
        rows = reads.draws(the_job(pk), person=self.whose(request.user))
        rows = narrowed(rows, DrawQuery.read(request))
        return page_of(self, request, rows, lambda one: draw_row(one, request.user))

    @extend_schema(request=written.DrawWrite, responses={201: DrawRow})
    def post(self, request: Request, pk: int) -> Response:
        """Record a draw, a purchase or a return."""
        job, fields, now = the_job(pk), read(written.DrawWrite, request), timezone.now()
        _refuse_money(request, fields)
        made = record_draw(
            job,
            _drawn(job, fields),
            on=fields.get("drawn_on", timezone.localdate(now)),
            by=request.user,
            now=now,
            key=fields["key"],
            mishap=row_of(Mishap.objects.filter(job=job), fields.get("mishap"), "mishap"),
        )
        return Response(draw_row(made, request.user), status=status.HTTP_201_CREATED)


@extend_schema(tags=["jobs"])
class DrawView(Tagged, Records):
    """One draw."""

    @extend_schema(responses=DrawRow)
    def get(self, request: Request, pk: int, draw: int) -> Response:
        """The draw, with how it read before: the bench its own, others everybody's."""
        row = get_object_or_404(reads.draws(the_job(pk)), pk=draw)
        if self.whose(request.user) not in (None, row.by):
            raise PermissionDenied("Draws of others are not for the bench.")
        return Response(draw_row(row, request.user))

    def lock(self, **kwargs: Any) -> None:
        """Hold the draw for the rest of the transaction."""
        Draw.objects.select_for_update().filter(pk=kwargs["draw"]).first()

    @extend_schema(request=written.DrawChange, responses=DrawRow)
    def patch(self, request: Request, pk: int, draw: int) -> Response:
        """Correct it: one's own, owners anybody's; how it read is kept."""
        row, fields = self._draw(request, pk, draw), read(written.DrawChange, request)
        _refuse_money(request, fields)
        made = correct_draw(row, by=request.user, now=timezone.now(), reason=fields.pop("reason"), **fields)
        return Response(draw_row(made, request.user))

    @extend_schema(operation_id="jobs_draws_strike_out", request=written.Reason, responses=DrawRow)
    def post(self, request: Request, pk: int, draw: int) -> Response:
        """Strike it out; it stays to be read."""
        row, fields = self._draw(request, pk, draw), read(written.Reason, request)
        made = strike_out_draw(row, by=request.user, now=timezone.now(), reason=fields["reason"])
        return Response(draw_row(made, request.user))

    def _draw(self, request: Request, pk: int, draw: int) -> Draw:
        row = get_object_or_404(Draw, pk=draw, job_id=pk)
        if not may_change_entry(request.user, row.by_id):
            raise PermissionDenied("Draws of others are for owners.")
        return row


@extend_schema(tags=["jobs"])
class MishapsView(Records):
    """Mishaps of a job."""

    @extend_schema(parameters=[MishapQuery], responses=MishapRow(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """Mishaps in order, with what has to be done again."""
        rows = narrowed(reads.mishaps(the_job(pk)), MishapQuery.read(request))
        return page_of(self, request, rows, mishap_row)

    @extend_schema(request=written.MishapWrite, responses={201: MishapRow})
    def post(self, request: Request, pk: int) -> Response:
        """Record a mishap; a recast plans again what has to be done again."""
        job, fields, now = the_job(pk), read(written.MishapWrite, request), timezone.now()
        told = Happened(
            operation=operation_of(job, fields["operation"]),
            cause=fields["cause"],
            outcome=fields["outcome"],
            on=fields.get("happened_on", timezone.localdate(now)),
            castings=fields["castings"],
            minutes=fields["minutes"],
            note=fields["note"],
        )
        made = record_mishap(told, by=request.user, now=now, key=fields["key"])
        return Response(mishap_row(made), status=status.HTTP_201_CREATED)


@extend_schema(tags=["jobs"])
class MishapView(Tagged, Records):
    """One mishap."""

    @extend_schema(responses=MishapRow)
    def get(self, request: Request, pk: int, mishap: int) -> Response:
        """The mishap, with the operations to be done again."""
        return Response(mishap_row(get_object_or_404(reads.mishaps(the_job(pk)), pk=mishap)))

    def lock(self, **kwargs: Any) -> None:
        """Hold the mishap for the rest of the transaction."""
        Mishap.objects.select_for_update().filter(pk=kwargs["mishap"]).first()

    @extend_schema(operation_id="jobs_mishaps_take_back", request=written.Reason, responses=MishapRow)
    def post(self, request: Request, pk: int, mishap: int) -> Response:
        """Take it back with what it planned again; nothing may be booked on it. It is told once more."""
        row = get_object_or_404(reads.mishaps(the_job(pk)), pk=mishap)
        if not may_change_entry(request.user, row.by_id):
            raise PermissionDenied("Mishaps of others are for owners.")
        shown, fields = mishap_row(row), read(written.Reason, request)
        strike_out_mishap(row, by=request.user, now=timezone.now(), reason=fields["reason"])
        return Response(shown)


@extend_schema(tags=["jobs"])
class ProgressView(Records):
    """How far the operations of a job are."""

    @extend_schema(parameters=[ProgressQuery], responses=ProgressRow(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """All that was said, oldest first."""
        rows = narrowed(reads.progress(the_job(pk)), ProgressQuery.read(request))
        return page_of(self, request, rows, progress_row)

    @extend_schema(request=written.ProgressWrite, responses={201: ProgressRow})
    def post(self, request: Request, pk: int) -> Response:
        """Say how far an operation is."""
        job, fields, now = the_job(pk), read(written.ProgressWrite, request), timezone.now()
        made = record_progress(
            operation_of(job, fields["operation"]),
            fields["share"],
            by=request.user,
            at=fields.get("at", now),
            now=now,
            key=fields["key"],
        )
        return Response(progress_row(made), status=status.HTTP_201_CREATED)


def _entered(job: Job, fields: dict[str, Any], user: Person, now: datetime) -> TimeEntry:
    """Time that is over, by minutes or by its two instants."""
    person, work = person_of(fields, user), work_of(job, fields, user)
    common: dict[str, Any] = {"person": person, "now": now, "key": fields["key"], "note": fields["note"]}
    if "minutes" in fields:
        day = fields.get("worked_on", timezone.localdate(now))
        return add_minutes(job, work, minutes=fields["minutes"], worked_on=day, **common)
    if "started_at" not in fields or "ended_at" not in fields:
        refuse("minutes", "Give minutes, or started_at and ended_at.", "required")
    return add_stretch(job, work, begun=fields["started_at"], ended=fields["ended_at"], **common)


def _drawn(job: Job, fields: dict[str, Any]) -> Drawn:
    """What was drawn, bought or put back."""
    planned = PlannedMaterial.objects.filter(piece__job=job).select_related("piece")
    return Drawn(
        quantity=fields["quantity"],
        kind=fields["kind"],
        material=row_of(planned, fields.get("material"), "material"),
        code=fields["code"],
        name=fields["name"],
        unit=fields["unit"],
        amount=fields.get("amount"),
        supplier=fields["supplier"],
        invoice=fields["invoice"],
        note=fields["note"],
    )


def _refuse_money(request: Request, fields: dict[str, Any]) -> None:
    if may_see_money(request.user):
        return
    if any(fields.get(name) for name in ("amount", "supplier", "invoice")):
        raise PermissionDenied("What was paid is for owners and estimators.")
