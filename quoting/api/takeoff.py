"""`POST takeoff`, `POST cutlist`: a document in, figures out; nothing is kept."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from quoting.access import may_see_pay
from quoting.api.permissions import Quoting
from quoting.engine.cutting.document import plan_document, read_request
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.estimate.report import report
from quoting.engine.spec.document import PieceDocument
from quoting.selectors.estimates import estimate_document


class TakeoffView(APIView):
    """Take off and price a specification at today's prices."""

    permission_classes = (Quoting,)

    @extend_schema(
        operation_id="takeoff", request=PieceDocument, responses={200: OpenApiTypes.OBJECT}, tags=["takeoff"]
    )
    def post(self, request: Request) -> Response:
        """Quantities, hours, cure, handling, cautions and price of one specification."""
        return Response(report(estimate_document(request.data), pay=may_see_pay(request.user)))


class CutListView(APIView):
    """Lay out any list of rectangular parts on sheets."""

    permission_classes = (Quoting,)

    @extend_schema(
        operation_id="cutlist",
        request=OpenApiTypes.OBJECT,
        responses={200: OpenApiTypes.OBJECT},
        tags=["takeoff"],
    )
    def post(self, request: Request) -> Response:
        """Sheets with placed parts, cuts in order, offcuts; how good the plan is known to be."""
        plan: Any = lay_out_sheets(read_request(request.data))
        return Response(plan_document(plan))
