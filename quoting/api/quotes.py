"""Quotes over the API."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.pages import Query, ordering, row_id
from catalog.api.tags import Tagged
from quoting.access import may_see_pay
from quoting.api.permissions import Quoting
from quoting.api.quote_moves import QuoteMoves
from quoting.api.serializers import QuoteSerializer, QuoteWrite, WholeQuoteSerializer, WithdrawWrite
from quoting.models import IssuedQuote, Quote
from quoting.selectors.quotes import STATES, quotes
from quoting.services.quotes import (
    ItemWanted,
    LineWanted,
    change_draft,
    delete_draft,
    draft_quote,
    issue_quote,
    withdraw_quote,
)


class QuoteQuery(Query):
    """How the list of quotes may be narrowed and put in order."""

    search = serializers.CharField(required=False, default="", help_text="Words of title, number or client.")
    status = serializers.ChoiceField(
        STATES, required=False, default="", help_text="Where they stand today; `lapsed` are not `issued`."
    )
    client = row_id("Its id.")
    quoted_from = serializers.DateField(required=False, help_text="At prices of this day or later.")
    quoted_until = serializers.DateField(required=False, help_text="At prices of this day or earlier.")
    ordering = ordering("number", "title", "quoted_on", "created_at", "updated_at")


LOOK_UPS = {"client": "client_id", "quoted_from": "quoted_on__gte", "quoted_until": "quoted_on__lte"}


@extend_schema_view(list=extend_schema(parameters=[QuoteQuery]))
@extend_schema(tags=["quotes"])
class QuoteViewSet(Tagged, QuoteMoves, mixins.ListModelMixin):
    """Offers to clients, newest first where nothing else is asked."""

    permission_classes = (Quoting,)
    serializer_class = QuoteSerializer
    http_method_names = ["get", "post", "patch", "delete", "head", "options"]  # noqa: RUF012 - the base class types it so

    def get_queryset(self) -> QuerySet[Quote]:
        """Quotes, as the query of a list narrows them."""
        if self.action != "list":
            return quotes().prefetch_related("items", "lines", "events__by")
        asked = QuoteQuery.read(self.request)
        told = {LOOK_UPS[name]: value for name, value in asked.items() if name in LOOK_UPS}
        found = quotes(search=asked["search"], state=asked["status"]).filter(**told)
        found = found.order_by(asked["ordering"], "pk") if "ordering" in asked else found
        return found.prefetch_related("items", "lines")

    @extend_schema(responses=WholeQuoteSerializer)
    def retrieve(self, request: Request, pk: str) -> Response:
        """One quote with its priced result: a draft at the prices of its day, else what was issued."""
        return Response(self._shown(self.get_object(), request))

    @extend_schema(request=QuoteWrite, responses={201: WholeQuoteSerializer})
    def create(self, request: Request) -> Response:
        """Save a draft; what it comes to is in the answer."""
        asked = QuoteWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        fields = {"quoted_on": timezone.localdate()} | _wanted(asked.validated_data)
        quote = draft_quote(fields.pop("client"), **fields, by=request.user)
        return Response(self._shown(quote, request), status=status.HTTP_201_CREATED)

    @extend_schema(request=QuoteWrite, responses=WholeQuoteSerializer)
    def partial_update(self, request: Request, pk: str) -> Response:
        """Change a draft."""
        asked = QuoteWrite(data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        quote = change_draft(self.get_object(), **_wanted(asked.validated_data), by=request.user)
        return Response(self._shown(quote, request))

    @extend_schema(responses={204: None})
    def destroy(self, request: Request, pk: str) -> Response:
        """Throw a draft away."""
        delete_draft(self.get_object())
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(request=None, responses={201: WholeQuoteSerializer})
    @action(detail=True, methods=["post"], pace="heavy")
    def issue(self, request: Request, pk: str) -> Response:
        """Number the draft, freeze it, store its paper."""
        issued = issue_quote(self.get_object(), on=timezone.localdate(), by=request.user)
        return Response(self._shown(issued.quote, request), status=status.HTTP_201_CREATED)

    @extend_schema(request=WithdrawWrite, responses=WholeQuoteSerializer)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Take an issued quote back."""
        asked = WithdrawWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        quote = withdraw_quote(self.get_object(), reason=asked.validated_data["reason"], by=request.user)
        return Response(self._shown(quote, request))

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"])
    def pdf(self, request: Request, pk: str) -> HttpResponse:
        """The stored paper of an issued quote, byte for byte."""
        issued = get_object_or_404(IssuedQuote, quote=self.get_object())
        return paper_response(issued)

    def _shown(self, quote: Quote, request: Request) -> dict[str, Any]:
        return dict(WholeQuoteSerializer(quote, context={"pay": may_see_pay(request.user)}).data)


def paper_response(issued: IssuedQuote) -> HttpResponse:
    """The stored paper as a download that browsers show in place."""
    answer = HttpResponse(bytes(issued.pdf), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="quote-{issued.quote.number}.pdf"'
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


def _wanted(fields: dict[str, Any]) -> dict[str, Any]:
    wanted = dict(fields)
    if "items" in wanted:
        wanted["items"] = [
            ItemWanted(
                item["revision"],
                item.get("quantity"),
                item.get("option", ""),
                item.get("tax_category", "standard"),
            )
            for item in wanted["items"]
        ]
    if "lines" in wanted:
        wanted["lines"] = [LineWanted(**line) for line in wanted["lines"]]
    return wanted
