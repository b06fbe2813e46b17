"""The page of the shop's logo, and the logo."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from catalog import selectors
from catalog.access import may_change_prices
from catalog.answers import picture_answer
from catalog.models import ShopTerms
from catalog.pictures import LOGO
from catalog.services.terms import remove_logo, set_logo
from catalog.web.doors import owners, readers, username
from catalog.web.fields import SheetForm, field_for


class LogoForm(SheetForm):
    """A picture, and what it shows."""

    groups: ClassVar[Any] = (("Logo", ("picture", "logo_text")),)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["picture"] = forms.FileField(
            required=False,
            label="File",
            widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png"}),
            help_text=f"JPEG or PNG, up to {LOGO.most_bytes // 1024**2} MB. Empty: the one there is stays.",
        )
        self.fields["logo_text"] = field_for(ShopTerms, "logo_text")

    def write(self, values: Mapping[str, object], *, who: str) -> ShopTerms:
        """Set the logo."""
        sent: Any = values["picture"]
        content = sent.read(LOGO.most_bytes + 1) if sent else None
        return set_logo(content, str(values["logo_text"]), who=who)


@require_http_methods(["GET", "POST"])
@readers
def logo_page(request: HttpRequest) -> HttpResponse:
    """See the logo; put another in its place."""
    terms = selectors.shop_terms()
    form = LogoForm(request.POST or None, request.FILES or None, initial={"logo_text": terms.logo_text})
    if request.method == "POST" and form.try_to(partial(form.write, who=username(request))) is not None:
        messages.success(request, "The logo is changed. What was issued keeps the one it has.")
        return redirect("catalog:logo")
    context = {"form": form, "terms": terms, "may_change": may_change_prices(request.user)}
    return render(request, "catalog/logo.html", context, status=422 if form.errors else 200)


@require_POST
@owners
def take_off(request: HttpRequest) -> HttpResponse:
    """Take the logo off the papers to come."""
    remove_logo(who=username(request))
    messages.success(request, "The papers to come have no logo. What was issued keeps the one it has.")
    return redirect("catalog:logo")


@require_http_methods(["GET"])
@readers
def logo_picture(request: HttpRequest) -> HttpResponse:
    """The logo."""
    logo = selectors.logo(selectors.shop_terms())
    if logo is None:
        raise Http404
    return picture_answer(request, logo, "logo")
