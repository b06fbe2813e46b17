"""`POST takeoff`, `takeoff/what-if`, `cutlist`: a document in, figures out; nothing is kept."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from quoting.access import may_see_pay
from quoting.api.mould_figures import CutPlanRead
from quoting.api.outlook_figures import TakeoffRead, WhatIfRead
from quoting.api.permissions import Quoting
from quoting.engine.cutting.document import plan_document, read_request
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.estimate.report import report
from quoting.engine.spec.document import PieceDocument
from quoting.selectors.estimates import estimate_document, outlook_document, what_if_document

OUTLOOK = OpenApiParameter(
    "outlook", bool, description="Also the risk (10,000 draws) and the price-break table."
)


class ChangeSerializer(serializers.Serializer[Any]):
    """A change to a specification."""

    name = serializers.CharField(help_text="What it is called beside the others.")
    patch = serializers.DictField(help_text="The keys it sets: a merge patch (RFC 7396).")


class WhatIfSerializer(serializers.Serializer[Any]):
    """A specification, and changes to it."""

    specification = serializers.DictField(help_text="A piece specification, format 1.")
    changes = ChangeSerializer(
        many=True, required=False, help_text="Without: thicker, one more, a lighter mix, delivered."
    )


class CutStockWrite(serializers.Serializer[Any]):
    """A size of sheet. With a price of nought and a `count` it is on hand and used first."""

    code = serializers.CharField(max_length=200)
    length_mm = serializers.FloatField()
    width_mm = serializers.FloatField()
    price = serializers.FloatField(min_value=0)
    count = serializers.IntegerField(required=False, min_value=1, allow_null=True)


class CutPartWrite(serializers.Serializer[Any]):
    """A rectangular part, so many of it; `turn`: it may lie either way."""

    name = serializers.CharField(max_length=200)
    length_mm = serializers.FloatField()
    width_mm = serializers.FloatField()
    quantity = serializers.IntegerField(min_value=1)
    turn = serializers.BooleanField(required=False, default=True)


class CutListWrite(serializers.Serializer[Any]):
    """Parts to cut from sheets; lengths in mm."""

    kerf_mm = serializers.FloatField(min_value=0)
    trim_mm = serializers.FloatField(min_value=0)
    stock = CutStockWrite(many=True)
    parts = CutPartWrite(many=True)


class TakeoffView(APIView):
    """Take off and price a specification at today's prices."""

    permission_classes = (Quoting,)
    pace = "heavy"
    writes_nothing = True

    @extend_schema(
        operation_id="takeoff",
        request=PieceDocument,
        parameters=[OUTLOOK],
        responses=TakeoffRead,
        tags=["takeoff"],
    )
    def post(self, request: Request) -> Response:
        """Quantities, hours, cure, handling, cautions and price of one specification."""
        made = estimate_document(request.data)
        answer = report(made, pay=may_see_pay(request.user))
        if request.query_params.get("outlook") == "true":
            answer |= outlook_document(made)
        return Response(answer)


class WhatIfView(APIView):
    """Lay changes to a specification side by side."""

    permission_classes = (Quoting,)
    pace = "heavy"
    writes_nothing = True

    @extend_schema(
        operation_id="takeoff_what_if",
        request=WhatIfSerializer,
        responses=WhatIfRead,
        tags=["takeoff"],
    )
    def post(self, request: Request) -> Response:
        """Price, cost, hours, mass and day of the specification and of each change, and the differences."""
        return Response(what_if_document(request.data))


class CutListView(APIView):
    """Lay out any list of rectangular parts on sheets."""

    permission_classes = (Quoting,)
    pace = "heavy"
    writes_nothing = True

    @extend_schema(
        operation_id="cutlist",
        request=CutListWrite,
        responses=CutPlanRead,
        tags=["takeoff"],
    )
    def post(self, request: Request) -> Response:
        """Sheets with placed parts, cuts in order, offcuts; how good the plan is known to be."""
        plan: Any = lay_out_sheets(read_request(request.data))
        return Response(plan_document(plan))
