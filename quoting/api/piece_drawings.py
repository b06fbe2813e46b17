"""The drawings and full-size templates of a saved piece: its newest revision, with today's catalogue."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.views import APIView

from catalog import selectors as catalogue
from catalog.api.tags import Tagged
from quoting.api.permissions import Quoting
from quoting.documents.drawings import KINDS, drawing
from quoting.documents.templates import PAPERS, paper_named, templates_pdf
from quoting.engine.estimate.build import Estimate
from quoting.models import SavedPiece
from quoting.selectors.estimates import estimate_document
from quoting.selectors.pieces import newest_revision
from quoting.selectors.price_book import names_of, shop_terms


class _AsSvg(JSONRenderer):
    """Lets a caller ask for SVG; what is refused is still said as JSON."""

    media_type = "image/svg+xml"
    format = "svg"


class _AsPdf(JSONRenderer):
    """Lets a caller ask for PDF; what is refused is still said as JSON."""

    media_type = "application/pdf"
    format = "pdf"


def _newest(pk: int) -> Estimate:
    return estimate_document(newest_revision(get_object_or_404(SavedPiece, pk=pk)).document)


class PieceDrawingView(Tagged, APIView):
    """One drawing of a saved piece."""

    permission_classes = (Quoting,)
    pace = "heavy"
    renderer_classes = (JSONRenderer, _AsSvg)

    @extend_schema(
        operation_id="pieces_drawing",
        tags=["pieces"],
        parameters=[
            OpenApiParameter("kind", str, OpenApiParameter.PATH, enum=list(KINDS)),
            OpenApiParameter("compact", bool, description="lettered for a phone"),
        ],
        responses={(200, "image/svg+xml"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, pk: int, kind: str) -> HttpResponse:
        """Plan, section, isometric view, or the mould taken apart, as SVG."""
        found = next((known for known in KINDS if known == kind), None)
        if found is None:
            raise Http404
        compact = request.query_params.get("compact") == "true"
        made = drawing(_newest(pk), found, names_of(), system=shop_terms().unit_system, compact=compact)
        answer = HttpResponse(made.svg, content_type="image/svg+xml")
        answer["Content-Disposition"] = f'inline; filename="piece-{pk}-{found}.svg"'
        return answer


class PieceTemplatesView(Tagged, APIView):
    """The full-size templates of a saved piece."""

    permission_classes = (Quoting,)
    pace = "heavy"
    renderer_classes = (JSONRenderer, _AsPdf)

    @extend_schema(
        operation_id="pieces_templates",
        tags=["pieces"],
        parameters=[
            OpenApiParameter("paper", str, enum=list(PAPERS), description="the shop's own where left out"),
            OpenApiParameter("mirrored", bool, description="turned over, for the base of a face-down mould"),
        ],
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, pk: int) -> HttpResponse:
        """Openings and curved edges at full size on pages to print, join and trace."""
        paper = paper_named(request.query_params.get("paper", catalogue.shop_terms().paper_size))
        mirrored = request.query_params.get("mirrored") == "true"
        solid, system = _newest(pk).solid, shop_terms().unit_system
        written = templates_pdf(solid, paper, system=system, mirrored=mirrored)
        answer = HttpResponse(written, content_type="application/pdf")
        answer["Content-Disposition"] = f'inline; filename="piece-{pk}-templates-{paper}.pdf"'
        return answer
