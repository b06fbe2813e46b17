"""Looking back over jobs, and the month, over the API."""

from __future__ import annotations

from dataclasses import asdict

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.errors import NoSuchRow
from shop.jobs.api.asked import read
from shop.jobs.api.permissions import Owners
from shop.jobs.api.queries import PeriodQuery
from shop.jobs.api.serializers import FindingAccept, MonthWrite
from shop.jobs.overhead import MonthFigures, month_result
from shop.jobs.selectors.lookback import finding
from shop.jobs.selectors.lookback_object import look_back_object, period_object
from shop.jobs.services.common import refuse
from shop.jobs.services.standards import accept_finding

OBJECT = {200: OpenApiTypes.OBJECT}


@extend_schema(tags=["look-back"])
class LookBackView(APIView):
    """What finished jobs say."""

    permission_classes = (Owners,)

    @extend_schema(responses=OBJECT)
    def get(self, request: Request) -> Response:
        """Bias, spread, suggestions, breakage, margins, with how many jobs stand behind each."""
        return Response(look_back_object(timezone.localdate(), now=timezone.now()))


@extend_schema(tags=["look-back"])
class AcceptView(APIView):
    """Taking a suggestion into the catalogue."""

    permission_classes = (Owners,)

    @extend_schema(request=FindingAccept, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, code: str) -> Response:
        """Set a new standard from today; the old one stays."""
        fields, today = read(FindingAccept, request), timezone.localdate()
        found = finding(code, today)
        if found is None:
            raise NoSuchRow("operation", code)
        made = accept_finding(
            found,
            hours=fields["hours"],
            breakage=fields["breakage"],
            on=today,
            who=request.user.get_username(),
        )
        shown = {
            "operation": code,
            "valid_from": made.valid_from,
            "setup_hours": made.setup_hours,
            "per_driver_hours": made.per_driver_hours,
            "minimum_hours": made.minimum_hours,
            "breakage": made.breakage,
            "note": made.note,
            "entered_by": made.entered_by,
        }
        return Response(shown, status=status.HTTP_201_CREATED)


@extend_schema(tags=["reports"])
class PeriodsView(APIView):
    """The shop month by month."""

    permission_classes = (Owners,)

    @extend_schema(responses=OBJECT, parameters=[PeriodQuery])
    def get(self, request: Request) -> Response:
        """Quoted, won, hours, cost and margin by month, by default this year; promises open."""
        asked, today = PeriodQuery.read(request), timezone.localdate()
        first = asked.get("first", today.replace(month=1, day=1))
        last = asked.get("last", today)
        if not 0 <= (last - first).days <= 3660:
            refuse("last", "Give a period of up to ten years, its first day first.", "out_of_range", last)
        return Response(period_object(first, last, now=timezone.now()))


@extend_schema(tags=["reports"])
class MonthView(APIView):
    """A month's costs through the accounts, reckoned from the figures given; nothing is kept."""

    permission_classes = (Owners,)

    @extend_schema(request=MonthWrite, responses=OBJECT)
    def post(self, request: Request) -> Response:
        """Closing raw material, work in hand and finished jobs; overhead under-applied; profit."""
        made = month_result(MonthFigures(**read(MonthWrite, request)))
        return Response({name: str(amount) for name, amount in asdict(made).items()})
