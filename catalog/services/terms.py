"""Writes of the shop's terms."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from catalog.errors import Fault
from catalog.models import Material, Mix, ShopTerms
from catalog.services.checks import assign, faults_of, find, refuse

TERMS = tuple(
    field.name
    for field in ShopTerms._meta.concrete_fields
    if field.name not in {"id", "default_mix", "finish_sealer"}
)


@transaction.atomic
def update_terms(values: Mapping[str, object]) -> ShopTerms:
    """Change the shop's terms; what `values` leaves out stays. `default_mix`, `finish_sealer` are codes."""
    row = ShopTerms.objects.select_for_update().filter(pk=1).first() or ShopTerms()
    plain = {name: value for name, value in values.items() if name not in {"default_mix", "finish_sealer"}}
    faults = assign(row, plain, TERMS)
    if "default_mix" in values:
        row.default_mix = find(Mix, values["default_mix"], "default_mix", faults)
    if "finish_sealer" in values:
        row.finish_sealer = find(Material, values["finish_sealer"], "finish_sealer", faults)
    faults += faults_of(row, exclude={fault.path for fault in faults}, unique=False)
    if row.finish_coats and row.finish_sealer is None and not faults:
        faults.append(Fault("finish_sealer", "Coats need the sealer they are of.", "missing"))
    refuse(faults)
    row.save()
    return row
