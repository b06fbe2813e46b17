"""Pages of saved pieces: one piece's sheet, its mould, its document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from quoting.access import may_see_pay
from quoting.engine.errors import Refused
from quoting.models import SavedPiece
from quoting.selectors.pieces import asked_revision
from quoting.services.pieces import update_piece
from quoting.web.desk import desk
from quoting.web.differences import differences
from quoting.web.doors import quoters
from quoting.web.editor import as_text, fault_rows
from quoting.web.mould_page import mould_context
from quoting.web.outlook import outlook_context
from quoting.web.piece_sheet import sheet


@quoters
@require_GET
def piece_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of a piece: one revision, its newest unless another is asked for."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    return _sheet_page(request, piece, {"name": piece.name, "labels": piece.labels}, {})


def _sheet_page(
    request: HttpRequest, piece: SavedPiece, typed: Mapping[str, str], refused: Mapping[str, list[str]]
) -> HttpResponse:
    """The sheet, with name and labels as `typed` and why they were refused, if they were."""
    revision = asked_revision(piece, request.GET.get("revision", ""))
    context: dict[str, Any] = {"piece": piece, "revision": revision, "revisions": differences(piece)}
    context |= {"typed": typed, "refused": refused}
    at = desk()
    try:
        made = at.estimate(revision.document)
    except Refused as not_cast:
        context["faults"] = fault_rows(not_cast.faults, {})
    else:
        context |= sheet(made, at.shown, at.names, pay=may_see_pay(request.user))
    return render(request, "quoting/piece.html", context, status=422 if refused else 200)


@quoters
@require_GET
def piece_mould(request: HttpRequest, pk: int) -> HttpResponse:
    """The mould taken apart, its parts and how they are cut."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    revision = asked_revision(piece, request.GET.get("revision", ""))
    context: dict[str, Any] = {"piece": piece, "revision": revision}
    at = desk()
    try:
        context |= mould_context(at.estimate(revision.document), at.book, at.shown)
    except Refused as refused:
        context["faults"] = fault_rows(refused.faults, {})
    return render(request, "quoting/mould.html", context)


@quoters
@require_GET
def piece_outlook(request: HttpRequest, pk: int) -> HttpResponse:
    """Prices by the number, and how sure the cost is."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    revision = asked_revision(piece, request.GET.get("revision", ""))
    context: dict[str, Any] = {"piece": piece, "revision": revision}
    at = desk()
    try:
        context |= outlook_context(at.estimate(revision.document), at.book, at.terms, at.shown)
    except Refused as refused:
        context["faults"] = fault_rows(refused.faults, {})
    return render(request, "quoting/outlook.html", context)


@quoters
@require_GET
def piece_document(request: HttpRequest, pk: int) -> HttpResponse:
    """The specification as a file to keep or to send."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    revision = asked_revision(piece, request.GET.get("revision", ""))
    answer = HttpResponse(as_text(revision.document), content_type="application/json; charset=utf-8")
    name = f"piece-{revision.piece_id}-revision-{revision.number}.json"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@quoters
@require_POST
def piece_details(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename or label a piece, put it away or take it out again."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    posted = request.POST
    archived = {"away": True, "back": False}.get(posted.get("do", ""), piece.archived)
    name, labels = posted.get("name", piece.name), posted.get("labels", piece.labels)
    try:
        update_piece(piece, name=name, labels=labels, archived=archived)
    except ValidationError as faults:
        piece.refresh_from_db()
        return _sheet_page(request, piece, {"name": name, "labels": labels}, faults.message_dict)
    messages.success(request, "Put away." if archived else "Saved.")
    return redirect("quoting:piece", pk=pk)
