"""Writes of materials and their prices."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date

from django.db import transaction

from catalog import selectors
from catalog.errors import Fault
from catalog.models import Material, MaterialPrice
from catalog.models.changes import ChangedKind
from catalog.services.changes import note_change, said
from catalog.services.checks import assign, faults_of, put_dated, refuse, save_new, shown
from catalog.services.mixes import spoilt_recipes
from catalog.vocabulary import FIGURE_NAMES, SIZED_KINDS, MaterialKind

DESCRIPTION = (
    "name",
    "kind",
    "usage",
    "pack_size",
    "pack_name",
    "waste",
    "supplier",
    "lead_days",
    "source",
    "retired_from",
    *FIGURE_NAMES,
)
"""What may be said of a material besides its code and prices."""
SIZE_TOLERANCE = 0.005


def described(row: Material, values: Mapping[str, object], *, unique: bool = True) -> list[Fault]:
    """Put a description on a material (saved or not) and return every fault; nothing is written."""
    kind_before, density_before = row.kind, row.relative_density
    allowed = DESCRIPTION if row.pk else ("code", *DESCRIPTION)
    faults = assign(row, values, allowed)
    faults += _settle_pack_size(row, values.get("pack_size"))
    faulty = {fault.path for fault in faults}
    faults += faults_of(row, exclude=faulty & {field.name for field in row._meta.fields}, unique=unique)
    if row.pk and row.kind != kind_before:
        message = "A material keeps its kind: retire it and make a new one."
        faults.append(Fault("kind", message, "kind_change", shown(row.kind)))
    if row.pk and not faults and row.relative_density != density_before:
        faults += spoilt_recipes(row)
    return faults


def _settle_pack_size(row: Material, given: object) -> list[Fault]:
    """Work out the content of a sheet or length from its sizes; a content given besides must agree."""
    if row.kind not in SIZED_KINDS:
        return []
    content = _size_content(row)
    if content is None:
        row.pack_size = 1.0  # stands in; the size that is missing or at fault is what gets said
        return []
    row.pack_size = content
    try:
        stated = content if given in (None, "") else float(str(given))
    except ValueError:
        return [Fault("pack_size", "Give a number.", "invalid", shown(given))]
    if not abs(stated - content) <= SIZE_TOLERANCE * content:
        message = f"Its sizes make {content:g}: leave the content empty, or correct the sizes."
        return [Fault("pack_size", message, "size_mismatch", shown(given))]
    return []


def _size_content(row: Material) -> float | None:
    """Return the m² of a sheet or the m of a length; None where a size is missing or no number."""
    try:
        length_mm = float(row.length_mm or "")
        width_mm = 1000.0 if row.kind == MaterialKind.STOCK_LENGTH else float(row.width_mm or "")
    except (TypeError, ValueError):
        return None
    content = length_mm * width_mm / 1_000_000
    return content if math.isfinite(content) and content > 0 else None


def priced_row(
    row: Material, price: object, valid_from: object, who: str
) -> tuple[MaterialPrice, list[Fault]]:
    """Return the price row that would be saved for a material, and its faults."""
    fresh = MaterialPrice(material=row, entered_by=who)
    faults = assign(fresh, {"price": price, "valid_from": valid_from}, ("price", "valid_from"))
    faulty = {fault.path for fault in faults}
    return fresh, faults + faults_of(fresh, exclude={"material", *faulty}, unique=False)


@transaction.atomic
def create_material(
    values: Mapping[str, object],
    *,
    today: date,
    price: object = None,
    valid_from: object = None,
    who: str = "",
) -> Material:
    """Create a material, with its first price where one is given (from `today` unless said otherwise)."""
    row = Material()
    faults = described(row, values)
    first: MaterialPrice | None = None
    if price not in (None, ""):
        first, price_faults = priced_row(row, price, valid_from or today, who)
        faults += price_faults
    refuse(faults)
    save_new(row)
    before, after = said(Material(), DESCRIPTION), said(row, DESCRIPTION)
    note_change(ChangedKind.MATERIAL, row.code, before, after, who=who, new=True)
    if first is not None:
        first.material = row
        first.save()
    return row


@transaction.atomic
def update_material(code: str, values: Mapping[str, object], *, who: str = "") -> Material:
    """Change what is said of a material; its code and kind stay, its prices have their own service."""
    row = selectors.by_code(Material.objects.select_for_update(), "material", code)
    before = said(row, DESCRIPTION)
    refuse(described(row, values))
    row.save()
    note_change(ChangedKind.MATERIAL, code, before, said(row, DESCRIPTION), who=who)
    return row


@transaction.atomic
def set_price(
    code: str, price: object, *, valid_from: date | str, today: date, who: str = ""
) -> MaterialPrice:
    """Set the price of a material from a date on; older prices stay as they are."""
    row = selectors.by_code(Material.objects.select_for_update(), "material", code)
    fresh, faults = priced_row(row, price, valid_from, who)
    refuse(faults)
    return put_dated(fresh, "material", today=today)
