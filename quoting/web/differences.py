"""What changed from one revision of a piece to the next, in words."""

from __future__ import annotations

from dataclasses import dataclass

from catalog import selectors as catalogue
from quoting.engine.errors import Refused
from quoting.engine.estimate.differences import differences as told
from quoting.engine.spec.parse import parse_piece
from quoting.models import PieceRevision, SavedPiece


@dataclass(frozen=True, slots=True)
class Change:
    """One revision and what it changed."""

    revision: PieceRevision
    words: tuple[str, ...]


def differences(piece: SavedPiece) -> list[Change]:
    """Every revision, newest first, with its changes against the one before, in the shop's units."""
    system = catalogue.shop_terms().unit_system
    found: list[Change] = []
    before: object = None
    for revision in piece.revisions.select_related("created_by").order_by("number"):
        words = ("first drawn",) if before is None else words_between(before, revision.document, system)
        found.append(Change(revision, words))
        before = revision.document
    return found[::-1]


def words_between(before: object, after: object, system: str) -> tuple[str, ...]:
    """The differences of two documents; of two that only spell the same piece differently, that."""
    try:
        said = told(parse_piece(before), parse_piece(after), system=system)
    except Refused:
        return ("saved under rules that hold no more; compare the documents",)
    return said or ("the same piece, written another way",)
