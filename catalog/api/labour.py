"""Roles and operations over the API."""

from __future__ import annotations

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.access import may_see_pay
from catalog.api.pages import in_order
from catalog.api.permissions import Catalogue, Pay
from catalog.api.serializers import (
    OperationQuery,
    OperationSerializer,
    PaidRoleSerializer,
    PlannedOperationSerializer,
    RateSerializer,
    RateWrite,
    RoleQuery,
    RoleSerializer,
    StandardSerializer,
    StandardWrite,
    body,
    dated_body,
)
from catalog.api.tags import Tagged
from catalog.models import Operation, Role
from catalog.services import labour as services


@extend_schema(tags=["roles"])
class RoleViewSet(Tagged, viewsets.GenericViewSet[Role]):
    """Kinds of work that are paid alike. Pay is shown to owners only."""

    permission_classes = (Catalogue,)
    serializer_class = RoleSerializer
    queryset = Role.objects.all()
    lookup_field = "code"
    lookup_value_regex = "[^/]+"

    @extend_schema(parameters=[RoleQuery], responses=PaidRoleSerializer(many=True))
    def list(self, request: Request) -> Response:
        """Roles, for owners with the pay that holds today."""
        query, today = RoleQuery.read(request), timezone.localdate()
        found = in_order(selectors.roles(today, search=query["search"]), query.get("ordering"))
        rows = selectors.paid_roles(today, self.paginate_queryset(found) or ())
        shown = PaidRoleSerializer(rows, many=True).data  # type: ignore[arg-type]
        if not may_see_pay(request.user):
            for row in shown:
                del row["rate"]
        return self.get_paginated_response(shown)

    @extend_schema(request=RoleSerializer, responses={201: RoleSerializer})
    def create(self, request: Request) -> Response:
        """Add a role."""
        made = services.create_role(body(request), who=request.user.get_username())
        return Response(RoleSerializer(made).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses=RoleSerializer)
    def retrieve(self, request: Request, code: str) -> Response:
        """One role."""
        return Response(RoleSerializer(selectors.role(code)).data)

    @extend_schema(request=RoleSerializer, responses=RoleSerializer)
    def partial_update(self, request: Request, code: str) -> Response:
        """Rename a role."""
        return Response(
            RoleSerializer(services.update_role(code, body(request), who=request.user.get_username())).data
        )

    @extend_schema(methods=["GET"], responses=RateSerializer(many=True))
    @extend_schema(methods=["POST"], request=RateWrite, responses={201: RateSerializer})
    @action(detail=True, methods=["get", "post"], pagination_class=None, permission_classes=[Pay])
    def rates(self, request: Request, code: str) -> Response:
        """All pay of a role, latest first; or new pay from a date on. Owners only."""
        if request.method == "GET":
            rows = selectors.role(code).rates.order_by("-valid_from")
            return Response(RateSerializer(rows, many=True).data)
        values, start = dated_body(request)
        made = services.set_rate(
            code, values, valid_from=start, today=timezone.localdate(), who=request.user.get_username()
        )
        return Response(RateSerializer(made).data, status=status.HTTP_201_CREATED)


@extend_schema(tags=["operations"])
class OperationViewSet(Tagged, viewsets.GenericViewSet[Operation]):
    """Steps of the shop's work, in order, with what they are planned to take."""

    permission_classes = (Catalogue,)
    serializer_class = OperationSerializer
    queryset = Operation.objects.all()
    lookup_field = "code"
    lookup_value_regex = "[^/]+"

    @extend_schema(parameters=[OperationQuery], responses=PlannedOperationSerializer(many=True))
    def list(self, request: Request) -> Response:
        """The operations in use, in order of work, with the standards that hold today."""
        query, today = OperationQuery.read(request), timezone.localdate()
        order = query.pop("ordering", None)
        page = self.paginate_queryset(in_order(selectors.operations(today, **query), order))
        rows = selectors.planned_operations(today, page or ())
        return self.get_paginated_response(
            PlannedOperationSerializer(rows, many=True).data  # type: ignore[arg-type]
        )

    @extend_schema(request=OperationSerializer, responses={201: OperationSerializer})
    def create(self, request: Request) -> Response:
        """Add an operation; its standard is added by its own address."""
        made = services.create_operation(body(request), who=request.user.get_username())
        return Response(OperationSerializer(made).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses=OperationSerializer)
    def retrieve(self, request: Request, code: str) -> Response:
        """One operation, in use or not."""
        return Response(OperationSerializer(selectors.operation(code)).data)

    @extend_schema(request=OperationSerializer, responses=OperationSerializer)
    def partial_update(self, request: Request, code: str) -> Response:
        """Change an operation's name, stage, place or retirement."""
        return Response(
            OperationSerializer(
                services.update_operation(code, body(request), who=request.user.get_username())
            ).data
        )

    @extend_schema(methods=["GET"], responses=StandardSerializer(many=True))
    @extend_schema(methods=["POST"], request=StandardWrite, responses={201: StandardSerializer})
    @action(detail=True, methods=["get", "post"], pagination_class=None)
    def standards(self, request: Request, code: str) -> Response:
        """All standards, latest first; or a new one from a date on, which starts from the one before."""
        if request.method == "GET":
            return Response(StandardSerializer(selectors.standard_history(code), many=True).data)
        values, start = dated_body(request)
        made = services.set_standard(
            code, values, valid_from=start, today=timezone.localdate(), who=request.user.get_username()
        )
        return Response(StandardSerializer(made).data, status=status.HTTP_201_CREATED)
