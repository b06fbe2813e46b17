"""A piece beside what it might be instead: thicker, one more, in a lighter mix, delivered; own choices."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from quoting.engine.errors import Refused
from quoting.engine.estimate.build import Estimate
from quoting.engine.estimate.what_if import Case, Change, merged, usual_changes, what_if
from quoting.models import SavedPiece
from quoting.selectors.pieces import asked_revision
from quoting.web.desk import Desk, desk
from quoting.web.doors import quoters
from quoting.web.editor import fault_rows
from quoting.web.fields import DISTANCE_NAMES
from quoting.web.piece_sheet import people
from quoting.web.shown import Figures
from quoting.web.spelling import DISTANCE_UNITS, distance_of, distance_words, number_or_text

CHOICES = ("thickness", "quantity", "mix", "distance")


@quoters
@require_GET
def piece_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """The table; other choices come as a query."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    revision = asked_revision(piece, request.GET.get("revision", ""))
    asked = {name: request.GET.get(name, "").strip()[:60] for name in CHOICES}
    at = desk()
    context: dict[str, Any] = {"piece": piece, "revision": revision, "asked": asked}
    context |= {
        "unit": revision.document.get("unit", "mm"),
        "distances": DISTANCE_NAMES[DISTANCE_UNITS[at.shown.system]],
        "mixes": [(code, row.name) for code, row in sorted(at.book.mixes.items())],
    }
    try:
        context |= side_by_side(revision.document, own_changes(asked, at), at)
    except Refused as refused:
        context["faults"] = fault_rows(refused.faults, {})
    return render(request, "quoting/what_if.html", context)


def own_changes(asked: Mapping[str, str], at: Desk) -> list[Change]:
    """One change a choice that was made, and all of them together where there are several."""
    found = []
    if text := asked["thickness"]:
        found.append(Change(f"Thickness {text}", {"thickness": number_or_text(text)}))
    if text := asked["quantity"]:
        found.append(Change(f"{text} pieces", {"quantity": number_or_text(text)}))
    if text := asked["mix"]:
        found.append(Change(at.names.get(text, text), {"mix": text}))
    if text := asked["distance"]:
        distance_km = distance_of(text, DISTANCE_UNITS[at.shown.system])
        named = f"Delivered, {distance_words(distance_km, at.shown.system)}"
        found.append(Change(named, {"delivery": {"distance_km": distance_km}}))
    if len(found) > 1:
        together: dict[str, Any] = {}
        for change in found:
            together = merged(together, change.patch)
        found.append(Change("All of these together", together))
    return found


def side_by_side(document: Mapping[str, Any], own: list[Change], at: Desk) -> dict[str, Any]:
    """The piece as it is and every case beside it. Raises Refused where the piece itself cannot be priced."""
    base = at.estimate(document)
    changes = [*usual_changes(base, at.book, at.terms), *own]
    found = what_if(document, changes, at.book, at.terms, at.codes)
    return {
        "base": _row("As it is", found.base, at.shown),
        "cases": [_case(case, found.base, at.shown) for case in found.cases],
        "others": len(changes) - len(own),
    }


def _case(case: Case, base: Estimate, shown: Figures) -> dict[str, Any]:
    if case.estimate is None:
        return {"name": case.name, "faults": fault_rows(case.faults, {})}
    more = case.estimate.price.net_after_discount - base.price.net_after_discount
    sign = "+" if more > 0 else ""
    return _row(case.name, case.estimate, shown) | {"more": f"{sign}{shown.money(more)}"}


def _row(name: str, made: Estimate, shown: Figures) -> dict[str, Any]:
    return {
        "name": name,
        "quantity": made.quantity,
        "weight": shown.mass(made.weights.total_kg),
        "people": people(made.handling.people),
        "hours": shown.hours(float(made.price.labour_hours)),
        "each": shown.money(made.price.unit_price),
        "net": shown.money(made.price.net_after_discount),
    }
