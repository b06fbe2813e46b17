"""Who may open a page under Prices."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from catalog.access import may_change_prices, may_read_prices
from catalog.errors import NoSuchRow

P = ParamSpec("P")
Page = Callable[Concatenate[HttpRequest, P], HttpResponse]


def readers(page: Page[P]) -> Page[P]:
    """Let owners and estimators read a page, and only owners send anything to it."""
    return _door(page, lambda request: request.method in ("GET", "HEAD") and may_read_prices(request.user))


def office(page: Page[P]) -> Page[P]:
    """Let owners and estimators read a page and send to it."""
    return _door(page, lambda request: may_read_prices(request.user))


def owners(page: Page[P]) -> Page[P]:
    """Let only owners open a page."""
    return _door(page, lambda request: False)


def _door(page: Page[P], lets_in: Callable[[HttpRequest], bool]) -> Page[P]:
    @wraps(page)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not (may_change_prices(request.user) or lets_in(request)):
            raise PermissionDenied
        try:
            return page(request, *args, **kwargs)
        except NoSuchRow as missing:
            context = {"title": "Not found", "detail": f"{str(missing).capitalize()}."}
            return render(request, "catalog/missing.html", context, status=404)

    return guarded  # type: ignore[return-value]  # typeshed's wrapper names the request, the alias does not


def username(request: HttpRequest) -> str:
    """Return who is at the page, for the record."""
    return str(getattr(request.user, "username", ""))
