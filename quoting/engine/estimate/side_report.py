"""Risk, price breaks and changes side by side, as plain objects: money as decimal strings, SI units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from quoting.engine.estimate.build import Estimate
from quoting.engine.estimate.what_if import Case, WhatIf
from quoting.engine.pricing.compare import Comparison, Difference
from quoting.engine.pricing.quantity import PriceBreak
from quoting.engine.pricing.risk import Risk


def risk_report(found: Risk) -> dict[str, Any]:
    """Cost as a distribution, and the lines that drive it, the greatest first."""
    money = ("p10", "p50", "p80", "p90", "mean", "standard_error", "expected", "contingency_p80")
    return {
        "draws": found.draws,
        "seed": found.seed,
        **{name: str(getattr(found, name)) for name in money},
        "chance_of_margin": found.chance_of_margin,
        "chance_of_loss": found.chance_of_loss,
        "drivers": [
            {
                "code": driver.code,
                "name": driver.name,
                "low": str(driver.low),
                "high": str(driver.high),
                "swing": str(driver.swing),
                "share": driver.share,
            }
            for driver in found.drivers
        ],
    }


def breaks_report(rows: Sequence[PriceBreak]) -> list[dict[str, Any]]:
    """The price-break table, one row a quantity."""
    money = ("unit_price", "net", "cost", "cost_per_piece", "hours_per_piece", "saving", "achieved_margin")
    return [{"quantity": row.quantity, **{name: str(getattr(row, name)) for name in money}} for row in rows]


def what_if_report(asked: WhatIf) -> dict[str, Any]:
    """The piece as it is, and each change beside it with what it changes."""
    return {"base": _summary(asked.base), "cases": [_case(case) for case in asked.cases]}


def _summary(made: Estimate) -> dict[str, Any]:
    sold = made.price
    return {
        "quantity": made.quantity,
        "unit_price": str(sold.unit_price),
        "net": str(sold.net_after_discount),
        "gross": str(sold.gross),
        "cost": str(sold.cost),
        "labour_hours": str(sold.labour_hours),
        "achieved_margin": str(sold.achieved_margin),
        "total_kg": made.weights.total_kg,
        "people": made.handling.people,
        "utilisation": made.handling.utilisation,
        "ready": made.promise.ready.isoformat(),
    }


def _case(case: Case) -> dict[str, Any]:
    said = {"name": case.name, "patch": dict(case.patch)}
    if case.estimate is None or case.differences is None:
        return said | {
            "faults": [
                {"path": fault.path, "message": fault.message, "code": fault.code} for fault in case.faults
            ]
        }
    return said | {"estimate": _summary(case.estimate), "differences": _differences(case.differences)}


def _differences(found: Comparison) -> dict[str, Any]:
    totals = (found.hours, found.cost, found.net, found.gross, found.unit_price, found.achieved_margin)
    return {
        "parts": [_difference(part) for part in found.parts],
        "totals": [_difference(part) for part in totals],
    }


def _difference(found: Difference) -> dict[str, str]:
    return {
        "part": found.part,
        "before": str(found.before),
        "after": str(found.after),
        "change": str(found.change),
    }
