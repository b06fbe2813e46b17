"""Pages on which a piece is drawn: where to start, the editor, its live preview."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from quoting.engine.errors import Fault, Refused
from quoting.models import PieceRevision, SavedPiece
from quoting.selectors.pieces import newest_revision, pieces
from quoting.services.pieces import Overtaken, revise_piece, save_piece
from quoting.web.desk import desk
from quoting.web.differences import words_between
from quoting.web.doors import quoters
from quoting.web.editor import (
    Tried,
    as_text,
    changed_document,
    editor_context,
    fault_rows,
    preview_context,
    read_text,
    tried,
    typed_document,
    typed_names,
)
from quoting.web.entries import SHAPE_NAMES
from quoting.web.examples import examples
from quoting.web.forms_piece import Document
from quoting.web.shown import figures
from quoting.web.starting import plain_slab


@quoters
def new_piece(request: HttpRequest) -> HttpResponse:
    """Start a piece from an example, from a saved one, from a document, or from a plain slab."""
    if request.method == "POST":
        return _act(request, None)
    document = _started(request)
    if document is None:
        return _start_page(request)
    return _board(request, None, document)


@quoters
def edit_piece(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a saved piece; saving adds a revision."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    if request.method == "POST":
        return _act(request, piece)
    return _board(request, piece, newest_revision(piece).document)


@quoters
@require_POST
def preview(request: HttpRequest) -> HttpResponse:
    """What the form as it stands comes to: a fragment for the page."""
    at = desk()
    state = tried(typed_document(request.POST), at)
    context = preview_context(state, at, typed_names(request.POST))
    if state.made is not None:
        return render(request, "quoting/_preview.html", context | {"live": True})
    answer = render(request, "quoting/_refusals.html", context | {"live": True})
    answer["HX-Retarget"], answer["HX-Reswap"] = "#refusals", "innerHTML"
    return answer


def _act(request: HttpRequest, piece: SavedPiece | None) -> HttpResponse:
    """Do what the pressed button says."""
    action, _, upon = request.POST.get("do", "").partition(":")
    if action == "read":
        return _read(request, piece)
    if action == "save":
        return _save(request, piece, typed_document(request.POST), upon or request.POST.get("upon", ""))
    at = desk()
    document = changed_document(request.POST, at.codes, at.shown.system)
    if action == "download":
        answer = HttpResponse(as_text(document), content_type="application/json; charset=utf-8")
        answer["Content-Disposition"] = 'attachment; filename="piece.json"'
        return answer
    return _board(request, piece, document)


def _read(request: HttpRequest, piece: SavedPiece | None) -> HttpResponse:
    """Take a pasted or uploaded document into the form; where it is refused, it stays as it was given."""
    upload = request.FILES.get("file")
    text: str | bytes = upload.read() if upload else request.POST.get("document", "")
    try:
        document = read_text(text)
        desk().estimate(document)
    except Refused as refused:
        return _start_page(request, piece, text, refused.faults)
    return _board(request, piece, document)


def _save(request: HttpRequest, piece: SavedPiece | None, document: Document, upon: str) -> HttpResponse:
    """Save; `upon` is the number of the revision that is on the board, empty where the page did not say."""
    note = request.POST.get("note", "")
    changed = int(upon) if upon.isascii() and upon.isdecimal() else None
    try:
        if piece is None:
            revision = save_piece(document, note=note, by=request.user)
        else:
            revision = revise_piece(piece, document, note=note, by=request.user, upon=changed)
    except Refused as refused:
        return _board(request, piece, document, refused.faults)
    except ValidationError as invalid:
        faults = [Fault(name, " ".join(said), "invalid") for name, said in invalid.message_dict.items()]
        return _board(request, piece, document, tuple(faults))
    except Overtaken as overtaken:
        return _board(request, piece, document, overtaken=_overtaken(overtaken.newest, changed, document))
    messages.success(request, f"Saved as revision {revision.number}.")
    return redirect("quoting:piece", pk=revision.piece_id)


def _overtaken(newest: PieceRevision, upon: int | None, document: Document) -> dict[str, Any]:
    """What another has saved meanwhile, and what saving this would make of it, in words."""
    system = figures().system
    opened = newest.piece.revisions.filter(number=upon or 0).first()
    theirs = words_between(opened.document, newest.document, system) if opened is not None else ()
    return {"newest": newest, "theirs": theirs, "mine": words_between(newest.document, document, system)}


def _board(
    request: HttpRequest,
    piece: SavedPiece | None,
    document: Document,
    faults: tuple[Fault, ...] = (),
    overtaken: dict[str, Any] | None = None,
) -> HttpResponse:
    at = desk()
    state = Tried(document, None, faults) if faults else tried(document, at)
    upon = request.POST.get("upon") or (newest_revision(piece).number if piece is not None else "")
    context: dict[str, Any] = {"piece": piece, "upon": upon, "overtaken": overtaken}
    context["note"] = request.POST.get("note", "")
    context["note_faults"] = [fault.message for fault in faults if fault.path == "note"]
    status = 409 if overtaken else 422 if faults else 200
    return render(request, "quoting/board.html", context | editor_context(state, at), status=status)


def _start_page(
    request: HttpRequest,
    piece: SavedPiece | None = None,
    text: str | bytes = "",
    faults: tuple[Fault, ...] = (),
) -> HttpResponse:
    context: dict[str, Any] = {
        "piece": piece,
        "upon": request.POST.get("upon", ""),
        "examples": [(name, document["name"]) for name, document in examples().items()],
        "saved": pieces()[:200],
        "shapes": SHAPE_NAMES,
        "text": text.decode("utf-8", "replace") if isinstance(text, bytes) else text,
        "faults": fault_rows(faults, {}),
        "asked": request.GET,
    }
    return render(request, "quoting/start.html", context, status=422 if faults else 200)


def _started(request: HttpRequest) -> Document | None:
    """The document that the address asks to start from."""
    asked = request.GET
    if asked.get("example") in examples():
        return examples()[asked["example"]]
    if asked.get("revision", "").isdecimal():
        found: Document = get_object_or_404(PieceRevision, pk=asked["revision"]).document
        return found
    return plain_slab(asked) if asked.get("shape") else None
