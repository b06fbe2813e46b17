"""The lists of mixes, roles and operations: found, ordered, paged, and as tables for a spreadsheet."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog import selectors
from catalog.access import may_change_prices, may_see_pay
from catalog.models import Mix, Operation, Role
from catalog.tables import mix_table, operation_table, role_table
from catalog.vocabulary import Stage
from catalog.web.doors import readers
from catalog.web.ordering import Orders, csv_file, ordered
from catalog.web.standards import hours_by_driver

ROWS_A_PAGE = 100
FEW = 6
"""A list of so many rows is read at a glance: it has no search."""
MIX_ORDERS: Orders = {
    "code": ("code",),
    "name": ("name", "code"),
    "density": ("density_kg_m3", "code"),
    "strength": ("strength_28d_mpa", "code"),
}
ROLE_ORDERS: Orders = {"code": ("code",), "name": ("name", "code")}
PAY_ORDERS: Orders = {
    "pay": (F("pay_now").asc(nulls_last=True), "code"),
    "on-costs": (F("on_costs_now").asc(nulls_last=True), "code"),
    "since": (F("paid_since").asc(nulls_last=True), "code"),
}
OPERATION_ORDERS: Orders = {
    "place": ("position", "code"),
    "code": ("code",),
    "name": ("name", "code"),
    "stage": ("stage_place", "position", "code"),
    "role": (F("role_now").asc(nulls_last=True), "position", "code"),
    "crew": (F("crew_now").asc(nulls_last=True), "position", "code"),
    "setup": (F("setup_now").asc(nulls_last=True), "position", "code"),
    "breakage": (F("breakage_now").asc(nulls_last=True), "position", "code"),
}


def _asked(request: HttpRequest, name: str) -> str:
    return request.GET.get(name, "").replace("\x00", "").strip()


def _listed(request: HttpRequest, rows: QuerySet[Any], order: str, **more: object) -> dict[str, Any]:
    """What every one of these pages tells: a page of the rows, and what was asked for."""
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    narrowed = any(value for name, value in request.GET.items() if name not in ("sort", "page"))
    return {
        "page": page,
        "order": order,
        "search": _asked(request, "search"),
        "retired": "retired" in request.GET,
        "narrowed": narrowed,
        "many": narrowed or page.paginator.count > FEW,
        "may_change": may_change_prices(request.user),
        "terms": selectors.shop_terms(),
    } | more


# --- mixes -----------------------------------------------------------------------------------------------
@require_safe
@readers
def mixes(request: HttpRequest) -> HttpResponse:
    """What the shop casts with."""
    context = _listed(request, *_mixes(request))
    return render(request, "catalog/mixes.html", context)


@require_safe
@readers
def mixes_file(request: HttpRequest) -> HttpResponse:
    """The same mixes as a table for a spreadsheet."""
    return csv_file(mix_table(_mixes(request)[0]), "mixes")


def _mixes(request: HttpRequest) -> tuple[QuerySet[Mix], str]:
    rows = selectors.mixes(
        timezone.localdate(), search=_asked(request, "search"), retired="retired" in request.GET
    )
    return ordered(rows, request.GET.get("sort", ""), MIX_ORDERS)


# --- roles -----------------------------------------------------------------------------------------------
@require_safe
@readers
def roles(request: HttpRequest) -> HttpResponse:
    """All roles, for owners with their pay."""
    context = _listed(request, *_roles(request), may_see_pay=may_see_pay(request.user))
    context["rows"] = selectors.paid_roles(timezone.localdate(), context["page"])
    return render(request, "catalog/roles.html", context)


@require_safe
@readers
def roles_file(request: HttpRequest) -> HttpResponse:
    """The same roles as a table for a spreadsheet; pay only for who may see it."""
    rows = selectors.paid_roles(timezone.localdate(), _roles(request)[0])
    currency = selectors.shop_terms().currency
    return csv_file(role_table(rows, pay=may_see_pay(request.user), currency=currency), "roles")


def _roles(request: HttpRequest) -> tuple[QuerySet[Role], str]:
    rows = selectors.roles(timezone.localdate(), search=_asked(request, "search"))
    # Who may not see pay may not put people in the order of it either.
    orders = {**ROLE_ORDERS, **PAY_ORDERS} if may_see_pay(request.user) else ROLE_ORDERS
    return ordered(rows, request.GET.get("sort", ""), orders)


# --- operations ------------------------------------------------------------------------------------------
@require_safe
@readers
def operations(request: HttpRequest) -> HttpResponse:
    """The steps of the shop's work, with the standards that hold today."""
    context = _listed(request, *_operations(request), stages=Stage.choices, stage=_asked(request, "stage"))
    system = selectors.shop_terms().unit_system
    planned = selectors.planned_operations(timezone.localdate(), context["page"])
    context["rows"] = [
        (row.operation, row.standard, hours_by_driver(row.standard, system)) for row in planned
    ]
    return render(request, "catalog/operations.html", context)


@require_safe
@readers
def operations_file(request: HttpRequest) -> HttpResponse:
    """The same operations as a table for a spreadsheet."""
    rows = selectors.planned_operations(timezone.localdate(), _operations(request)[0])
    return csv_file(operation_table(rows), "operations")


def _operations(request: HttpRequest) -> tuple[QuerySet[Operation], str]:
    rows = selectors.operations(
        timezone.localdate(),
        search=_asked(request, "search"),
        stage=_asked(request, "stage"),
        retired="retired" in request.GET,
    )
    return ordered(rows, request.GET.get("sort", ""), OPERATION_ORDERS)
