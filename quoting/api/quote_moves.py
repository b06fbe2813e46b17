"""What is done with a quote over the API besides writing it: revise, answer, link, send, papers."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.bodies import Known
from quoting.api.quote_figures import BuyingListRead
from quoting.api.serializers import QuoteSerializer
from quoting.models import OutgoingMail, Quote
from quoting.selectors.outbox import mail_of
from quoting.selectors.planned_days import planned_pour
from quoting.services.links import create_link, revoke_links
from quoting.services.quotes import accept_quote, decline_quote, revise_quote
from quoting.services.sending import send_quote
from quoting.services.shop_papers import buying_paper, shop_side, traveller

POUR = OpenApiParameter(
    "pour", OpenApiTypes.DATE, description="Day of the first pour; by default the job's, else today."
)


class QuoteAcceptWrite(Known):
    """Who accepts, which option, and the hash of the issued data that was read."""

    name = serializers.CharField(max_length=200)
    data_sha256 = serializers.RegexField(r"\A[0-9a-f]{64}\Z")
    option = serializers.CharField(max_length=80, required=False, default="", allow_blank=True)
    note = serializers.CharField(max_length=2000, required=False, default="", allow_blank=True)


class QuoteDeclineWrite(Known):
    """Who declines, and why."""

    name = serializers.CharField(max_length=200)
    note = serializers.CharField(max_length=2000, required=False, default="", allow_blank=True)


class SendWrite(Known):
    """Where to, by default the client's own address, and a few words."""

    to = serializers.EmailField(required=False, default="", allow_blank=True)
    message = serializers.CharField(max_length=4000, required=False, default="", allow_blank=True)


class LinkRead(serializers.Serializer[Any]):
    """A client's link; the address is told this once."""

    address = serializers.URLField()
    expires_at = serializers.DateTimeField()


class SentRead(serializers.Serializer[Any]):
    """Where a quote was sent to; the address of the client's page is in the mail alone.

    `mail` says whether the mail server has taken it; while it waits it is in `/outbox`, and tried again. With
    an `Idempotency-Key` it goes out after the answer.
    """

    to = serializers.EmailField()
    expires_at = serializers.DateTimeField()
    mail = serializers.ChoiceField(choices=OutgoingMail.Status.choices)


class PourRead(serializers.Serializer[Any]):
    """The day asked for."""

    pour = serializers.DateField(required=False)


class QuoteMoves(viewsets.GenericViewSet[Quote]):
    """Actions on one quote."""

    pace = "default"

    @extend_schema(request=None, responses={201: QuoteSerializer})
    @action(detail=True, methods=["post"])
    def revise(self, request: Request, pk: str) -> Response:
        """A new draft that takes the quote's place when it is issued."""
        draft = revise_quote(self.get_object(), on=timezone.localdate(), by=request.user)
        return Response(QuoteSerializer(draft).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=QuoteAcceptWrite, responses={200: QuoteSerializer})
    @action(detail=True, methods=["post"])
    def accept(self, request: Request, pk: str) -> Response:
        """Write down that the client accepted, by letter or by word."""
        asked = _asked(QuoteAcceptWrite(data=request.data))
        answer = accept_quote(self.get_object(), **asked, on=timezone.localdate(), by=request.user)
        return Response(QuoteSerializer(answer.quote).data)

    @extend_schema(request=QuoteDeclineWrite, responses={200: QuoteSerializer})
    @action(detail=True, methods=["post"])
    def decline(self, request: Request, pk: str) -> Response:
        """Write down that the client declined."""
        asked = _asked(QuoteDeclineWrite(data=request.data))
        answer = decline_quote(self.get_object(), **asked, on=timezone.localdate(), by=request.user)
        return Response(QuoteSerializer(answer.quote).data)

    @extend_schema(request=None, responses={201: LinkRead})
    @action(detail=True, methods=["post"])
    def link(self, request: Request, pk: str) -> Response:
        """A link to the client's page; its address is told this once."""
        link, token = create_link(self.get_object(), now=timezone.now(), by=request.user)
        made = {"address": _page_of(request, token), "expires_at": link.expires_at}
        return Response(LinkRead(made).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses={204: None})
    @link.mapping.delete
    def unlink(self, request: Request, pk: str) -> Response:
        """Take every link to the quote back."""
        revoke_links(self.get_object(), now=timezone.now(), by=request.user)
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(request=SendWrite, responses={200: SentRead})
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Send the quote by e-mail with its paper and a link of its own."""
        link = send_quote(
            self.get_object(),
            **_asked(SendWrite(data=request.data)),
            address_of=lambda token: _page_of(request, token),
            now=timezone.now(),
            by=request.user,
        )
        told = {"to": link.sent_to, "expires_at": link.expires_at, "mail": mail_of(link).status}
        return Response(SentRead(told).data)

    @extend_schema(parameters=[POUR], responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"], pace="heavy")
    def traveller(self, request: Request, pk: str) -> HttpResponse:
        """The paper that goes with the pieces through the shop."""
        quote = self.get_object()
        page = request.build_absolute_uri(reverse("quoting:quote", args=[quote.pk]))
        paper = traveller(quote, pour=_pour(request, quote), address=page)
        return HttpResponse(paper, content_type="application/pdf")

    @extend_schema(responses=BuyingListRead)
    @action(detail=True, methods=["get"], url_path="buying-list", pace="heavy")
    def buying_list(self, request: Request, pk: str) -> Response:
        """What to order, by supplier."""
        return Response({"orders": shop_side(self.get_object()).orders})

    @extend_schema(parameters=[POUR], responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"], url_path="buying-list-pdf", pace="heavy")
    def buying_list_pdf(self, request: Request, pk: str) -> HttpResponse:
        """What to order, as a paper."""
        quote = self.get_object()
        paper = buying_paper(quote, pour=_pour(request, quote))
        return HttpResponse(paper, content_type="application/pdf")


def _asked(serializer: serializers.Serializer[Any]) -> dict[str, Any]:
    serializer.is_valid(raise_exception=True)
    return dict(serializer.validated_data)


def _pour(request: Request, quote: Quote) -> date:
    asked: date | None = _asked(PourRead(data=request.query_params)).get("pour")
    return asked or planned_pour(quote) or timezone.localdate()


def _page_of(request: Request, token: str) -> str:
    return request.build_absolute_uri(reverse("client:quote", args=[token]))
