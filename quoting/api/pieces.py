"""Saved pieces and their revisions over the API."""

from __future__ import annotations

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import mixins, serializers, status, viewsets
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.pages import Query, ordering
from catalog.api.tags import Tagged
from quoting.access import may_see_pay
from quoting.api.figures import EstimateRead
from quoting.api.permissions import Quoting
from quoting.api.serializers import (
    PieceChange,
    PieceSerializer,
    PieceWrite,
    RevisionSerializer,
    RevisionWrite,
)
from quoting.engine.estimate.report import report
from quoting.models import SavedPiece
from quoting.selectors.estimates import estimate_document
from quoting.selectors.pieces import newest_revision, pieces
from quoting.services.pieces import revise_piece, save_piece, update_piece


class PieceQuery(Query):
    """How the list of saved pieces may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of name or labels.")
    archived = serializers.BooleanField(required=False, default=False, help_text="Those put away.")
    ordering = ordering("name", "created_at", "updated_at")


@extend_schema_view(list=extend_schema(parameters=[PieceQuery]))
@extend_schema(tags=["pieces"])
class PieceViewSet(
    Tagged, mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[SavedPiece]
):
    """Pieces the shop has drawn; `search` narrows by words, `archived=true` shows those put away."""

    permission_classes = (Quoting,)
    serializer_class = PieceSerializer
    http_method_names = ["get", "post", "patch", "head", "options"]  # noqa: RUF012 - the base class types it so
    pace = "default"

    def get_queryset(self) -> QuerySet[SavedPiece]:
        """Saved pieces by name."""
        asked = PieceQuery.read(self.request)
        found = pieces(search=asked["search"], archived=asked["archived"])
        return found.order_by(asked["ordering"], "pk") if "ordering" in asked else found

    def get_object(self) -> SavedPiece:
        """One piece, put away or not."""
        return get_object_or_404(pieces() | pieces(archived=True), pk=self.kwargs["pk"])

    @extend_schema(request=PieceWrite, responses={201: RevisionSerializer})
    def create(self, request: Request) -> Response:
        """Save a specification as a new piece."""
        asked = PieceWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        revision = save_piece(asked.validated_data.pop("document"), **asked.validated_data, by=request.user)
        return Response(RevisionSerializer(revision).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=PieceChange, responses=PieceSerializer)
    def partial_update(self, request: Request, pk: str) -> Response:
        """Rename, label or put away a piece."""
        piece = self.get_object()
        asked = PieceChange(data=request.data)
        asked.is_valid(raise_exception=True)
        kept = {"name": piece.name, "labels": piece.labels, "archived": piece.archived}
        update_piece(piece, **kept | asked.validated_data)
        return Response(PieceSerializer(self.get_object()).data)

    @extend_schema(methods=["GET"], responses=RevisionSerializer(many=True))
    @extend_schema(methods=["POST"], request=RevisionWrite, responses={201: RevisionSerializer})
    @action(detail=True, methods=["get", "post"], pagination_class=None, filter_backends=())
    def revisions(self, request: Request, pk: str) -> Response:
        """All revisions, oldest first; or another one.

        Where somebody else may be drawing too, send `If-Match` with the piece's ETag: 412 when another
        revision was saved since, and nothing of either is lost.
        """
        piece = self.get_object()
        if request.method == "GET":
            return Response(RevisionSerializer(piece.revisions.order_by("number"), many=True).data)
        asked = RevisionWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        revision = revise_piece(
            piece, asked.validated_data["document"], note=asked.validated_data["note"], by=request.user
        )
        return Response(RevisionSerializer(revision).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses=EstimateRead)
    @action(detail=True, methods=["get"], pace="heavy")
    def takeoff(self, request: Request, pk: str) -> Response:
        """The newest revision taken off and priced at today's prices."""
        made = estimate_document(newest_revision(self.get_object()).document)
        return Response(report(made, pay=may_see_pay(request.user)))
