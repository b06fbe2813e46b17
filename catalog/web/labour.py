"""Pages of one role and of one operation."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog import selectors
from catalog.access import may_change_prices
from catalog.models import Operation, Role
from catalog.services import labour as services
from catalog.web.doors import owners, readers, username
from catalog.web.forms import OperationForm, RateForm, RoleForm, StandardForm
from catalog.web.standards import hours_by_driver


def _without_date(values: dict[str, object]) -> dict[str, object]:
    return {name: value for name, value in values.items() if name != "valid_from"}


# --- roles -----------------------------------------------------------------------------------------------
@require_http_methods(["GET", "POST"])
@owners
def new_role(request: HttpRequest) -> HttpResponse:
    """Add a role."""
    form = RoleForm(request.POST or None, new=True)
    if (
        request.method == "POST"
        and (made := form.try_to(partial(services.create_role, who=username(request)))) is not None
    ):
        return redirect("catalog:role", code=made.code)
    context = {"form": form, "heading": "New role", "back": "catalog:roles"}
    return render(request, "catalog/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@owners
def role_page(request: HttpRequest, code: str) -> HttpResponse:
    """One role: its name, and its pay through time."""
    row = selectors.role(code)
    form = RoleForm(request.POST or None, new=False, initial={"name": row.name})
    if (
        request.method == "POST"
        and form.try_to(partial(services.update_role, code, who=username(request))) is not None
    ):
        messages.success(request, f"{code} is changed.")
        return redirect("catalog:role", code=code)
    return _role_page(request, selectors.role(code), form, RateForm(initial=_pay_now(row)))


@require_http_methods(["POST"])
@owners
def new_rate(request: HttpRequest, code: str) -> HttpResponse:
    """Set a role's pay from a date on."""
    row = selectors.role(code)
    form = RateForm(request.POST)
    made = form.try_to(
        lambda values: services.set_rate(
            code,
            _without_date(dict(values)),
            valid_from=str(values["valid_from"]),
            today=timezone.localdate(),
            who=username(request),
        )
    )
    if made is None:
        return _role_page(request, row, RoleForm(new=False, initial={"name": row.name}), form)
    messages.success(request, f"{code} has new pay from {made.valid_from}.")
    return redirect("catalog:role", code=code)


def _role_page(request: HttpRequest, row: Role, form: RoleForm, pay: RateForm) -> HttpResponse:
    context = {
        "row": row,
        "form": form,
        "pay_form": pay,
        "history": row.rates.order_by("-valid_from"),
        "terms": selectors.shop_terms(),
    }
    return render(request, "catalog/role.html", context, status=422 if form.errors or pay.errors else 200)


def _pay_now(row: Role) -> dict[str, object]:
    today = timezone.localdate()
    rate = row.rates.filter(valid_from__lte=today).order_by("-valid_from").first()
    start: dict[str, object] = {"valid_from": today.isoformat(), "on_costs": "0"}
    if rate is None:
        return start
    return start | {"pay_per_hour": rate.pay_per_hour, "on_costs": rate.on_costs}


# --- operations ------------------------------------------------------------------------------------------
@require_http_methods(["GET", "POST"])
@owners
def new_operation(request: HttpRequest) -> HttpResponse:
    """Add a step of work."""
    form = OperationForm(request.POST or None, new=True, initial={"position": selectors.next_position()})
    if (
        request.method == "POST"
        and (made := form.try_to(partial(services.create_operation, who=username(request)))) is not None
    ):
        return redirect("catalog:operation", code=made.code)
    context = {"form": form, "heading": "New operation", "back": "catalog:operations"}
    return render(request, "catalog/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@readers
def operation_page(request: HttpRequest, code: str) -> HttpResponse:
    """One step of work: its name and place, its standards through time."""
    row = selectors.operation(code)
    start = {name: getattr(row, name) for name in ("name", "stage", "position", "retired_from")}
    form = OperationForm(request.POST or None, new=False, initial=start)
    if (
        request.method == "POST"
        and form.try_to(partial(services.update_operation, code, who=username(request))) is not None
    ):
        messages.success(request, f"{code} is changed.")
        return redirect("catalog:operation", code=code)
    return _operation_page(request, selectors.operation(code), form, StandardForm(initial=_standard_now(row)))


@require_http_methods(["POST"])
@owners
def new_standard(request: HttpRequest, code: str) -> HttpResponse:
    """Set an operation's standard from a date on."""
    row = selectors.operation(code)
    form = StandardForm(request.POST)
    made = form.try_to(
        lambda values: services.set_standard(
            code,
            _without_date(dict(values)),
            valid_from=str(values["valid_from"]),
            today=timezone.localdate(),
            who=username(request),
        )
    )
    if made is None:
        start = {name: getattr(row, name) for name in ("name", "stage", "position", "retired_from")}
        return _operation_page(request, row, OperationForm(new=False, initial=start), form)
    messages.success(request, f"{code} has a new standard from {made.valid_from}.")
    return redirect("catalog:operation", code=code)


def _standard_now(row: Operation) -> dict[str, object]:
    today = timezone.localdate()
    held = (
        row.standards.filter(valid_from__lte=today).select_related("role", "back_to").order_by("-valid_from")
    )
    return StandardForm.initial_of(held.first()) | {"valid_from": today.isoformat()}


def _operation_page(
    request: HttpRequest, row: Operation, form: OperationForm, standard: StandardForm
) -> HttpResponse:
    system = form.system
    history = [(one, hours_by_driver(one, system)) for one in selectors.standard_history(row.code)]
    context = {
        "row": row,
        "form": form,
        "standard_form": standard,
        "history": history,
        "may_change": may_change_prices(request.user),
    }
    status = 422 if form.errors or standard.errors else 200
    return render(request, "catalog/operation.html", context, status=status)
