"""The page that takes a price list in from CSV."""

from __future__ import annotations

import base64
import binascii

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog import price_list
from catalog.csv_cells import MOST_BYTES
from catalog.errors import CatalogRefused
from catalog.web.doors import owners, username

SHOWN_CHANGES = 200


@require_http_methods(["GET", "POST"])
@owners
def take_in(request: HttpRequest) -> HttpResponse:
    """Choose a file, see what it would change and every fault in it; then take it in, or not."""
    if request.method == "GET":
        return render(request, "catalog/import.html", {"columns": price_list.COLUMNS})
    if "content" in request.POST:
        return _apply(request)
    chosen = request.FILES.get("file")
    content = b"" if chosen is None else chosen.read(MOST_BYTES + 1)
    return _show(request, content)


def _show(request: HttpRequest, content: bytes, notes: tuple[str, ...] = ()) -> HttpResponse:
    found = price_list.preview(content, today=timezone.localdate())
    context = {
        "columns": price_list.COLUMNS,
        "found": found,
        "changes": found.changes[:SHOWN_CHANGES],
        "more": len(found.changes) - SHOWN_CHANGES,
        "content": base64.b64encode(content).decode("ascii"),
        "notes": notes,
    }
    return render(request, "catalog/import.html", context, status=422 if found.faults or notes else 200)


def _apply(request: HttpRequest) -> HttpResponse:
    try:
        content = base64.b64decode(request.POST["content"], validate=True)
    except (binascii.Error, ValueError):
        return _show(request, b"")
    try:
        done = price_list.apply(
            content, today=timezone.localdate(), who=username(request), digest=request.POST.get("digest", "")
        )
    except CatalogRefused as refused:
        outdated = [fault.message for fault in refused.faults if fault.code == "preview_outdated"]
        return _show(request, content, tuple(outdated))
    messages.success(request, f"{len(done.changes)} materials taken in, {done.unchanged} were so already.")
    return redirect("catalog:prices")
