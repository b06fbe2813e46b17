"""The shelf over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import status, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.api.permissions import Office
from catalog.api.serializers import ShelfChange, ShelfQuery, ShelfSerializer, body
from catalog.api.tags import Tagged
from catalog.models import ShelfItem
from catalog.services.shelf import change_on_shelf, put_on_shelf, take_off_shelf


@extend_schema(tags=["shelf"])
class ShelfViewSet(Tagged, viewsets.GenericViewSet[ShelfItem]):
    """What lies in the shop already; a buying list takes it off, and nothing else does."""

    permission_classes = (Office,)
    serializer_class = ShelfSerializer
    queryset = ShelfItem.objects.all()

    @extend_schema(parameters=[ShelfQuery], responses=ShelfSerializer(many=True))
    def list(self, request: Request) -> Response:
        """Everything by code of material."""
        page = self.paginate_queryset(selectors.shelf(**ShelfQuery.read(request)))
        return self.get_paginated_response(ShelfSerializer(page or [], many=True).data)

    @extend_schema(request=ShelfSerializer, responses={201: ShelfSerializer})
    def create(self, request: Request) -> Response:
        """Put something there: `length_mm`, `width_mm` and `count` of a board's offcuts, else `content`."""
        made = put_on_shelf(body(request), who=request.user.get_username())
        return Response(ShelfSerializer(made).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses=ShelfSerializer)
    def retrieve(self, request: Request, pk: str) -> Response:
        """One thing on the shelf."""
        return Response(ShelfSerializer(selectors.shelf_item(pk)).data)

    @extend_schema(request=ShelfChange, responses=ShelfSerializer)
    def partial_update(self, request: Request, pk: str) -> Response:
        """Correct it; what is left out stays."""
        row = selectors.shelf_item(pk)
        return Response(
            ShelfSerializer(change_on_shelf(row.pk, body(request), who=request.user.get_username())).data
        )

    @extend_schema(responses={204: None})
    def destroy(self, request: Request, pk: str) -> Response:
        """Take it off the shelf."""
        take_off_shelf(selectors.shelf_item(pk).pk)
        return Response(status=status.HTTP_204_NO_CONTENT)
