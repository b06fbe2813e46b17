"""Pages of materials and their prices."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog import price_list, selectors
from catalog.access import may_change_prices
from catalog.models import Material
from catalog.services import materials as services
from catalog.services.materials import DESCRIPTION
from catalog.vocabulary import CONTENT_UNIT, USAGES, MaterialKind
from catalog.web.doors import owners, readers, username
from catalog.web.forms import MaterialForm, PriceForm
from catalog.web.ordering import Orders, csv_file, ordered

ROWS_A_PAGE = 100
ORDERS: Orders = {
    "code": ("code",),
    "name": ("name", "code"),
    "kind": ("kind", "code"),
    "price": (F("price_now").asc(nulls_last=True), "code"),
    "since": (F("price_since").asc(nulls_last=True), "code"),
    "supplier": ("supplier", "code"),
}


@require_safe
@readers
def price_table(request: HttpRequest) -> HttpResponse:
    """All materials with the prices that hold today."""
    rows, order = _materials(request)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": selectors.priced(page.object_list, timezone.localdate()),
        "asked": _asked(request),
        "order": order,
        "retired": "retired" in request.GET,
        "kinds": MaterialKind.choices,
        "usages": USAGES.items(),
        "terms": selectors.shop_terms(),
        "empty": selectors.is_empty(),
        "may_change": may_change_prices(request.user),
    }
    return render(request, "catalog/materials.html", context)


@require_safe
@readers
def price_file(request: HttpRequest) -> HttpResponse:
    """Today's price list as a CSV file: of all materials in use, or of those asked for."""
    today = timezone.localdate()
    return csv_file(price_list.export(today, _materials(request)[0]), f"price-list-{today.isoformat()}")


def _asked(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET.get(name, "").replace("\x00", "") for name in ("search", "kind", "usage")}


def _materials(request: HttpRequest) -> tuple[QuerySet[Material], str]:
    today = timezone.localdate()
    rows = selectors.materials(today, **_asked(request), retired="retired" in request.GET)
    return ordered(selectors.with_prices(rows, today), request.GET.get("sort", ""), ORDERS)


@require_http_methods(["GET", "POST"])
@owners
def new_material(request: HttpRequest) -> HttpResponse:
    """Add a material with its first price."""
    form = MaterialForm(request.POST or None, new=True, initial={"waste": 0, "lead_days": 0})
    if request.method == "POST":
        made = form.try_to(
            lambda values: services.create_material(
                {name: value for name, value in values.items() if name != "price"},
                price=values["price"],
                today=timezone.localdate(),
                who=username(request),
            )
        )
        if made is not None:
            messages.success(request, f"{made.code} is in the price list.")
            return redirect("catalog:material", code=made.code)
    context = {"form": form, "heading": "New material", "back": "catalog:prices", "units": CONTENT_UNIT}
    return render(request, "catalog/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@readers
def material_page(request: HttpRequest, code: str) -> HttpResponse:
    """One material: what it is, and its prices through time."""
    row = selectors.material(code)
    start = {name: getattr(row, name) for name in DESCRIPTION}
    form = MaterialForm(request.POST or None, new=False, kind=row.kind, initial=start)
    if (
        request.method == "POST"
        and form.try_to(partial(services.update_material, code, who=username(request))) is not None
    ):
        messages.success(request, f"{code} is changed.")
        return redirect("catalog:material", code=code)
    return _material_page(request, selectors.material(code), form, PriceForm(initial=_from_today()))


@require_http_methods(["POST"])
@owners
def new_price(request: HttpRequest, code: str) -> HttpResponse:
    """Set a material's price from a date on."""
    row = selectors.material(code)
    form = PriceForm(request.POST)
    made = form.try_to(
        lambda values: services.set_price(
            code,
            values["price"],
            valid_from=str(values["valid_from"]),
            today=timezone.localdate(),
            who=username(request),
        )
    )
    if made is None:
        start = {name: getattr(row, name) for name in DESCRIPTION}
        return _material_page(request, row, MaterialForm(new=False, kind=row.kind, initial=start), form)
    messages.success(request, f"{code} costs {selectors.trimmed(made.price)} from {made.valid_from}.")
    return redirect("catalog:material", code=code)


def _from_today() -> dict[str, object]:
    return {"valid_from": timezone.localdate().isoformat()}


def _material_page(request: HttpRequest, row: Material, form: MaterialForm, price: PriceForm) -> HttpResponse:
    (now,) = selectors.priced([row], timezone.localdate())
    context = {
        "now": now,
        "form": form,
        "price_form": price,
        "history": selectors.price_history(row.code),
        "terms": selectors.shop_terms(),
        "may_change": may_change_prices(request.user),
    }
    status = 422 if form.errors or price.errors else 200
    return render(request, "catalog/material.html", context, status=status)
