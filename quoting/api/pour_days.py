"""A pour on a day, over the API."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.pages import Query
from quoting.api.outlook_figures import PourDayRead
from quoting.api.permissions import Quoting
from quoting.documents.pour_day import pour_day_object
from quoting.engine.estimate.pour_day import LONGEST_FORECAST
from quoting.engine.takeoff.weather import Weather
from quoting.models import SavedPiece
from quoting.selectors.estimates import pour_day_document
from quoting.selectors.pieces import newest_revision

AIR = ("air_c", "humidity", "wind_kmh", "concrete_c")


class PourDayQuery(Query):
    """When, and in what weather; of the air all four or none."""

    paged = False

    day = serializers.DateField(required=False, help_text="Today where left out.")
    forecast_c = serializers.ListField(
        child=serializers.FloatField(),
        required=False,
        default=list,
        max_length=LONGEST_FORECAST,
        help_text="Mean temperatures where it cures, from that day on, once for each day.",
    )
    air_c = serializers.FloatField(required=False, help_text="Over the fresh surface.")
    humidity = serializers.FloatField(required=False, help_text="From 0 to 1.")
    wind_kmh = serializers.FloatField(required=False)
    concrete_c = serializers.FloatField(required=False, help_text="Of the fresh concrete.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Three quarters of the air are of no use."""
        given = [name for name in AIR if name in attrs]
        if given and len(given) < len(AIR):
            missing = [name for name in AIR if name not in attrs]
            raise serializers.ValidationError(
                {name: ["Say all four of the air, or none."] for name in missing}
            )
        return attrs


class PourDayView(APIView):
    """One day's pour of a saved piece."""

    permission_classes = (Quoting,)
    pace = "heavy"

    @extend_schema(tags=["pieces"], parameters=[PourDayQuery], responses=PourDayRead)
    def get(self, request: Request, pk: int) -> Response:
        """The days its newest revision can be stripped, turned and finished on; what the air asks for."""
        asked = PourDayQuery.read(request)
        document = newest_revision(get_object_or_404(SavedPiece, pk=pk)).document
        air = Weather(**{name: asked[name] for name in AIR}) if "air_c" in asked else None
        found = pour_day_document(
            document,
            day=asked.get("day", timezone.localdate()),
            forecast_c=asked["forecast_c"],
            weather=air,
        )
        return Response(pour_day_object(found))
