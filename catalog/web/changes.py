"""What was changed of the catalogue and who did: found, ordered, paged, and as a table for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.core.paginator import Paginator
from django.db.models import Field, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import capfirst
from django.views.decorators.http import require_safe

from catalog import selectors
from catalog.measures import Measure, in_words, measure_of
from catalog.models import CatalogueChange, Material, Mix, Operation, Role, ShopTerms
from catalog.models.changes import ChangedKind
from catalog.tables import change_table
from catalog.web.doors import owners
from catalog.web.fields import label_of, typed
from catalog.web.ordering import Orders, csv_file, ordered

ROWS_A_PAGE = 100
ORDERS: Orders = {
    "when": ("-at", "-pk"),
    "by": ("by", "-at", "-pk"),
    "kind": ("kind", "code", "-at", "-pk"),
}
NOTHING = "nothing"
MOST_SHOWN, LEAD = 200, 40
"""Characters of a text on the page, and of what stands before the place where two differ."""
_MODELS = {
    ChangedKind.TERMS: ShopTerms,
    ChangedKind.MATERIAL: Material,
    ChangedKind.MIX: Mix,
    ChangedKind.ROLE: Role,
    ChangedKind.OPERATION: Operation,
}


@dataclass(frozen=True, slots=True)
class Told:
    """A changed column as the page tells it."""

    label: str
    before: str
    after: str


@require_safe
@owners
def changes(request: HttpRequest) -> HttpResponse:
    """All changes, latest first."""
    rows, order = _rows(request)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    codes = {row.code for row in page if row.kind == ChangedKind.MATERIAL}
    kinds = dict(Material.objects.filter(code__in=codes).values_list("code", "kind"))
    system = selectors.shop_terms().unit_system
    context = {
        "page": page,
        "rows": [(row, _address(row), told(row, system, kinds.get(row.code, ""))) for row in page],
        "order": order,
        "search": _search(request),
    }
    return render(request, "catalog/changes.html", context)


@require_safe
@owners
def changes_file(request: HttpRequest) -> HttpResponse:
    """The same as a table for a spreadsheet."""
    return csv_file(change_table(_rows(request)[0].iterator(chunk_size=500)), "changes")


def told(row: CatalogueChange, system: str, kind: str = "") -> list[Told]:
    """Every column of a change in words and in the shop's units; `kind` is a material's.

    >>> cells = [{"column": "kerf_mm", "before": 3.175, "after": None}]
    >>> told(CatalogueChange(kind="terms", columns=cells), "us")
    [Told(label='Kerf (in)', before='0.125', after='nothing')]
    """
    model, found = _MODELS[ChangedKind(row.kind)], []
    for cell in row.columns:
        name = cell["column"]
        try:
            field = model._meta.get_field(name)
        except FieldDoesNotExist:
            field = None
        column = field if isinstance(field, Field) else None
        measure = measure_of(name, system, kind)
        label = label_of(column) if column is not None else str(capfirst(name.replace("_", " ")))
        choices = {str(value): str(words) for value, words in getattr(column, "choices", None) or ()}
        before, after = (_shown(cell[side], measure, system, choices) for side in ("before", "after"))
        found.append(Told(in_words(label, measure), *_where_they_differ(before, after)))
    return found


def _where_they_differ(before: str, after: str) -> tuple[str, str]:
    """Long texts from a little before the place where they part, and no longer than the page bears.

    >>> _where_they_differ("Flat", "By stage")
    ('Flat', 'By stage')
    >>> _where_they_differ("a" * 300 + " 30 days", "a" * 300 + " 14 days")[1][-10:]
    'aa 14 days'
    """
    pairs = enumerate(zip(before, after, strict=False))
    alike = next((place for place, (one, other) in pairs if one != other), min(len(before), len(after)))
    skipped = max(alike - LEAD, 0) if max(len(before), len(after)) > MOST_SHOWN else 0
    sides = ((f"…{text[skipped:]}" if skipped else text) for text in (before, after))
    first, second = (text if len(text) <= MOST_SHOWN else f"{text[:MOST_SHOWN]}…" for text in sides)
    return first, second


def _shown(value: Any, measure: Measure | None, system: str, choices: Mapping[str, str]) -> str:
    """A value in words: a list with commas between, a part of a recipe by its code and mass."""
    if value is None or value in ("", [], {}):
        return NOTHING
    if isinstance(value, list):
        return ", ".join(_shown(one, measure, system, choices) for one in value)
    if isinstance(value, dict) and "material" in value:
        mass = _shown(value["kg_per_m3"], measure_of("kg_per_m3", system), system, {})
        return f"{value['material']} {mass} ({value['kind']})"
    if isinstance(value, dict):
        return ", ".join(f"{name} {_shown(value[name], None, system, {})}" for name in sorted(value))
    if isinstance(value, str):
        return choices.get(value, value) if measure is None else _amount(value, measure)
    return str(typed(value)) if measure is None else measure.shown(value)


def _amount(value: str, measure: Measure) -> str:
    """An amount by a unit, kept as text."""
    try:
        return measure.shown(float(value))
    except ValueError:
        return value


def _address(row: CatalogueChange) -> str:
    """Where the thing itself is shown; nothing is taken out of the catalogue, so it is there."""
    if row.kind == ChangedKind.TERMS:
        return reverse("catalog:logo" if row.columns[0]["column"].startswith("logo") else "catalog:terms")
    return reverse(f"catalog:{row.kind}", args=[row.code])


def _search(request: HttpRequest) -> str:
    return request.GET.get("search", "").replace("\x00", "").strip()


def _rows(request: HttpRequest) -> tuple[QuerySet[CatalogueChange], str]:
    return ordered(selectors.changes(search=_search(request)), request.GET.get("sort", ""), ORDERS)
