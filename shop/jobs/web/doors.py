"""Who may open a page of jobs, and refusals told on the page they came from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse

from catalog.errors import CatalogRefused
from quoting.engine.errors import Refused
from quoting.errors import IllegalMove
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


def tried(request: HttpRequest, doing: Callable[[], object], done: str) -> bool:
    """Do a write; say that it is done, or what was refused. Returns whether it is done."""
    try:
        doing()
    except (Refused, CatalogRefused, IllegalMove, ValidationError) as refusal:
        for sentence in _sentences(refusal):
            messages.error(request, sentence)
        return False
    messages.success(request, done)
    return True


def _sentences(refusal: Exception) -> Iterable[str]:
    if isinstance(refusal, Refused | CatalogRefused):
        return [fault.message for fault in refusal.faults]
    if isinstance(refusal, ValidationError):
        if not hasattr(refusal, "error_dict"):
            return refusal.messages
        return [f"{name}: {text}" for name, texts in refusal.message_dict.items() for text in texts]
    return [str(refusal)]


def _door(page: Page[P], lets_in: Callable[[object], bool]) -> Page[P]:
    @wraps(page)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not lets_in(request.user):
            raise PermissionDenied
        return page(request, *args, **kwargs)

    return guarded  # type: ignore[return-value]  # typeshed's wrapper names the request, the alias does not
