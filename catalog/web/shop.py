"""Pages of one mix and of the shop's terms."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from catalog import selectors
from catalog.access import may_change_prices
from catalog.services import mixes as services
from catalog.services.terms import update_terms
from catalog.web.doors import owners, readers, username
from catalog.web.forms import MixForm
from catalog.web.terms_form import TermsForm


@require_http_methods(["GET", "POST"])
@owners
def new_mix(request: HttpRequest) -> HttpResponse:
    """Add a mix."""
    start = {"air": 0, "allowance": 0.1, "fibre_share": 0, "water_l_per_bag": 0, "max_aggregate_mm": 10}
    form = MixForm(request.POST or None, new=True, initial=start)
    if (
        request.method == "POST"
        and (made := form.try_to(partial(services.create_mix, who=username(request)))) is not None
    ):
        messages.success(request, f"{made.code} can be cast with.")
        return redirect("catalog:mixes")
    context = {"form": form, "heading": "New mix", "may_change": True}
    return render(request, "catalog/mix.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@readers
def mix_page(request: HttpRequest, code: str) -> HttpResponse:
    """One mix with its recipe."""
    form = MixForm(request.POST or None, new=False, initial=MixForm.initial_of(selectors.mix(code)))
    if (
        request.method == "POST"
        and form.try_to(partial(services.update_mix, code, who=username(request))) is not None
    ):
        messages.success(request, f"{code} is changed.")
        return redirect("catalog:mixes")
    context = {"form": form, "heading": code, "may_change": may_change_prices(request.user)}
    return render(request, "catalog/mix.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@readers
def terms(request: HttpRequest) -> HttpResponse:
    """How the shop builds, prices and sells."""
    form = TermsForm(request.POST or None, initial=TermsForm.initial_of(selectors.shop_terms()))
    if request.method == "POST" and form.try_to(partial(update_terms, who=username(request))) is not None:
        messages.success(request, "The terms are changed.")
        return redirect("catalog:terms")
    context = {"form": form, "heading": "Shop terms", "may_change": may_change_prices(request.user)}
    return render(request, "catalog/terms.html", context, status=422 if form.errors else 200)
