"""The lists of pieces and of clients, on a page and as tables for a spreadsheet."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog import selectors as catalogue
from catalog.csv_cells import write_table
from catalog.web.ordering import csv_file, ordered
from quoting.models import Client, SavedPiece
from quoting.selectors.pieces import clients, pieces
from quoting.web.doors import quoters

PIECES_ON_A_PAGE = 24
CLIENTS_ON_A_PAGE = 40
PIECE_ORDERS = {
    "name": ("name",),
    "changed": ("-updated_at",),
    "labels": ("labels", "name"),
    "revision": ("-newest_number", "name"),
}
CLIENT_ORDERS = {
    "name": ("name",),
    "contact": ("contact_name", "name"),
    "email": ("email", "name"),
    "quotes": ("-quote_count", "name"),
}
PIECE_HEADER = ("name", "labels", "revision", "changed_on", "put_away")
CLIENT_HEADER = ("name", "contact", "email", "phone", "address", "quotes")


@quoters
@require_GET
def piece_list(request: HttpRequest) -> HttpResponse:
    """Saved pieces, by name unless asked otherwise."""
    rows, order = _pieces(request)
    page = Paginator(rows, PIECES_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "search": request.GET.get("search", "").strip(),
        "archived": request.GET.get("archived") == "1",
        "order": order,
        "no_prices": not page.object_list and catalogue.is_empty(),
    }
    return render(request, "quoting/piece_list.html", context)


@quoters
@require_GET
def piece_table(request: HttpRequest) -> HttpResponse:
    """The list of pieces as a table."""
    rows, _ = _pieces(request)
    cells = [
        (
            piece.name,
            piece.labels,
            str(piece.newest_number),  # type: ignore[attr-defined]  # annotated
            timezone.localdate(piece.updated_at).isoformat(),
            "yes" if piece.archived else "no",
        )
        for piece in rows
    ]
    return csv_file(write_table(PIECE_HEADER, cells), "pieces")


def _pieces(request: HttpRequest) -> tuple[QuerySet[SavedPiece], str]:
    search, archived = request.GET.get("search", "").strip(), request.GET.get("archived") == "1"
    return ordered(pieces(search=search, archived=archived), request.GET.get("sort", ""), PIECE_ORDERS)


@quoters
@require_GET
def client_list(request: HttpRequest) -> HttpResponse:
    """Clients, by name unless asked otherwise."""
    rows, order = _clients(request)
    page = Paginator(rows, CLIENTS_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "search": request.GET.get("search", "").strip(), "order": order}
    return render(request, "quoting/client_list.html", context)


@quoters
@require_GET
def client_table(request: HttpRequest) -> HttpResponse:
    """The list of clients as a table."""
    rows, _ = _clients(request)
    cells = [
        (one.name, one.contact_name, one.email, one.phone, one.address, str(one.quote_count))  # type: ignore[attr-defined]
        for one in rows
    ]
    return csv_file(write_table(CLIENT_HEADER, cells), "clients")


def _clients(request: HttpRequest) -> tuple[QuerySet[Client], str]:
    search = request.GET.get("search", "").strip()
    return ordered(clients(search=search), request.GET.get("sort", ""), CLIENT_ORDERS)
