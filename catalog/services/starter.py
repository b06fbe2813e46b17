"""The starter catalogue: a first set of materials, mixes, roles, operations and terms to begin from."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from catalog.errors import CatalogRefused, Fault
from catalog.models import Material, Mix, Operation, Role, ShopTerms
from catalog.services.labour import RATE_FIGURES, create_operation, create_role, set_rate, set_standard
from catalog.services.materials import create_material
from catalog.services.mixes import create_mix
from catalog.services.terms import update_terms

PACKS = ("metric", "us")
_MIX_AND_FINISH = ("default_mix", "finish_grits", "finish_sealer", "finish_coats")
_MEASURES = (
    *("fillet_radius_mm", "screw_spacing_mm", "kerf_mm"),
    *("mixer_l", "scale_step_kg", "lift_limit_kg"),
)
"""Terms that come in round figures of a unit system."""
_IDENTITY = frozenset({"code", "name", "stage", "position"})


@dataclass(frozen=True, slots=True)
class Loaded:
    """How many rows a pack has brought, and how many the shop had already and kept as they were."""

    created: int
    kept: int

    def __add__(self, other: Loaded) -> Loaded:
        return Loaded(self.created + other.created, self.kept + other.kept)


def pack_document(pack: str) -> dict[str, Any]:
    """Return the document of a starter pack."""
    if pack not in PACKS:
        raise CatalogRefused([Fault("pack", f"Must be one of {', '.join(PACKS)}.", "unknown_pack", pack)])
    path = Path(settings.BASE_DIR) / "fixtures" / "catalogue" / f"starter-{pack}.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


@transaction.atomic
def load_starter(
    pack: str, *, on: date, who: str = "starter catalogue", own_currency: bool = False
) -> Loaded:
    """Load a pack with prices from `on`; what the shop has already, its terms too, is kept.

    Terms that leave mix, finish and measures open take those of the pack. A pack of another currency is
    refused, unless the shop wants its amounts as its `own_currency`: they are invented, and not exchanged.
    """
    document = pack_document(pack)
    if not own_currency:
        _refuse_other_currency(document["terms"]["currency"])
    done = _roles(document["roles"], on, who)
    done += _materials(document["materials"], on, who)
    done += _mixes(document["mixes"], who)
    done += _operations(document["operations"], on, who)
    terms = ShopTerms.objects.first()
    if terms is not None:
        update_terms(_left_open(terms, document["terms"]), who=who)
        return done + Loaded(0, 1)
    update_terms(document["terms"], who=who)
    return done + Loaded(1, 0)


def _refuse_other_currency(currency: str) -> None:
    terms = ShopTerms.objects.first()
    if terms is not None and terms.currency != currency:
        message = (
            f"This pack counts in {currency}, the shop in {terms.currency}: its prices would be mixed up."
        )
        raise CatalogRefused([Fault("pack", message, "currency", currency)])


def _left_open(terms: ShopTerms, pack: Mapping[str, Any]) -> dict[str, Any]:
    """What the pack says of mix and finish where the shop says nothing, and of what is round in its units
    where a shop that counts in them has left it as it first stands.
    """
    if terms.default_mix is not None:
        return {}
    open_ones = [name for name in _MIX_AND_FINISH if not getattr(terms, name)]
    if terms.unit_system == pack["unit_system"]:
        first = ShopTerms()
        open_ones += [name for name in _MEASURES if getattr(terms, name) == getattr(first, name)]
    return {name: pack[name] for name in open_ones if name in pack}


def _codes(model: type[Material | Mix | Operation | Role]) -> frozenset[str]:
    return frozenset(model._default_manager.values_list("code", flat=True))


def _missing(rows: list[dict[str, Any]], known: Collection[str]) -> list[dict[str, Any]]:
    return [row for row in rows if row["code"] not in known]


def _without(row: Mapping[str, Any], *names: str) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in names}


def _roles(rows: list[dict[str, Any]], on: date, who: str) -> Loaded:
    missing = _missing(rows, _codes(Role))
    for row in missing:
        create_role(_without(row, *RATE_FIGURES), who=who)
        set_rate(row["code"], _without(row, "code", "name"), valid_from=on, today=on, who=who)
    return Loaded(len(missing), len(rows) - len(missing))


def _materials(rows: list[dict[str, Any]], on: date, who: str) -> Loaded:
    missing = _missing(rows, _codes(Material))
    for row in missing:
        create_material(_without(row, "price"), price=row["price"], today=on, who=who)
    return Loaded(len(missing), len(rows) - len(missing))


def _mixes(rows: list[dict[str, Any]], who: str) -> Loaded:
    missing = _missing(rows, _codes(Mix))
    for row in missing:
        create_mix(row, who=who)
    return Loaded(len(missing), len(rows) - len(missing))


def _operations(rows: list[dict[str, Any]], on: date, who: str) -> Loaded:
    missing = _missing(rows, _codes(Operation))
    for row in missing:
        create_operation({name: value for name, value in row.items() if name in _IDENTITY}, who=who)
        set_standard(row["code"], _without(row, *_IDENTITY), valid_from=on, today=on, who=who)
    return Loaded(len(missing), len(rows) - len(missing))
