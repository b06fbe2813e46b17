"""Writes of what is on the shelf."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from catalog.errors import Fault, NoSuchRow
from catalog.models import Material, ShelfItem
from catalog.services.checks import assign, faults_of, find, refuse

SIZES = ("content", "length_mm", "width_mm", "count", "place")
"""What may be said of a thing on the shelf besides its material."""


@transaction.atomic
def put_on_shelf(values: Mapping[str, object], *, who: str = "") -> ShelfItem:
    """Note that something lies there; `material` is its code. Raises CatalogRefused with every fault."""
    row = ShelfItem()
    faults: list[Fault] = []
    given = dict(values)
    code = given.pop("material", None)
    material = find(Material, code, "material", faults)
    if material is None and not faults:
        faults.append(Fault("material", "Say which material it is.", "missing"))
    return _noted(row, material, given, faults, who)


@transaction.atomic
def change_on_shelf(pk: int, values: Mapping[str, object], *, who: str = "") -> ShelfItem:
    """Correct what lies there; the material stays. Raises CatalogRefused, NoSuchRow."""
    row = _held(pk)
    return _noted(row, row.material, values, [], who)


@transaction.atomic
def take_off_shelf(pk: int) -> None:
    """Note that it lies there no more. Raises NoSuchRow."""
    _held(pk).delete()


def _held(pk: int) -> ShelfItem:
    row = ShelfItem.objects.select_for_update(of=("self",)).select_related("material").filter(pk=pk).first()
    if row is None:
        raise NoSuchRow("thing on the shelf", str(pk))
    return row


def _noted(
    row: ShelfItem, material: Material | None, values: Mapping[str, object], faults: list[Fault], who: str
) -> ShelfItem:
    faults += assign(row, values, SIZES)
    if material is not None:
        row.material = material
    faulty = {fault.path for fault in faults}
    exclude = faulty & {field.name for field in ShelfItem._meta.fields}
    faults += faults_of(row, exclude={*exclude, "material"}, unique=False)
    refuse(faults)
    row.noted_at, row.noted_by = timezone.now(), who
    row.save()
    return row
