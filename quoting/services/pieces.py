"""Writing saved pieces: a changed specification is another revision, never an overwrite."""

from __future__ import annotations

from django.db import transaction

from quoting.access import Person
from quoting.engine.spec.scaled import Factors, scaled_document
from quoting.models import PieceRevision, SavedPiece
from quoting.selectors.estimates import parse_document


class Overtaken(Exception):
    """Somebody added a revision since the one that a change was made to."""

    def __init__(self, newest: PieceRevision) -> None:
        self.newest = newest
        super().__init__(f"{newest} was saved meanwhile")


@transaction.atomic
def save_piece(
    document: object, *, name: str = "", labels: str = "", note: str = "", by: Person = None
) -> PieceRevision:
    """Save a piece and its first revision; without a name it is called what its specification says.

    Raises Refused when the specification cannot be cast, ValidationError for the rest.
    """
    parsed = parse_document(document)
    piece = SavedPiece(name=name.strip() or parsed.name, labels=labels.strip())
    piece.full_clean()
    piece.save()
    return _add_revision(piece, document, note, by)


@transaction.atomic
def revise_piece(
    piece: SavedPiece, document: object, *, note: str = "", by: Person = None, upon: int | None = None
) -> PieceRevision:
    """Add a revision; the same document as the newest one's is that one, so saving twice changes nothing.

    `upon` is the number of the revision that was changed: raises `Overtaken` where it is not the newest.
    """
    parse_document(document)
    locked = SavedPiece.objects.select_for_update().get(pk=piece.pk)
    newest = locked.revisions.order_by("-number").first()
    if newest is not None and newest.document == document:
        return newest
    if newest is not None and upon is not None and newest.number != upon:
        raise Overtaken(newest)
    return _add_revision(locked, document, note, by)


@transaction.atomic
def copy_piece(
    revision: PieceRevision,
    *,
    name: str,
    factors: Factors = Factors(),  # noqa: B008 - a frozen value
    labels: str | None = None,
    by: Person = None,
) -> PieceRevision:
    """Save a revision as a new piece, scaled if asked; the labels go with it unless others are given.

    Raises Refused when the scaled piece cannot be cast, ValidationError for the rest.
    """
    name = name.strip()
    document = revision.document
    if factors != Factors():
        document = scaled_document(parse_document(document), factors)
    document = document | {"name": name or document["name"]}
    return save_piece(
        document,
        name=name,
        labels=revision.piece.labels if labels is None else labels,
        note=f"Copied from {revision}{_scaled_by(factors)}"[:500],
        by=by,
    )


@transaction.atomic
def update_piece(piece: SavedPiece, *, name: str, labels: str, archived: bool) -> SavedPiece:
    """Rename, label or put away a piece. Raises ValidationError by field."""
    piece.name, piece.labels, piece.archived = name.strip(), labels.strip(), archived
    piece.full_clean()
    piece.save()
    return piece


def _scaled_by(factors: Factors) -> str:
    if factors.whole:
        return f", × {factors.length:g}"
    named = {"length": factors.length, "width": factors.width, "thickness": factors.thickness}
    return "".join(f", {name} × {factor:g}" for name, factor in named.items() if factor != 1)


def _add_revision(piece: SavedPiece, document: object, note: str, by: Person) -> PieceRevision:
    last = piece.revisions.order_by("-number").values_list("number", flat=True).first() or 0
    revision = PieceRevision(
        piece=piece, number=last + 1, document=document, note=note.strip(), created_by=by
    )
    revision.full_clean(exclude=("created_by",))
    revision.save()
    return revision
