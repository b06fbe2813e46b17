"""Who may open a page of jobs."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from shop.jobs.access import may_log, may_see_money, may_see_pay

P = ParamSpec("P")
Page = Callable[Concatenate[HttpRequest, P], HttpResponse]


def loggers(page: Page[P]) -> Page[P]:
    """Let everybody of the shop in."""
    return _door(page, may_log)


def money(page: Page[P]) -> Page[P]:
    """Let owners and estimators in."""
    return _door(page, may_see_money)


def owners(page: Page[P]) -> Page[P]:
    """Let owners in."""
    return _door(page, may_see_pay)


def _door(page: Page[P], lets_in: Callable[[object], bool]) -> Page[P]:
    @wraps(page)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not lets_in(request.user):
            raise PermissionDenied
        return page(request, *args, **kwargs)

    return guarded  # type: ignore[return-value]  # typeshed's wrapper names the request, the alias does not
