"""Who may open a page of quoting."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render

from quoting.access import may_quote

P = ParamSpec("P")
METHODS = ("GET", "HEAD", "POST")
Page = Callable[Concatenate[HttpRequest, P], HttpResponse]


def quoters(page: Page[P]) -> Page[P]:
    """Let owners and estimators in; everybody else is told so in plain words, with status 403."""

    @wraps(page)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not may_quote(request.user):
            return render(request, "quoting/not_yours.html", status=HTTPStatus.FORBIDDEN)
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        return page(request, *args, **kwargs)

    return guarded  # type: ignore[return-value]  # typeshed's wrapper names the request, the alias does not
