"""Ordering again over the API: copies, differences, new drafts of old quotes, price bridges."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.bodies import Known
from catalog.api.pages import Query
from quoting.api.permissions import Quoting
from quoting.api.quote_figures import BridgeRead, DifferencesRead
from quoting.api.serializers import QuoteSerializer, RevisionSerializer
from quoting.engine.estimate.differences import differences
from quoting.engine.spec.parse import parse_piece
from quoting.engine.spec.scaled import MOST, Factors
from quoting.models import Client, PieceRevision, Quote, SavedPiece
from quoting.selectors.bridge import bridge_object, piece_bridge, quote_bridge
from quoting.selectors.pieces import newest_revision
from quoting.selectors.price_book import shop_terms
from quoting.services.pieces import copy_piece
from quoting.services.repeats import quote_again


def _factor() -> serializers.FloatField:
    return serializers.FloatField(required=False, default=1.0, max_value=MOST, help_text="1: as it is.")


class CopyWrite(Known):
    """A saved piece as a new one, longer, wider, thicker, or larger as a whole."""

    name = serializers.CharField(max_length=200)
    labels = serializers.CharField(max_length=200, required=False, allow_blank=True)
    revision = serializers.IntegerField(required=False, help_text="Its number; the newest where left out.")
    length_factor = _factor()
    width_factor = _factor()
    thickness_factor = _factor()
    whole = serializers.BooleanField(
        required=False,
        default=False,
        help_text="Scale features, radii and edges too, by one factor; else they keep their sizes.",
    )


class QuantityWrite(Known):
    """How many of one of the quote's pieces."""

    position = serializers.IntegerField(min_value=1)
    quantity = serializers.IntegerField(min_value=1, max_value=1000)


class AgainWrite(Known):
    """What is different in the new draft."""

    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all(), required=False)
    quantities = QuantityWrite(many=True, required=False, default=list)


class AgainRead(QuoteSerializer):
    """A draft of what an issued quote offered, with the bridge from its price to this one."""

    bridge = serializers.SerializerMethodField()

    class Meta(QuoteSerializer.Meta):
        fields = (*QuoteSerializer.Meta.fields, "bridge")

    @extend_schema_field(BridgeRead)  # type: ignore[arg-type]
    def get_bridge(self, draft: Quote) -> dict[str, Any]:
        """From then to now."""
        return bridge_object(quote_bridge(self.context["old"], against=draft))


class DifferencesQuery(Query):
    """Which revisions to compare, by number."""

    before = serializers.IntegerField()
    after = serializers.IntegerField(required=False, help_text="The newest where left out.")


class QuoteBridgeQuery(Query):
    """What to hold the quote against."""

    against = serializers.IntegerField(required=False, help_text="A draft; today's prices where left out.")
    on = serializers.DateField(required=False, help_text="Prices of this day; today where left out.")


class PieceBridgeQuery(Query):
    """From which quote, to what."""

    quote = serializers.IntegerField()
    revision = serializers.IntegerField(required=False, help_text="Its number; the newest where left out.")
    quantity = serializers.IntegerField(required=False, min_value=1, max_value=1000)
    on = serializers.DateField(required=False, help_text="Prices of this day; today where left out.")


class CopyView(APIView):
    """Copies of a saved piece."""

    permission_classes = (Quoting,)

    @extend_schema(tags=["pieces"], request=CopyWrite, responses={201: RevisionSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Save a copy, scaled if asked; refused with every fault where it cannot be cast."""
        asked = CopyWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        given = asked.validated_data
        copied = copy_piece(
            _revision(pk, given.get("revision")),
            name=given["name"],
            labels=given.get("labels"),
            factors=Factors(
                given["length_factor"], given["width_factor"], given["thickness_factor"], given["whole"]
            ),
            by=request.user,
        )
        return Response(RevisionSerializer(copied).data, status=status.HTTP_201_CREATED)


class DifferencesView(APIView):
    """Two revisions of a saved piece, compared."""

    permission_classes = (Quoting,)

    @extend_schema(tags=["pieces"], parameters=[DifferencesQuery], responses=DifferencesRead)
    def get(self, request: Request, pk: int) -> Response:
        """What changed from one revision to the other, in words."""
        asked = DifferencesQuery.read(request)
        before, after = _revision(pk, asked["before"]), _revision(pk, asked.get("after"))
        said = differences(
            parse_piece(before.document), parse_piece(after.document), system=shop_terms().unit_system
        )
        return Response({"before": before.number, "after": after.number, "differences": list(said)})


class PieceBridgeView(APIView):
    """The price of a piece, then and now."""

    permission_classes = (Quoting,)
    pace = "heavy"

    @extend_schema(tags=["pieces"], parameters=[PieceBridgeQuery], responses=BridgeRead)
    def get(self, request: Request, pk: int) -> Response:
        """From its price in an issued quote to that of a revision and quantity on a day, part by part."""
        asked = PieceBridgeQuery.read(request)
        quote = get_object_or_404(Quote, pk=asked["quote"])
        revision = _revision(pk, asked.get("revision"))
        held = piece_bridge(quote, revision, quantity=asked.get("quantity"), on=asked.get("on"))
        return Response(bridge_object(held))


class QuoteBridgeView(APIView):
    """The total of a quote, then and now."""

    permission_classes = (Quoting,)
    pace = "heavy"

    @extend_schema(tags=["quotes"], parameters=[QuoteBridgeQuery], responses=BridgeRead)
    def get(self, request: Request, pk: int) -> Response:
        """From what was asked to what it would be today, or to a draft; the parts sum to the cent."""
        asked = QuoteBridgeQuery.read(request)
        draft = get_object_or_404(Quote, pk=asked["against"]) if "against" in asked else None
        held = quote_bridge(get_object_or_404(Quote, pk=pk), against=draft, on=asked.get("on"))
        return Response(bridge_object(held))


class AgainView(APIView):
    """Orders repeated."""

    permission_classes = (Quoting,)
    pace = "heavy"

    @extend_schema(tags=["quotes"], request=AgainWrite, responses={201: AgainRead})
    def post(self, request: Request, pk: int) -> Response:
        """A draft of what an issued quote offered, newest revisions, today's prices; with the bridge."""
        asked = AgainWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        old = get_object_or_404(Quote, pk=pk)
        draft = quote_again(
            old,
            on=timezone.localdate(),
            client=asked.validated_data.get("client"),
            quantities={row["position"]: row["quantity"] for row in asked.validated_data["quantities"]},
            by=request.user,
        )
        shown = AgainRead(draft, context={"old": old})
        return Response(shown.data, status=status.HTTP_201_CREATED)


def _revision(piece: int, number: int | None) -> PieceRevision:
    if number is None:
        return newest_revision(get_object_or_404(SavedPiece, pk=piece))
    return get_object_or_404(PieceRevision.objects.select_related("piece"), piece=piece, number=number)
