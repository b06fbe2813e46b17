"""Reading saved pieces and clients."""

from __future__ import annotations

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet, Subquery
from django.shortcuts import get_object_or_404

from catalog.search import words_of
from quoting.models import Client, PieceRevision, SavedPiece


def pieces(*, search: str = "", archived: bool = False) -> QuerySet[SavedPiece]:
    """Saved pieces by name, each with `revision_count`, `newest_number` and `newest_id`."""
    newest = PieceRevision.objects.filter(piece=OuterRef("pk")).order_by("-number").values("pk")[:1]
    found = SavedPiece.objects.filter(archived=archived)
    for word in words_of(search):
        found = found.filter(Q(name__icontains=word) | Q(labels__icontains=word))
    return found.annotate(
        revision_count=Count("revisions"), newest_number=Max("revisions__number"), newest_id=Subquery(newest)
    ).order_by("name", "pk")


def newest_revision(piece: SavedPiece) -> PieceRevision:
    """The revision that stands; every saved piece has one."""
    return piece.revisions.order_by("-number").select_related("piece", "created_by")[:1].get()


def asked_revision(piece: SavedPiece, number: str) -> PieceRevision:
    """The revision with a number as an address has it, the newest for none; Http404 where there is none."""
    if not number:
        return newest_revision(piece)
    return get_object_or_404(
        piece.revisions.select_related("piece", "created_by"),
        number=int(number) if number.isascii() and number.isdecimal() else 0,
    )


def newest_revisions() -> QuerySet[PieceRevision]:
    """The revision that stands of every piece in use, by the piece's name."""
    newer = PieceRevision.objects.filter(piece=OuterRef("piece"), number__gt=OuterRef("number"))
    found = PieceRevision.objects.select_related("piece").filter(~Exists(newer), piece__archived=False)
    return found.order_by("piece__name", "pk")


def clients(*, search: str = "") -> QuerySet[Client]:
    """Clients by name, each with `quote_count`."""
    found = Client.objects.all()
    for word in words_of(search):
        found = found.filter(Q(name__icontains=word) | Q(contact_name__icontains=word))
    return found.annotate(quote_count=Count("quotes")).order_by("name", "pk")
