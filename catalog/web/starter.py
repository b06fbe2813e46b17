"""The page of an empty shop: a first catalogue to begin from."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog import selectors
from catalog.errors import CatalogRefused
from catalog.services.starter import PACKS, load_starter, pack_document
from catalog.web.doors import owners, username

WORDS = {
    "metric": ("Metric packs", "sheets in mm, bags of 25 kg, litres"),
    "us": ("US packs", "4 × 8 ft sheets, bags of 60 lb, gallons"),
}


@require_http_methods(["GET", "POST"])
@owners
def starter(request: HttpRequest) -> HttpResponse:
    """Choose a pack and take it in; what the shop has already stays as it is."""
    faults: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            done = load_starter(
                request.POST.get("pack", ""),
                on=timezone.localdate(),
                who=username(request),
                own_currency="own_currency" in request.POST,
            )
        except CatalogRefused as refused:
            faults = tuple(fault.message for fault in refused.faults)
        else:
            messages.success(request, f"{done.created} rows are in, {done.kept} were there and stayed.")
            return redirect("catalog:prices")
    return render(request, "catalog/starter.html", _context(faults), status=422 if faults else 200)


def _context(faults: tuple[str, ...]) -> dict[str, object]:
    packs = [
        {
            "code": pack,
            "name": WORDS[pack][0],
            "words": WORDS[pack][1],
            "currency": document["terms"]["currency"],
            "materials": len(document["materials"]),
            "operations": len(document["operations"]),
        }
        for pack in PACKS
        for document in (pack_document(pack),)
    ]
    return {
        "packs": packs,
        "faults": faults,
        "terms": selectors.shop_terms(),
        "said": selectors.has_terms(),
        "empty": selectors.is_empty(),
    }
