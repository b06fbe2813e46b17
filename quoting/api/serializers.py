"""What the quoting API reads and shows. Writing is left to the services; these only check form."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.api.bodies import Known
from quoting.api.quote_figures import PricedQuoteRead
from quoting.models import (
    Client,
    PieceRevision,
    Quote,
    QuoteAnswer,
    QuoteEvent,
    QuoteItem,
    QuoteLine,
    SavedPiece,
)
from quoting.selectors.quote_objects import priced_object
from quoting.selectors.quotes import STATES


class ClientSerializer(Known, serializers.ModelSerializer[Client]):
    """A client."""

    class Meta:
        model = Client
        fields = (
            "id",
            "name",
            "contact_name",
            "email",
            "phone",
            "address",
            "note",
            "created_at",
            "updated_at",
        )
        read_only_fields = ("id", "created_at", "updated_at")


class PieceSerializer(serializers.ModelSerializer[SavedPiece]):
    """A saved piece, its newest revision named."""

    newest_number = serializers.IntegerField(read_only=True)
    newest_id = serializers.IntegerField(read_only=True)

    class Meta:
        model = SavedPiece
        fields = (
            "id",
            "name",
            "labels",
            "archived",
            "newest_number",
            "newest_id",
            "created_at",
            "updated_at",
        )
        read_only_fields = ("id", "created_at", "updated_at")


class PieceWrite(Known):
    """A specification to save as a new piece."""

    document = serializers.JSONField(help_text="Piece specification, format 1.")
    name = serializers.CharField(max_length=200, required=False, default="", allow_blank=True)
    labels = serializers.CharField(max_length=200, required=False, default="", allow_blank=True)
    note = serializers.CharField(max_length=500, required=False, default="", allow_blank=True)


class PieceChange(Known):
    """What may change of a saved piece besides its specification."""

    name = serializers.CharField(max_length=200, required=False)
    labels = serializers.CharField(max_length=200, required=False, allow_blank=True)
    archived = serializers.BooleanField(required=False)


class RevisionSerializer(serializers.ModelSerializer[PieceRevision]):
    """One revision of a saved piece."""

    document = serializers.JSONField()

    class Meta:
        model = PieceRevision
        fields = ("id", "piece", "number", "document", "note", "created_at")
        read_only_fields = ("id", "piece", "number", "created_at")


class RevisionWrite(Known):
    """A changed specification of a saved piece."""

    document = serializers.JSONField(help_text="Piece specification, format 1.")
    note = serializers.CharField(max_length=500, required=False, default="", allow_blank=True)


class ItemSerializer(Known, serializers.ModelSerializer[QuoteItem]):
    """A saved piece in a quote; without a quantity the specification's own is taken."""

    revision = serializers.PrimaryKeyRelatedField(queryset=PieceRevision.objects.all())
    quantity = serializers.IntegerField(min_value=1, max_value=1000, required=False)

    class Meta:
        model = QuoteItem
        fields = ("revision", "quantity", "tax_category", "option")


class LineSerializer(Known, serializers.ModelSerializer[QuoteLine]):
    """Another line of a quote."""

    class Meta:
        model = QuoteLine
        fields = ("text", "quantity", "unit_price", "tax_category", "option")


class AnswerSerializer(serializers.ModelSerializer[QuoteAnswer]):
    """The client's answer; `by` wrote it down, and is empty where the client answered by the link."""

    by = serializers.CharField(source="by.username", default="")

    class Meta:
        model = QuoteAnswer
        fields = ("kind", "at", "name", "option", "gross", "data_sha256", "note", "by")
        read_only_fields = fields


class EventSerializer(serializers.ModelSerializer[QuoteEvent]):
    """What happened to a quote, what the client asked among it; `by` is empty for the client."""

    by = serializers.CharField(source="by.username", default="")

    class Meta:
        model = QuoteEvent
        fields = ("at", "kind", "detail", "by")
        read_only_fields = fields


class QuoteSerializer(serializers.ModelSerializer[Quote]):
    """A quote as it stands; what it comes to, its answer and its history are in the single quote only."""

    items = ItemSerializer(many=True, read_only=True)
    lines = LineSerializer(many=True, read_only=True)
    client_name = serializers.CharField(source="client.name", read_only=True)
    state = serializers.SerializerMethodField(help_text="Its status, or `lapsed` past its last valid day.")

    class Meta:
        model = Quote
        fields: tuple[str, ...] = (
            "id",
            "number",
            "status",
            "state",
            "client",
            "client_name",
            "title",
            "quoted_on",
            "valid_days",
            "discount",
            "note",
            "version",
            "items",
            "lines",
            "created_at",
            "updated_at",
        )

    @extend_schema_field(serializers.ChoiceField(STATES))
    def get_state(self, quote: Quote) -> str:
        """Where it stands today."""
        return quote.state(timezone.localdate())


class WholeQuoteSerializer(QuoteSerializer):
    """A quote with what it comes to; `context["pay"]`: whether pay is shown."""

    answer = AnswerSerializer(read_only=True, allow_null=True)
    events = EventSerializer(many=True, read_only=True)
    priced = serializers.SerializerMethodField()

    class Meta(QuoteSerializer.Meta):
        fields = (*QuoteSerializer.Meta.fields, "answer", "events", "priced")

    @extend_schema_field(PricedQuoteRead)  # type: ignore[arg-type]
    def get_priced(self, quote: Quote) -> dict[str, Any]:
        """A draft at the prices of its day, else as it was issued."""
        return priced_object(quote, pay=self.context["pay"])


class QuoteWrite(Known):
    """A draft to save; for a change every key is optional, items and lines given replace those that stand."""

    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all())
    title = serializers.CharField(max_length=200)
    quoted_on = serializers.DateField(required=False)
    valid_days = serializers.IntegerField(min_value=1, max_value=365, required=False)
    discount = serializers.DecimalField(
        max_digits=5, decimal_places=4, min_value=Decimal(0), max_value=Decimal("0.9"), required=False
    )
    note = serializers.CharField(max_length=4000, required=False, allow_blank=True)
    items: ClassVar[Any] = ItemSerializer(many=True, required=False)
    lines: ClassVar[Any] = LineSerializer(many=True, required=False)


class WithdrawWrite(Known):
    """Why a quote is withdrawn."""

    reason = serializers.CharField(max_length=500, required=False, default="", allow_blank=True)
