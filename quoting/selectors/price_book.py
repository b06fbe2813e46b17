"""Catalogue rows on a date, as the engine's values: the only translator between the two."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from catalog import selectors as catalogue
from catalog.models import Mix as MixRow
from catalog.models import MixPart, OperationStandard, RoleRate
from catalog.models import ShopTerms as ShopTermsRow
from catalog.selectors import trimmed
from catalog.vocabulary import FIGURE_NAMES
from quoting.engine.spec.codes import KnownCodes
from quoting.engine.values import (
    Material,
    MaterialKind,
    Mix,
    Operation,
    PriceBook,
    RecipePart,
    Role,
    ShopTerms,
)

MATERIAL_COLUMNS = ("code", "name", "pack_size", "pack_name", "waste", "supplier", "lead_days", "source")
MIX_COLUMNS = (
    *("code", "name", "fresh_density_kg_m3", "density_kg_m3", "strength_28d_mpa", "cement_class"),
    *("water_l_per_bag", "air", "fibre_share", "allowance", "max_aggregate_mm"),
)
STANDARD_COLUMNS = (
    *("crew", "setup_hours", "setup_shared", "once_per_mould", "learning_rate", "minimum_hours"),
    *("breakage", "when"),
)
TERMS_OF_MONEY = (
    "overhead_per_labour_hour",
    "price_step",
    "minimum_job_price",
    "delivery_per_km",
    "delivery_per_step",
    "delivery_fixed",
)
TERMS_AS_THEY_ARE = (
    *("currency", "minor_units", "unit_system", "finish_fill", "finish_coats", "target_margin"),
    *("breakage_method", "breakage_flat", "deposit", "materials_basis", "mould_sides", "fillet_radius_mm"),
    *("screw_spacing_mm", "kerf_mm", "trim_mm", "mixer_l", "scale_step_kg", "lift_limit_kg"),
    *("people_available", "learning_model", "handling_factor", "flexure_safety", "maturity", "datum_c"),
    *("activation_k", "reference_c", "holiday_region", "stale_after_days", "hours_basis", "hours_per_day"),
    *("rupture_rule", "strength_curve", "strip_mpa", "strip_h", "turn_mpa", "polish_mpa", "dry_days"),
    *("coat_days", "harden_days", "deliver_share"),
)


def price_book(on: date | None = None) -> PriceBook:
    """Return the catalogue on a date, today by default, in six queries whatever its size.

    Not in the book: a material without a price on that date, an operation without a standard, a role without
    pay, anything retired by then. Plain columns are read, not rows as objects: it is read for every estimate.
    """
    on = on or timezone.localdate()
    return PriceBook(
        on=on, materials=_materials(on), mixes=_mixes(on), roles=_roles(on), operations=_operations(on)
    )


def known_codes(book: PriceBook) -> KnownCodes:
    """Return the codes that a piece specification may name; meshes lightest first: most pieces take it."""
    meshes = [m for m in book.materials.values() if m.kind is MaterialKind.MESH_SHEET]
    lengths = [m for m in book.materials.values() if m.kind is MaterialKind.STOCK_LENGTH]
    return KnownCodes(
        mixes=tuple(sorted(book.mixes)),
        meshes=tuple(m.code for m in sorted(meshes, key=lambda m: (m.mass_kg_per_m2 or 0.0, m.code))),
        bars=tuple(sorted(m.code for m in lengths if m.role == "bar")),
        materials=tuple(sorted(book.materials)),
        sealers=tuple(m.code for m in book.by_role("sealer")),
        strips=tuple(sorted(m.code for m in lengths if m.role == "light_strip")),
        inlays=tuple(m.code for m in book.by_role("inlay")),
        inserts=tuple(m.code for m in book.by_role("insert")),
        grits=tuple(sorted({m.grit for m in book.by_role("pad") if m.grit is not None})),
    )


def names_of(on: date | None = None) -> dict[str, str]:
    """Return the names that go with the codes of materials and mixes in use on a date."""
    on = on or timezone.localdate()
    names = dict(catalogue.materials(on).values_list("code", "name"))
    names.update(catalogue.mixes(on).values_list("code", "name"))
    return names


def shop_terms(row: ShopTermsRow | None = None) -> ShopTerms:
    """Return the shop's terms as they stand, from the catalogue's row if it is at hand."""
    row = row or catalogue.shop_terms()
    plain: dict[str, Any] = {name: getattr(row, name) for name in TERMS_AS_THEY_ARE}
    plain |= {name: trimmed(getattr(row, name)) for name in TERMS_OF_MONEY}
    return ShopTerms(
        default_mix=row.default_mix.code if row.default_mix else "",
        finish_grits=tuple(row.finish_grits),
        finish_sealer=row.finish_sealer.code if row.finish_sealer else None,
        finish_faces=tuple(row.finish_faces),
        tax_rates={name: Decimal(rate) for name, rate in sorted(row.tax_rates.items())},
        payment_stages=tuple((name, Decimal(share)) for name, share in row.payment_stages),
        shop_temperature_c=tuple(float(mean) for mean in row.shop_temperature_c),
        working_days=tuple(row.working_days),
        **plain,
    )


def _materials(on: date) -> dict[str, Material]:
    stale_after_days = ShopTermsRow.objects.filter(pk=1).values_list("stale_after_days", flat=True).first()
    if stale_after_days is None:
        stale_after_days = ShopTermsRow().stale_after_days
    prices = catalogue.in_use(catalogue.prices_that_hold(on), on, of="material").order_by("material__code")
    columns = [f"material__{name}" for name in (*MATERIAL_COLUMNS, *FIGURE_NAMES)]
    found = {}
    for kind, role, price, valid_from, *rest in prices.values_list(
        "material__kind", "material__usage", "price", "valid_from", *columns
    ):
        material = Material(
            kind=MaterialKind(kind),
            role=role,
            price=trimmed(price),
            price_date=valid_from,
            stale=catalogue.is_stale(valid_from, on, stale_after_days),
            **dict(zip((*MATERIAL_COLUMNS, *FIGURE_NAMES), rest, strict=True)),
        )
        found[material.code] = material
    return found


def _mixes(on: date) -> dict[str, Mix]:
    in_use = catalogue.in_use(MixRow.objects.order_by("code"), on)
    parts: dict[str, list[RecipePart]] = {}
    recipes = catalogue.in_use(MixPart.objects.order_by("position"), on, of="mix")
    for code, material, kg, kind in recipes.values_list("mix__code", "material__code", "kg_per_m3", "kind"):
        parts.setdefault(code, []).append(RecipePart(material, kg, kind))
    rows = in_use.values_list("bag__code", "fibre__code", *MIX_COLUMNS)
    return {
        code: Mix(
            code=code,
            bag=bag,
            fibre=fibre,
            parts=tuple(parts.get(code, ())),
            **dict(zip(MIX_COLUMNS[1:], rest, strict=True)),
        )
        for bag, fibre, code, *rest in rows
    }


def _roles(on: date) -> dict[str, Role]:
    """The latest pay of each role that has started, in order of code."""
    rates = RoleRate.objects.filter(valid_from__lte=on).order_by("role__code", "valid_from")
    return {
        code: Role(code, name, trimmed(pay), on_costs)
        for code, name, pay, on_costs in rates.values_list(
            "role__code", "role__name", "pay_per_hour", "on_costs"
        )
    }


def _operations(on: date) -> tuple[Operation, ...]:
    """The latest standard of each operation that has started, in order of work."""
    standards = catalogue.in_use(OperationStandard.objects.filter(valid_from__lte=on), on, of="operation")
    rows = standards.order_by("operation__position", "operation__code", "valid_from").values_list(
        *("operation__code", "operation__name", "operation__stage", "role__code", "back_to__code"),
        *("spread_low", "spread_likely", "spread_high", "per_driver_hours", *STANDARD_COLUMNS),
    )
    found = {}
    for code, name, stage, role, back_to, low, likely, high, hours, *rest in rows:
        found[code] = Operation(
            code=code,
            name=name,
            stage=stage,
            role=role,
            back_to=back_to,
            spread=(low, likely, high),
            per_driver_hours={driver: float(each) for driver, each in sorted(hours.items())},
            **dict(zip(STANDARD_COLUMNS, rest, strict=True)),
        )
    return tuple(found.values())
