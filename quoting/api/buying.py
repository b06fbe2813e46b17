"""What to buy for several quotes, over the API."""

from __future__ import annotations

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.pages import Query, row_id
from quoting.api.permissions import Quoting
from quoting.api.quote_figures import ToBuyRead
from quoting.documents.to_buy import to_buy_object
from quoting.engine.errors import Fault, Refused
from quoting.selectors.to_buy import MOST_QUOTES, candidates, to_buy


class BuyingQuery(Query):
    """For which quotes, and whether the shelf is used first."""

    paged = False

    quote = serializers.ListField(
        child=row_id("A draft, or a quote that is out or accepted."),
        min_length=1,
        max_length=MOST_QUOTES,
        help_text="Once for each quote.",
    )
    shelf = serializers.BooleanField(required=False, default=True, help_text="Less what is on the shelf.")


class BuyingView(APIView):
    """One list for several quotes."""

    permission_classes = (Quoting,)
    pace = "heavy"

    @extend_schema(tags=["quotes"], parameters=[BuyingQuery], responses=ToBuyRead)
    def get(self, request: Request) -> Response:
        """What to order for quotes together, at today's prices, their boards laid out together."""
        asked = BuyingQuery.read(request)
        quotes = list(candidates().filter(pk__in=asked["quote"]))
        there = {quote.pk for quote in quotes}
        message = "is no draft, nor a quote that is out or accepted"
        faults = [
            Fault(f"quote[{at}]", message, "unknown", str(pk))
            for at, pk in enumerate(asked["quote"])
            if pk not in there
        ]
        if faults:
            raise Refused(faults)
        return Response(to_buy_object(to_buy(quotes, on=timezone.localdate(), shelf=asked["shelf"])))
