"""Writes of the shop's terms."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from catalog.errors import Fault
from catalog.models import Material, Mix, ShopTerms
from catalog.models.changes import ChangedKind
from catalog.pictures import LOGO, made_anew
from catalog.services.changes import note_change, said
from catalog.services.checks import assign, faults_of, find, refuse
from catalog.services.pictures import keep

TERMS = tuple(
    field.name
    for field in ShopTerms._meta.concrete_fields
    if field.name not in {"id", "default_mix", "finish_sealer", "logo", "logo_text"}
)

_TOLD = (*TERMS, "default_mix", "finish_sealer")
_LOGO = ("logo", "logo_text")


@transaction.atomic
def update_terms(values: Mapping[str, object], *, who: str = "") -> ShopTerms:
    """Change the shop's terms; what `values` leaves out stays. `default_mix`, `finish_sealer` are codes."""
    row = _held()
    before = said(row, _TOLD)
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
    note_change(ChangedKind.TERMS, "", before, said(row, _TOLD), who=who)
    return row


@transaction.atomic
def set_logo(content: bytes | None, text: str, *, who: str = "") -> ShopTerms:
    """Put a picture on the shop's papers, with what it shows in words; None keeps the one there is.

    The picture before it is kept: quotes issued with it go on showing it. Raises CatalogRefused for a file
    that will not do, or for words without a logo.
    """
    row = _held()
    before = said(row, _LOGO)
    if content is not None:
        row.logo = keep(made_anew(content, LOGO))
    elif row.logo is None:
        refuse([Fault("picture", "Choose a picture.", "required")])
    row.logo_text = text.strip()
    refuse(faults_of(row, exclude=set(), unique=False))
    row.save()
    note_change(ChangedKind.TERMS, "", before, said(row, _LOGO), who=who)
    return row


@transaction.atomic
def remove_logo(*, who: str = "") -> ShopTerms:
    """Take the logo off the papers to come; what was issued keeps it."""
    row = _held()
    before = said(row, _LOGO)
    row.logo, row.logo_text = None, ""
    row.save()
    note_change(ChangedKind.TERMS, "", before, said(row, _LOGO), who=who)
    return row


def _held() -> ShopTerms:
    return ShopTerms.objects.select_for_update().filter(pk=1).first() or ShopTerms()
