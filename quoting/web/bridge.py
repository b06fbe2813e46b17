"""The page that holds an issued quote against today, part by part."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET

from quoting.engine.drawing.waterfall import Step, waterfall
from quoting.engine.errors import Refused
from quoting.models import Quote
from quoting.selectors.bridge import ThenNow, quote_bridge
from quoting.selectors.quotes import quotes
from quoting.web.doors import quoters
from quoting.web.shown import Figures, figures


@quoters
@require_GET
def bridge_page(request: HttpRequest, pk: int) -> HttpResponse:
    """What was asked then, what it would be today or is in the draft `against`, and why.

    A draft leads back to its form, and so does one that cannot be priced.
    """
    quote, draft = get_object_or_404(quotes(), pk=pk), _against(request)
    if quote.status == Quote.Status.DRAFT:
        return redirect("quoting:quote", pk=pk)
    try:
        held = quote_bridge(quote, against=draft)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("quoting:quote", pk=draft.pk if draft else pk)
    context = {"quote": quote, "draft": draft} | bridge_context(held, figures())
    return render(request, "quoting/bridge.html", context)


def _against(request: HttpRequest) -> Quote | None:
    asked = request.GET.get("against", "")
    return get_object_or_404(quotes(), pk=asked) if asked.isdecimal() else None


def bridge_context(held: ThenNow, shown: Figures) -> dict[str, Any]:
    """A bridge as the page shows it: figures, rows, the waterfall, what changed of the pieces."""
    parts = held.bridge.parts
    steps = [
        Step(part.name, float(part.after - part.change), float(part.after), shown.money(part.change))
        for part in parts
    ]
    return {
        "then": shown.money(held.bridge.start),
        "then_on": held.then_on,
        "now": shown.money(held.bridge.end),
        "now_on": held.now_on,
        "change": shown.money(held.bridge.end - held.bridge.start),
        "option": held.option,
        "parts": [
            {"name": part.name, "change": shown.money(part.change), "after": shown.money(part.after)}
            for part in parts
        ],
        "chart": waterfall(steps, title="From then to now").svg if parts else "",
        "small": waterfall(steps, title="From then to now", compact=True, prefix="small").svg
        if parts
        else "",
        "pieces": held.pieces,
        "notes": held.notes,
    }
