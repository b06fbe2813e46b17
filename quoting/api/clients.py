"""Clients over the API."""

from __future__ import annotations

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import mixins, serializers, viewsets
from rest_framework.serializers import BaseSerializer

from catalog.api.pages import Query, ordering
from catalog.api.tags import Tagged
from quoting.api.permissions import Quoting
from quoting.api.serializers import ClientSerializer
from quoting.models import Client
from quoting.selectors.pieces import clients
from quoting.services.clients import create_client, update_client


class ClientQuery(Query):
    """How the list of clients may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of the name.")
    ordering = ordering("name", "created_at", "updated_at")


@extend_schema_view(list=extend_schema(parameters=[ClientQuery]))
@extend_schema(tags=["clients"])
class ClientViewSet(
    Tagged,
    mixins.ListModelMixin,
    mixins.CreateModelMixin,
    mixins.RetrieveModelMixin,
    mixins.UpdateModelMixin,
    viewsets.GenericViewSet[Client],
):
    """Who commissions pieces. `search` narrows the list by words of the name."""

    permission_classes = (Quoting,)
    serializer_class = ClientSerializer
    http_method_names = ["get", "post", "patch", "head", "options"]  # noqa: RUF012 - the base class types it so

    def get_queryset(self) -> QuerySet[Client]:
        """Clients by name."""
        if self.action != "list":
            return clients()
        asked = ClientQuery.read(self.request)
        found = clients(search=asked["search"])
        return found.order_by(asked["ordering"], "pk") if "ordering" in asked else found

    def perform_create(self, serializer: BaseSerializer[Client]) -> None:
        """Save through the service."""
        serializer.instance = create_client(**serializer.validated_data)

    def perform_update(self, serializer: BaseSerializer[Client]) -> None:
        """Change through the service."""
        assert serializer.instance is not None  # noqa: S101 - an update has one
        update_client(serializer.instance, **serializer.validated_data)
