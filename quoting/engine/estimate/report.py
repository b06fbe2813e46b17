"""An estimate as the plain object that `takeoff --json`, the API and a frozen quote carry.

Keys are those of the piece contract; SI units, the unit in the key; money as decimal strings. The object
depends on the estimate alone: the same inputs give the same bytes anywhere.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from quoting.engine.cutting.document import bars_document, plan_document
from quoting.engine.estimate.build import Estimate
from quoting.engine.pricing.works import PricedHours
from quoting.engine.solid.measure import Geometry
from quoting.engine.takeoff.calendar import Promise
from quoting.engine.takeoff.lines import Handling, LabourLine, MaterialLine, MouldPart, Weights


def report(made: Estimate, *, money: bool = True, pay: bool = True) -> dict[str, Any]:
    """The whole estimate; without `money`, what the bench may see: no cost, rate or price; without `pay`,
    what an estimator may see: no pay rate and no single operation's cost.
    """
    shown: dict[str, Any] = {
        "name": made.piece.name,
        "quantity": made.quantity,
        "prices_on": made.on.isoformat(),
        "geometry": geometry(made.geometry, made.weights, made.piece.mix or ""),
        "mould": {
            "parts": [_part(part) for part in made.mould.parts],
            "layouts": [{"material": code} | plan_document(plan) for code, plan in made.mould.layouts],
            "bars": [{"material": code} | bars_document(plan) for code, plan in made.mould.bars],
            "notes": list(made.mould.notes),
        },
        "materials": [_material(line, money) for line in made.materials],
        "batches": [asdict(batch) for batch in made.batches],
        "labour": [
            _labour(line, priced, money and pay)
            for line, priced in zip(made.labour, made.price.by_operation, strict=True)
        ],
        "drivers": dict(sorted(made.drivers.items())),
        "cure": [
            {
                "step": step.step,
                "name": step.name,
                "earliest_day": step.earliest_day,
                "equivalent_age_h": step.equivalent_age_h,
                "strength_mpa": step.strength_mpa,
                "why": step.why,
                "after": step.after,
                "after_days": step.after_days,
            }
            for step in made.cure
        ],
        "promise": promised(made.promise),
        "handling": _handling(made.handling),
        "cautions": [
            {"code": caution.code, "text": caution.text, "source": caution.source}
            for caution in made.cautions
        ],
    }
    return shown | ({"price": price(made)} if money else {})


def geometry(measured: Geometry, weights: Weights, mix: str) -> dict[str, Any]:
    """The definitions of the piece contract; the piece's own mix is named where it is known."""
    return {
        "volume_m3": measured.volume_m3,
        "volume_by_mix": {code or mix: volume for code, volume in measured.volume_by_mix},
        "show_area_m2": measured.show_area_m2,
        "side_area_m2": measured.side_area_m2,
        "void_area_m2": measured.void_area_m2,
        "underside_area_m2": measured.underside_area_m2,
        "trough_area_m2": measured.trough_area_m2,
        "edge_length_m": measured.edge_length_m,
        "concrete_kg": weights.concrete_kg,
        "steel_kg": weights.steel_kg,
        "fitted_kg": weights.fitted_kg,
        "total_kg": weights.total_kg,
        "centroid_mm": list(measured.centroid_mm),
        "envelope_mm": list(measured.envelope_mm),
    }


def price(made: Estimate) -> dict[str, Any]:
    """The build-up step by step, and what the quantity sells for."""
    sold = made.price
    return {
        "currency": sold.currency,
        "materials_basis": sold.materials_basis,
        "overhead_rate": str(sold.overhead_rate),
        "steps": [
            {"code": step.code, "name": step.name, "amount": str(step.amount), "working": step.working}
            for step in sold.steps
        ],
        "works_cost": str(sold.works_cost),
        "breakage_allowance": str(sold.breakage_allowance),
        "cost": str(sold.cost),
        "unit_price": str(sold.unit_price),
        "net": str(sold.net),
        "discount": str(sold.discount),
        "tax": str(sold.tax),
        "tax_lines": [
            {"category": tax.category, "rate": str(tax.rate), "base": str(tax.base), "tax": str(tax.tax)}
            for tax in sold.tax_lines
        ],
        "gross": str(sold.gross),
        "deposit": str(sold.deposit),
        "payments": [
            {"name": payment.name, "share": str(payment.share), "amount": str(payment.amount)}
            for payment in sold.payments
        ],
        "labour_hours": str(sold.labour_hours),
        "expected_hours": str(sold.expected_hours),
        "margin": str(sold.margin),
        "target_margin": str(sold.target_margin),
        "achieved_margin": str(sold.achieved_margin),
    }


def promised(promise: Promise) -> dict[str, Any]:
    """The days the work falls on if it starts on `start` and nothing comes between."""
    return {
        "start": promise.start.isoformat(),
        "pours": [day.isoformat() for day in promise.pours],
        "steps": [
            {
                "step": step.step,
                "name": step.name,
                "day": step.day.isoformat(),
                "held_days": step.held_days,
                "why": step.why,
            }
            for step in promise.steps
        ],
        "ready": promise.ready.isoformat(),
        "working": promise.working,
    }


def _part(part: MouldPart) -> dict[str, Any]:
    return {
        "name": part.name,
        "drawing": part.drawing,
        "length_mm": part.length_mm,
        "width_mm": part.width_mm,
        "thickness_mm": part.thickness_mm,
        "quantity": part.quantity,
        "material": part.material,
        "edges": part.edges,
        "bend_radius_mm": part.bend_radius_mm,
    }


def _material(line: MaterialLine, money: bool) -> dict[str, Any]:
    shown = {
        "code": line.code,
        "name": line.name,
        "stage": line.stage,
        "need": line.need,
        "unit": line.unit,
        "allowance": line.allowance,
        "gross": line.gross,
        "packs": line.packs,
        "pack_size": line.pack_size,
        "pack_name": line.pack_name,
        "supplier": line.supplier,
        "working": line.working,
        "source": line.source,
        "stale": line.stale,
    }
    return shown | ({"cost": str(line.cost), "cost_by_use": str(line.cost_by_use)} if money else {})


def _labour(line: LabourLine, priced: PricedHours, pay: bool) -> dict[str, Any]:
    shown = {
        "operation": line.operation,
        "name": line.name,
        "stage": line.stage,
        "role": line.role,
        "crew": line.crew,
        "hours": line.hours,
        "expected_hours": float(priced.hours),
        "elapsed_hours": line.elapsed_hours,
        "remake_hours": line.remake_hours,
        "spread": list(line.spread),
        "breakage": line.breakage,
        "back_to": line.back_to,
        "working": line.working,
    }
    return shown | ({"rate": str(line.rate), "cost": str(line.cost)} if pay else {})


def _handling(carried: Handling) -> dict[str, Any]:
    shown = asdict(carried)
    return shown | {"lifts": [asdict(lift) for lift in carried.lifts]}
