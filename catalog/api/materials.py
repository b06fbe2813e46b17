"""Materials and their prices over the API."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.api.pages import in_order
from catalog.api.permissions import Catalogue
from catalog.api.serializers import (
    MaterialChange,
    MaterialQuery,
    MaterialSerializer,
    MaterialWrite,
    PriceSerializer,
    PriceWrite,
    body,
    dated_body,
)
from catalog.api.tags import Tagged
from catalog.errors import Fault
from catalog.models import Material
from catalog.services import materials as services
from catalog.services.checks import refuse


@extend_schema(tags=["materials"])
class MaterialViewSet(Tagged, viewsets.GenericViewSet[Material]):
    """What the shop buys, with today's prices."""

    permission_classes = (Catalogue,)
    serializer_class = MaterialSerializer
    queryset = Material.objects.all()
    lookup_field = "code"
    lookup_value_regex = "[^/]+"

    @extend_schema(parameters=[MaterialQuery], responses=MaterialSerializer(many=True))
    def list(self, request: Request) -> Response:
        """Materials, in order of code where nothing else is asked, with the prices of a date."""
        query = MaterialQuery.read(request)
        on = query.pop("on") or timezone.localdate()
        order = query.pop("ordering", None)
        page = self.paginate_queryset(in_order(selectors.materials(on, **query), order))
        return self.get_paginated_response(_shown(page or [], on))

    @extend_schema(request=MaterialWrite, responses={201: MaterialSerializer})
    def create(self, request: Request) -> Response:
        """Add a material."""
        values = dict(body(request))
        today = timezone.localdate()
        price, valid_from = values.pop("price", None), values.pop("valid_from", None)
        row = services.create_material(
            values, price=price, valid_from=valid_from, today=today, who=request.user.get_username()
        )
        return Response(_shown([row], today)[0], status=status.HTTP_201_CREATED)

    @extend_schema(responses=MaterialSerializer)
    def retrieve(self, request: Request, code: str) -> Response:
        """One material, in use or not."""
        return Response(_shown([selectors.material(code)], timezone.localdate())[0])

    @extend_schema(request=MaterialChange, responses=MaterialSerializer)
    def partial_update(self, request: Request, code: str) -> Response:
        """Change what is said of a material; its prices are added by their own address."""
        row = services.update_material(code, body(request), who=request.user.get_username())
        return Response(_shown([row], timezone.localdate())[0])

    @extend_schema(methods=["GET"], responses=PriceSerializer(many=True))
    @extend_schema(methods=["POST"], request=PriceWrite, responses={201: PriceSerializer})
    @action(detail=True, methods=["get", "post"], pagination_class=None)
    def prices(self, request: Request, code: str) -> Response:
        """All prices, latest first; or a new one from a date on."""
        if request.method == "GET":
            return Response(PriceSerializer(selectors.price_history(code), many=True).data)
        values, start = dated_body(request)
        price = values.pop("price", None)
        refuse([Fault(name, "There is no such value here.", "unknown_key") for name in values])
        made = services.set_price(
            code,
            price,
            valid_from=start,
            today=timezone.localdate(),
            who=request.user.get_username(),
        )
        return Response(PriceSerializer(made).data, status=status.HTTP_201_CREATED)


def _shown(rows: Sequence[Material], on: date) -> list[object]:
    priced = {one.material.pk: one for one in selectors.priced(rows, on)}
    return list(MaterialSerializer(rows, many=True, context={"priced": priced}).data)
