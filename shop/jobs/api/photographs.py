"""Photographs of a job over the API."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import PermissionDenied
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.answers import picture_answer
from catalog.api.pictures import PICTURE, AsJpeg, AsPng, PictureField, sent_picture
from catalog.api.serializers import PictureSerializer
from catalog.api.tags import Tagged
from catalog.pictures import PHOTOGRAPH
from shop.jobs.access import may_change_entry
from shop.jobs.api.asked import the_job
from shop.jobs.api.permissions import Logging
from shop.jobs.models import JobPhotograph
from shop.jobs.selectors import jobs as reads
from shop.jobs.services.photographs import add_photograph, remove_photograph


class PhotographSerializer(serializers.ModelSerializer[JobPhotograph]):
    """A photograph on a job; its bytes have an address of their own."""

    by = serializers.CharField(source="by.username", default="")
    picture = PictureSerializer()

    class Meta:
        model = JobPhotograph
        fields = ("id", "job", "note", "at", "by", "picture")
        read_only_fields = fields


class PhotographList(serializers.Serializer[Any]):
    """The photographs of a job."""

    results = PhotographSerializer(many=True)


class PhotographWrite(serializers.Serializer[Any]):
    """A photograph: JPEG or PNG of up to 20 MB and 50 or 20 million pixels, and what it shows in words."""

    picture = PictureField()
    note = serializers.CharField(max_length=200, required=False, default="", allow_blank=True)


@extend_schema(tags=["jobs"])
class PhotographsView(Tagged):
    """The photographs of a job."""

    permission_classes = (Logging,)
    parser_classes = (MultiPartParser,)
    pace = "heavy"

    @extend_schema(operation_id="jobs_photographs_list", responses=PhotographList)
    def get(self, request: Request, pk: int) -> Response:
        """What is on the job, oldest first."""
        rows = PhotographSerializer(reads.photographs(the_job(pk)), many=True)
        return Response({"results": rows.data})

    @extend_schema(request=PhotographWrite, responses={201: PhotographSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Put one on the job; it is made anew, with nothing but what is seen. Sent twice: kept once."""
        job, asked = the_job(pk), PhotographWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        content = sent_picture(asked.validated_data["picture"], PHOTOGRAPH)
        note = asked.validated_data["note"]
        made = add_photograph(job, content, note=note, by=request.user, now=timezone.now())
        return Response(PhotographSerializer(made).data, status=status.HTTP_201_CREATED)


@extend_schema(tags=["jobs"])
class PhotographView(Tagged):
    """One photograph."""

    permission_classes = (Logging,)
    renderer_classes = (JSONRenderer, AsJpeg, AsPng)

    @extend_schema(operation_id="jobs_photograph", responses=PICTURE)
    def get(self, request: Request, pk: int, photograph: int) -> HttpResponse:
        """The picture."""
        row = self._row(pk, photograph)
        return picture_answer(request._request, row.picture, f"{row.job.number}-{row.pk}")

    @extend_schema(operation_id="jobs_photograph_remove", responses={204: None})
    def delete(self, request: Request, pk: int, photograph: int) -> Response:
        """Take it off the job: one's own, owners anybody's."""
        row = self._row(pk, photograph)
        if not may_change_entry(request.user, row.by_id):
            raise PermissionDenied("Photographs of others are for owners to take off.")
        remove_photograph(row, by=request.user, now=timezone.now())
        return Response(status=status.HTTP_204_NO_CONTENT)

    def _row(self, pk: int, photograph: int) -> JobPhotograph:
        rows = JobPhotograph.objects.select_related("picture", "job", "by")
        return get_object_or_404(rows, pk=photograph, job_id=pk)
