"""The shelf: what lies in the shop already, so that it is not bought again."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog import selectors
from catalog.measures import measure_of
from catalog.models import ShelfItem
from catalog.services.shelf import SIZES, change_on_shelf, put_on_shelf, take_off_shelf
from catalog.tables import shelf_table
from catalog.web.doors import office, readers, username
from catalog.web.fields import typed
from catalog.web.forms import ShelfForm
from catalog.web.ordering import Orders, csv_file, ordered

ROWS_A_PAGE = 100
ORDERS: Orders = {
    "code": ("material__code", "length_mm"),
    "name": ("material__name",),
    "place": ("place", "material__code"),
    "noted": ("noted_at",),
}


@require_safe
@readers
def shelf_list(request: HttpRequest) -> HttpResponse:
    """All that lies there."""
    rows, order = _rows(request)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    system = selectors.shop_terms().unit_system
    context = {
        "page": page,
        "rows": [(row, how_much(row, system)) for row in page],
        "order": order,
        "search": _search(request),
    }
    return render(request, "catalog/shelf.html", context)


@require_safe
@readers
def shelf_file(request: HttpRequest) -> HttpResponse:
    """The same as a table for a spreadsheet."""
    return csv_file(shelf_table(_rows(request)[0]), "shelf")


@require_http_methods(["GET", "POST"])
@office
def new_item(request: HttpRequest) -> HttpResponse:
    """Put something on the shelf."""
    start = {"count": 1, "material": request.GET.get("material", "")}
    form = ShelfForm(request.POST or None, new=True, initial=start)
    if request.method == "POST":
        made = form.try_to(lambda values: put_on_shelf(_said(values), who=username(request)))
        if made is not None:
            messages.success(request, f"{made.material.name} is on the shelf.")
            return redirect("catalog:shelf")
    context = {"form": form, "heading": "On the shelf", "back": "catalog:shelf"}
    return render(request, "catalog/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@office
def item_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One thing on the shelf: correct it, or take it off."""
    row = selectors.shelf_item(pk)
    start = {name: getattr(row, name) for name in SIZES}
    form = ShelfForm(request.POST or None, new=False, kind=row.material.kind, initial=start)
    write = partial(change_on_shelf, pk, who=username(request))
    if request.method == "POST" and form.try_to(write) is not None:
        messages.success(request, "The shelf is changed.")
        return redirect("catalog:shelf")
    context = {"row": row, "form": form}
    return render(request, "catalog/shelf_item.html", context, status=422 if form.errors else 200)


@require_POST
@office
def take_off(request: HttpRequest, pk: int) -> HttpResponse:
    """It lies there no more."""
    name = selectors.shelf_item(pk).material.name
    take_off_shelf(pk)
    messages.success(request, f"{name} is off the shelf.")
    return redirect("catalog:shelf")


def how_much(row: ShelfItem, system: str) -> str:
    """Sizes of offcuts, or content, in the shop's units.

    >>> from catalog.models import Material
    >>> board, bag = Material(kind="board"), Material(kind="bagged_mix")
    >>> how_much(ShelfItem(material=board, length_mm=1200, width_mm=800, count=2), "metric")
    '2 × 1200 × 800 mm'
    >>> how_much(ShelfItem(material=bag, content=45.359237), "us")
    '100 lb'
    """
    if row.is_offcut:
        inches = measure_of("length_mm", system)
        sides = [row.length_mm or 0.0, row.width_mm or 0.0]
        said = " × ".join(str(typed(side)) if inches is None else inches.shown(side) for side in sides)
        many = f"{row.count} × " if row.count > 1 else ""
        return f"{many}{said} {'mm' if inches is None else inches.unit}"
    measure = measure_of("content", system, row.material.kind)
    content = row.content or 0.0
    if measure is None:
        return f"{typed(content)} {row.material.content_unit}"
    return f"{measure.shown(content)} {measure.unit}"


def _said(values: Any) -> dict[str, object]:
    """What was typed: boards have no content, other things no sizes, so an empty field is left out."""
    return {name: value for name, value in values.items() if value != "" or name in ("material", "place")}


def _search(request: HttpRequest) -> str:
    return request.GET.get("search", "").replace("\x00", "").strip()


def _rows(request: HttpRequest) -> tuple[QuerySet[ShelfItem], str]:
    return ordered(selectors.shelf(search=_search(request)), request.GET.get("sort", ""), ORDERS)
