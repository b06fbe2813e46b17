"""Mixes and the shop's terms over the API."""

from __future__ import annotations

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.api.pages import in_order
from catalog.api.permissions import Catalogue
from catalog.api.serializers import MixQuery, MixSerializer, TermsSerializer, body
from catalog.api.tags import Tagged
from catalog.models import Mix
from catalog.services.mixes import create_mix, update_mix
from catalog.services.terms import update_terms


@extend_schema(tags=["mixes"])
class MixViewSet(Tagged, viewsets.GenericViewSet[Mix]):
    """What the shop casts with."""

    permission_classes = (Catalogue,)
    serializer_class = MixSerializer
    queryset = Mix.objects.all()
    lookup_field = "code"
    lookup_value_regex = "[^/]+"

    @extend_schema(parameters=[MixQuery], responses=MixSerializer(many=True))
    def list(self, request: Request) -> Response:
        """The mixes in use."""
        query = MixQuery.read(request)
        order = query.pop("ordering", None)
        page = self.paginate_queryset(in_order(selectors.mixes(timezone.localdate(), **query), order))
        return self.get_paginated_response(MixSerializer(page or [], many=True).data)

    @extend_schema(request=MixSerializer, responses={201: MixSerializer})
    def create(self, request: Request) -> Response:
        """Add a mix; a recipe must make one m³ ± 2 % by absolute volume."""
        return Response(
            MixSerializer(create_mix(body(request), who=request.user.get_username())).data,
            status=status.HTTP_201_CREATED,
        )

    @extend_schema(responses=MixSerializer)
    def retrieve(self, request: Request, code: str) -> Response:
        """One mix, in use or not."""
        return Response(MixSerializer(selectors.mix(code)).data)

    @extend_schema(request=MixSerializer, responses=MixSerializer)
    def partial_update(self, request: Request, code: str) -> Response:
        """Change a mix; `parts`, where given, replace the recipe."""
        return Response(MixSerializer(update_mix(code, body(request), who=request.user.get_username())).data)


@extend_schema(tags=["terms"])
class TermsView(Tagged):
    """How the shop builds, prices and sells."""

    permission_classes = (Catalogue,)

    @extend_schema(responses=TermsSerializer)
    def get(self, request: Request) -> Response:
        """The terms as they stand."""
        return Response(TermsSerializer(selectors.shop_terms()).data)

    @extend_schema(request=TermsSerializer, responses=TermsSerializer)
    def patch(self, request: Request) -> Response:
        """Change the terms; what is left out stays."""
        return Response(TermsSerializer(update_terms(body(request), who=request.user.get_username())).data)
