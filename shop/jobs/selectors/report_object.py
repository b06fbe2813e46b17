"""A cost report as the plain object that API, file and paper are made of; money as decimal strings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from shop.jobs.models import Job
from shop.jobs.report_lines import CostReport, Margin, MaterialLine, MishapLine, OperationLine


def report_object(job: Job, made: CostReport, *, pay: bool) -> dict[str, Any]:
    """The whole report; without `pay`, no rate and no amount of a single operation's or mishap's labour."""
    earned = made.earned
    pieces = {piece.key: piece.name for piece in made.facts.pieces}
    return {
        "number": job.number,
        "title": job.title,
        "client": job.client.name if job.client else "",
        "status": job.status,
        "on": made.facts.on.isoformat(),
        "currency": job.currency,
        "price": _money(job.price, job),
        "overhead_rate": str(job.overhead_rate.normalize()),
        "lines": [
            {
                "code": line.code,
                "name": line.name,
                "planned": _money(line.planned, job),
                "actual": _money(line.actual, job),
                "to_come": _money(line.to_come, job),
                "forecast": _money(line.forecast, job),
                "variance": _money(line.variance, job),
            }
            for line in made.lines
        ],
        "hours": {
            "planned": _figure(made.hours_planned),
            "worked": _figure(made.hours_worked),
            "to_come": _figure(made.hours_to_come),
        },
        "operations": [_operation(line, pieces, job, pay) for line in made.operations],
        "materials": [_material(line, pieces, job) for line in made.materials],
        "mishaps": [_mishap(line, job, pay) for line in made.mishaps],
        "earned_value": {
            "budget": _money(earned.budget, job),
            "planned": _money(earned.planned, job),
            "earned": _money(earned.earned, job),
            "spent": _money(earned.spent, job),
            "cost_variance": _money(earned.cost_variance, job),
            "schedule_variance": _money(earned.schedule_variance, job),
            "cost_index": _maybe(earned.cost_index),
            "schedule_index": _maybe(earned.schedule_index),
            "index_for_budget": _maybe(earned.index_for_budget),
            "share_done": _maybe(earned.share_done),
            "forecasts": [
                {
                    "method": one.method,
                    "to_come": _maybe(one.to_come),
                    "at_completion": _maybe(one.at_completion),
                    "variance": _maybe(one.variance),
                    "index_needed": _maybe(one.index_needed),
                }
                for one in earned.forecasts
            ],
        },
        "margin": {
            "quoted": _margin(made.quoted, job),
            "forecast": _margin(made.forecast, job),
            "made": None if made.made is None else _margin(made.made, job),
        },
    }


def _operation(line: OperationLine, pieces: dict[int, str], job: Job, pay: bool) -> dict[str, Any]:
    one = line.facts
    shown: dict[str, Any] = {
        "piece": pieces[one.piece],
        "operation": one.code,
        "name": one.name,
        "stage": one.stage,
        "after_mishap": one.mishap is not None,
        "planned_hours": _figure(one.hours),
        "worked_hours": _figure(one.worked),
        "hours_to_come": _figure(line.hours_to_come),
        "done": _figure(line.done.quantize(Decimal("0.0001"))),
        "done_is_said": line.said,
    }
    if not pay:
        return shown
    return shown | {
        "planned_rate": _figure(one.rate),
        "planned_cost": _money(one.cost, job),
        "actual_cost": _money(one.paid, job),
        "rate_variance": _money(line.rate_variance, job),
        "efficiency_variance": _money(line.efficiency_variance, job),
    }


def _mishap(line: MishapLine, job: Job, pay: bool) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "what": line.name,
        "stage": line.stage,
        "outcome": line.outcome,
        "hours": _figure(line.hours),
    }
    if not pay:
        return shown
    return shown | {"actual": _money(line.actual, job), "to_come": _money(line.to_come, job)}


def _material(line: MaterialLine, pieces: dict[int, str], job: Job) -> dict[str, Any]:
    one = line.facts
    return {
        "piece": pieces[one.piece],
        "code": one.code,
        "name": one.name,
        "stage": one.stage,
        "unit": one.unit,
        "after_mishap": one.mishap is not None,
        "planned_quantity": _figure(one.quantity),
        "used_quantity": _figure(one.used),
        "planned_cost": _money(one.cost, job),
        "actual_cost": _money(one.paid, job),
        "cost_to_come": _money(line.cost_to_come, job),
        "price_variance": _money(line.price_variance, job),
        "usage_variance": _money(line.usage_variance, job),
    }


def _margin(margin: Margin, job: Job) -> dict[str, Any]:
    return {
        "amount": _money(margin.amount, job),
        "of_price": _maybe(margin.of_price),
        "of_cost": _maybe(margin.of_cost),
    }


def _money(amount: Decimal, job: Job) -> str:
    return f"{amount:.{job.minor_units}f}"


def _maybe(value: Decimal | None) -> str | None:
    return None if value is None else str(value)


def _figure(value: Decimal) -> str:
    """A quantity without noughts at its end."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
