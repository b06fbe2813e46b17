"""What was changed of the catalogue, over the API."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.api.pages import Query, in_order, ordering
from catalog.api.permissions import Owners
from catalog.api.tags import Tagged
from catalog.models import CatalogueChange
from catalog.models.changes import ChangedKind


class ChangeQuery(Query):
    """How the list of changes may be narrowed."""

    search = serializers.CharField(
        required=False,
        default="",
        help_text="Words of code, person or kind, of a column's name, or of what it said or says.",
    )
    kind = serializers.ChoiceField(ChangedKind.choices, required=False, default="")
    ordering = ordering("at", "by", "kind", "code")


class ChangedColumnSerializer(serializers.Serializer[Any]):
    """A column before and after: text, number, list or object; null for nothing, or before it was added."""

    column = serializers.CharField()
    before = serializers.JSONField()
    after = serializers.JSONField()


class CatalogueChangeSerializer(serializers.ModelSerializer[CatalogueChange]):
    """Who changed what of the catalogue, and when; of something `new`, what was said of it at first."""

    columns = ChangedColumnSerializer(many=True)

    class Meta:
        model = CatalogueChange
        fields = ("id", "at", "by", "kind", "code", "new", "columns")
        read_only_fields = fields


@extend_schema(tags=["changes"])
class ChangeViewSet(Tagged, viewsets.GenericViewSet[CatalogueChange]):
    """Changes of terms, materials, mixes, roles and operations. Prices, pay and standards have dates."""

    permission_classes = (Owners,)
    serializer_class = CatalogueChangeSerializer
    queryset = CatalogueChange.objects.all()

    @extend_schema(parameters=[ChangeQuery], responses=CatalogueChangeSerializer(many=True))
    def list(self, request: Request) -> Response:
        """What was changed, latest first where nothing else is asked. Owners only."""
        query = ChangeQuery.read(request)
        order = query.pop("ordering", None)
        page = self.paginate_queryset(in_order(selectors.changes(**query), order))
        return self.get_paginated_response(CatalogueChangeSerializer(page or [], many=True).data)
