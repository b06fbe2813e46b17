"""Mail to clients over the API: what waits, trying again, giving up."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.pages import Query
from quoting.api.permissions import Quoting
from quoting.models import OutgoingMail
from quoting.selectors.outbox import mails
from quoting.services.outbox import drop, try_again


class MailRead(serializers.ModelSerializer[OutgoingMail]):
    """One mail to a client. Without `next_try_at` a waiting one waits for somebody to see to it."""

    quote = serializers.IntegerField(source="link.quote_id")
    number = serializers.CharField(source="link.quote.number")
    to = serializers.EmailField(source="link.sent_to")
    written_at = serializers.DateTimeField(source="link.created_at")

    class Meta:
        model = OutgoingMail
        fields = (
            *("id", "quote", "number", "to", "written_at", "status"),
            *("tries", "next_try_at", "last_error", "settled_at"),
        )
        read_only_fields = fields


class MailQuery(Query):
    """How the list of mails may be narrowed."""

    search = serializers.CharField(
        required=False,
        default="",
        help_text="Words of the quote's number or title, the client or the address.",
    )
    status = serializers.ChoiceField(OutgoingMail.Status.choices, required=False, default="")


@extend_schema_view(list=extend_schema(parameters=[MailQuery]))
class Outbox(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[OutgoingMail]):
    """Mail to clients, what waits first."""

    permission_classes = (Quoting,)
    serializer_class = MailRead
    queryset = OutgoingMail.objects.none()

    def get_queryset(self) -> QuerySet[OutgoingMail]:
        """Every mail, or those a list is asked for."""
        return mails(**MailQuery.read(self.request)) if self.action == "list" else mails()

    @extend_schema(request=None, responses={200: MailRead})
    @action(detail=True, methods=["post"])
    def again(self, request: Request, **_: Any) -> Response:
        """Try a waiting mail now; with an `Idempotency-Key`, right after the answer."""
        mail = self.get_object()
        try_again(mail, timezone.now())
        return Response(MailRead(self.get_object()).data)

    @extend_schema(request=None, responses={200: MailRead})
    @action(detail=True, methods=["post"])
    def drop(self, request: Request, **_: Any) -> Response:
        """Give a waiting mail up and take its link back."""
        drop(self.get_object(), timezone.now(), by=request.user)
        return Response(MailRead(self.get_object()).data)
