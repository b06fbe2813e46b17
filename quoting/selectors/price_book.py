"""Catalogue rows on a date, as the engine's values: the only translator between the two."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from catalog import selectors as catalogue
from catalog.models import Material as MaterialRow
from catalog.models import MaterialPrice, OperationStandard
from catalog.models import Mix as MixRow
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
    """Return the catalogue on a date, today by default, in a number of queries that its size does not change.

    Not in the book: a material without a price on that date, an operation without a standard, a role without
    pay, anything retired by then.
    """
    on = on or timezone.localdate()
    terms = catalogue.shop_terms()
    prices = catalogue.prices_on(on)
    materials = {
        row.code: _material(row, prices[row.pk], on, terms.stale_after_days)
        for row in catalogue.materials(on)
        if row.pk in prices
    }
    return PriceBook(
        on=on,
        materials=materials,
        mixes={row.code: _mix(row) for row in catalogue.mixes(on)},
        roles=_roles(on),
        operations=_operations(on),
    )


def known_codes(book: PriceBook) -> KnownCodes:
    """Return the codes that a piece specification may name."""
    lengths = [m for m in book.materials.values() if m.kind is MaterialKind.STOCK_LENGTH]
    return KnownCodes(
        mixes=tuple(sorted(book.mixes)),
        meshes=tuple(sorted(c for c, m in book.materials.items() if m.kind is MaterialKind.MESH_SHEET)),
        bars=tuple(sorted(m.code for m in lengths if m.role == "bar")),
        materials=tuple(sorted(book.materials)),
        sealers=tuple(m.code for m in book.by_role("sealer")),
        strips=tuple(sorted(m.code for m in lengths if m.role == "light_strip")),
        grits=tuple(sorted({m.grit for m in book.by_role("pad") if m.grit is not None})),
    )


def names_of(on: date | None = None) -> dict[str, str]:
    """Return the names that go with the codes of materials and mixes in use on a date."""
    on = on or timezone.localdate()
    names = dict(catalogue.materials(on).values_list("code", "name"))
    names.update(catalogue.mixes(on).values_list("code", "name"))
    return names


def shop_terms() -> ShopTerms:
    """Return the shop's terms as they stand."""
    row = catalogue.shop_terms()
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


def _material(row: MaterialRow, price: MaterialPrice, on: date, stale_after_days: int) -> Material:
    return Material(
        code=row.code,
        name=row.name,
        kind=MaterialKind(row.kind),
        pack_size=row.pack_size,
        pack_name=row.pack_name,
        price=trimmed(price.price),
        waste=row.waste,
        supplier=row.supplier,
        lead_days=row.lead_days,
        price_date=price.valid_from,
        stale=catalogue.is_stale(price.valid_from, on, stale_after_days),
        role=row.usage,
        source=row.source,
        **{name: getattr(row, name) for name in FIGURE_NAMES},
    )


def _mix(row: MixRow) -> Mix:
    return Mix(
        code=row.code,
        name=row.name,
        fresh_density_kg_m3=row.fresh_density_kg_m3,
        density_kg_m3=row.density_kg_m3,
        strength_28d_mpa=row.strength_28d_mpa,
        cement_class=row.cement_class,
        bag=row.bag.code if row.bag else None,
        water_l_per_bag=row.water_l_per_bag,
        parts=tuple(RecipePart(part.material.code, part.kg_per_m3, part.kind) for part in row.parts.all()),
        air=row.air,
        fibre=row.fibre.code if row.fibre else None,
        fibre_share=row.fibre_share,
        allowance=row.allowance,
        max_aggregate_mm=row.max_aggregate_mm,
    )


def _roles(on: date) -> dict[str, Role]:
    return {
        paid.role.code: Role(
            paid.role.code, paid.role.name, trimmed(paid.rate.pay_per_hour), paid.rate.on_costs
        )
        for paid in catalogue.paid_roles(on)
        if paid.rate is not None
    }


def _operations(on: date) -> tuple[Operation, ...]:
    return tuple(
        _operation(planned.operation.code, planned.operation.name, planned.operation.stage, planned.standard)
        for planned in catalogue.planned_operations(on)
        if planned.standard is not None
    )


def _operation(code: str, name: str, stage: str, standard: OperationStandard) -> Operation:
    hours = {driver: float(each) for driver, each in sorted(standard.per_driver_hours.items())}
    return Operation(
        code=code,
        name=name,
        stage=stage,
        role=standard.role.code,
        crew=standard.crew,
        setup_hours=standard.setup_hours,
        per_driver_hours=hours,
        setup_shared=standard.setup_shared,
        once_per_mould=standard.once_per_mould,
        learning_rate=standard.learning_rate,
        minimum_hours=standard.minimum_hours,
        spread=(standard.spread_low, standard.spread_likely, standard.spread_high),
        breakage=standard.breakage,
        back_to=standard.back_to.code if standard.back_to else None,
        when=standard.when,
    )
