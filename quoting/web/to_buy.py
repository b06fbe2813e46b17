"""What to buy for several quotes at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog import selectors as catalogue
from catalog.web.ordering import csv_file
from quoting.documents.to_buy import board_drawings, orders_shown, to_buy_pdf, to_buy_table
from quoting.engine.errors import Refused
from quoting.models import Quote
from quoting.selectors.to_buy import MOST_QUOTES, ToBuy, candidates, to_buy
from quoting.web.doors import quoters
from quoting.web.shown import figures

MOST_OFFERED = 200


@quoters
@require_safe
def to_buy_page(request: HttpRequest) -> HttpResponse:
    """Choose quotes and see what to order for all of them together; at first those that are being made."""
    offered = list(candidates().select_related("job")[:MOST_OFFERED])
    chosen, shelf = _asked(request, offered)
    context: dict[str, Any] = {
        "rows": [(quote, quote in chosen) for quote in offered],
        "shelf": shelf,
        "most": MOST_QUOTES,
        "query": request.GET.urlencode()
        or "&".join(["asked=1", "shelf=1", *(f"quote={q.pk}" for q in chosen)]),
    }
    try:
        found = to_buy(chosen, on=timezone.localdate(), shelf=shelf)
    except Refused as refused:
        return render(request, "quoting/to_buy.html", context | {"faults": refused.faults}, status=422)
    return render(request, "quoting/to_buy.html", context | _shown(found))


@quoters
@require_safe
def to_buy_paper(request: HttpRequest) -> HttpResponse:
    """The same as a paper."""

    def paper(found: ToBuy) -> HttpResponse:
        answer = HttpResponse(to_buy_pdf(found, catalogue.shop_terms()), content_type="application/pdf")
        answer["Content-Disposition"] = 'inline; filename="buying-list.pdf"'
        return answer

    return _as(request, paper)


@quoters
@require_safe
def to_buy_file(request: HttpRequest) -> HttpResponse:
    """The same as a table for a spreadsheet."""
    return _as(request, lambda found: csv_file(to_buy_table(found), "buying-list"))


def _as(request: HttpRequest, made: Callable[[ToBuy], HttpResponse]) -> HttpResponse:
    chosen, shelf = _asked(request, list(candidates().select_related("job")[:MOST_OFFERED]))
    try:
        return made(to_buy(chosen, on=timezone.localdate(), shelf=shelf))
    except Refused:
        return redirect(f"{reverse('quoting:to-buy')}?{request.GET.urlencode()}")


def _asked(request: HttpRequest, offered: list[Quote]) -> tuple[list[Quote], bool]:
    """The quotes chosen, and whether the shelf is used; before anything is asked, what is being made."""
    if "asked" not in request.GET:
        return [quote for quote in offered if _being_made(quote)][:MOST_QUOTES], True
    wanted = set(request.GET.getlist("quote"))
    return [quote for quote in offered if str(quote.pk) in wanted], "shelf" in request.GET


def _being_made(quote: Quote) -> bool:
    """Accepted, and its job not closed yet."""
    job = getattr(quote, "job", None)
    return quote.status == Quote.Status.ACCEPTED and (job is None or job.closed_on is None)


def _shown(found: ToBuy) -> dict[str, Any]:
    shown = figures()
    return {
        "pieces": found.pieces,
        "orders": orders_shown(found, catalogue.shop_terms().locale),
        "total": shown.money(found.cost),
        "drawings": list(board_drawings(found)),
    }
