"""The look-back as the plain object of the API."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from shop.jobs.beta import Chance
from shop.jobs.selectors.lookback import Finding, findings
from shop.jobs.selectors.margins import MarginRow, MonthRow, closed_reports, margins, months, promises


def look_back_object(on: date, *, now: datetime) -> dict[str, Any]:
    """Findings by operation, margins by kind and client."""
    made = margins(closed_reports(now=now))
    return {
        "on": on.isoformat(),
        "operations": [_finding(one) for one in findings(on)],
        "margins": {
            "by_kind": [_margin(row) for row in made.by_kind],
            "by_client": [_margin(row) for row in made.by_client],
        },
    }


def period_object(first: date, last: date, *, now: datetime) -> dict[str, Any]:
    """The months of a period, and the promises open today."""
    rows = months(first, last, closed_reports(now=now))
    return {
        "months": [_month(row) for row in rows],
        "promises": [
            {"job": job.number, "title": job.title, "due_on": job.due_on, "days_left": days}
            for job, days in promises(timezone.localdate(now))
        ],
    }


def _month(row: MonthRow) -> dict[str, Any]:
    said = asdict(row)
    said |= said.pop("taken") | {"margin": row.margin}
    return {name: str(value) if isinstance(value, Decimal) else value for name, value in said.items()}


def _finding(one: Finding) -> dict[str, Any]:
    hours, breakage = one.hours, one.breakage
    return {
        "operation": one.code,
        "name": one.name,
        "standard_from": one.standard.valid_from.isoformat(),
        "jobs": hours.jobs,
        "planned_hours": round(hours.planned, 4),
        "worked_hours": round(hours.worked, 4),
        "bias": _rounded(hours.bias),
        "spread": _rounded(hours.spread),
        "odd": list(hours.odd),
        "suggested_factor": hours.factor,
        "evidence_weight": None if hours.posterior is None else _rounded(hours.posterior.weight),
        "factor_sd": None if hours.posterior is None else _rounded(hours.posterior.sd),
        "breakage": {
            "jobs": breakage.jobs,
            "castings": breakage.castings,
            "breaks": breakage.breaks,
            "standard": breakage.standard,
            "seen": _chance(breakage.seen),
            "suggested": breakage.suggested,
        },
    }


def _chance(chance: Chance | None) -> dict[str, float | None] | None:
    if chance is None:
        return None
    return {
        "mean": _rounded(chance.mean),
        "low": _rounded(chance.low),
        "high": _rounded(chance.high),
        "level": chance.level,
    }


def _margin(row: MarginRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "currency": row.currency,
        "jobs": row.jobs,
        "price": str(row.price),
        "cost": str(row.cost),
        "margin": str(row.margin),
        "of_price": None if row.of_price is None else str(row.of_price),
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 6)
