"""A job's cost at one moment: planned, actual, to come, and why they differ. Pure.

planned   what was quoted; rework after a mishap is not in it, the breakage allowance stands for that
actual    hours × the rate paid + overhead + materials as paid, each line rounded to the minor unit once
to come   what is left of the plan and of the rework; nought once the job is closed
forecast  actual + to come; chances of further breaks are not in it
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from quoting.engine.money import to_minor
from quoting.engine.pricing.costs import stage_rank
from shop.jobs.facts import JobFacts, MaterialFacts, OperationFacts
from shop.jobs.forecast import EarnedValue, earned_value
from shop.jobs.report_lines import (
    CostLine,
    CostReport,
    Margin,
    MaterialLine,
    MishapLine,
    OperationLine,
)
from shop.jobs.variance import labour_variance, material_variance

_NONE = Decimal(0)
_ONE = Decimal(1)


def cost_report(job: JobFacts) -> CostReport:
    """Reckon a job's cost from what is known of it; right for an empty job and a closed one alike."""
    operations = tuple(_operation_line(one, job) for one in job.operations)
    done = {line.facts.key: line.done for line in operations}
    materials = tuple(_material_line(one, job, done) for one in job.materials)
    mishaps = tuple(_mishap_lines(job, operations, materials))
    lines = _lines(job, operations, materials, mishaps)
    total = lines[-1]
    rework = [line for line in operations if line.facts.mishap is not None]
    return CostReport(
        facts=job,
        operations=operations,
        materials=materials,
        mishaps=mishaps,
        lines=lines,
        hours_planned=_sum(one.hours for one in job.operations if one.mishap is None),
        hours_worked=_sum(one.worked for one in job.operations) + _sum(one.worked for one in job.loose),
        hours_to_come=_sum(line.hours_to_come for line in operations),
        earned=_earned(job, done, rework, materials, total.actual),
        quoted=_margin(job.price, total.planned),
        forecast=_margin(job.price, total.forecast),
        made=_margin(job.price, total.actual) if job.closed else None,
    )


def _operation_line(one: OperationFacts, job: JobFacts) -> OperationLine:
    done = _share_done(one.progress, one.worked, one.hours, job.closed)
    if job.closed:
        left = _NONE
    elif one.progress is None:
        left = max(one.hours - one.worked, _NONE)
    else:
        left = one.hours * (1 - one.progress)
    parts = labour_variance(
        standard_hours=one.hours * done, standard_rate=one.rate, hours=one.worked, paid=one.paid
    )
    rate = to_minor(parts.rate, job.minor_units)
    return OperationLine(
        facts=one,
        done=done,
        said=one.progress is not None,
        hours_to_come=to_minor(left, 4),
        cost_to_come=to_minor(left * one.rate, job.minor_units),
        rate_variance=rate,
        efficiency_variance=to_minor(parts.total, job.minor_units) - rate,
    )


def _material_line(one: MaterialFacts, job: JobFacts, done: dict[int, Decimal]) -> MaterialLine:
    taker = taking_operation(one, job.operations)
    share = _share_done(
        done[taker.key] if taker is not None and taker.progress is not None else None,
        one.used,
        one.quantity,
        job.closed,
    )
    price = one.cost / one.quantity if one.quantity else _NONE
    finished = share == _ONE and one.used > 0
    left = _NONE if job.closed or finished else max(one.quantity - one.used, _NONE)
    parts = material_variance(
        standard_quantity=one.quantity * share,
        standard_price=price,
        bought=one.used,
        paid=one.paid,
        used=one.used,
    )
    dearer = to_minor(parts.price, job.minor_units)
    return MaterialLine(
        facts=one,
        done=share,
        quantity_to_come=to_minor(left, 6),
        cost_to_come=to_minor(left * price, job.minor_units),
        price_variance=dearer,
        usage_variance=to_minor(parts.total, job.minor_units) - dearer,
    )


def taking_operation(one: MaterialFacts, operations: Iterable[OperationFacts]) -> OperationFacts | None:
    """The operation that uses a material up: the first of its piece whose stage is not before its own."""
    rank = stage_rank(one.stage)
    own = [each for each in operations if (each.piece, each.mishap) == (one.piece, one.mishap)]
    return next((each for each in own if stage_rank(each.stage) >= rank), own[-1] if own else None)


def _share_done(said: Decimal | None, actual: Decimal, planned: Decimal, closed: bool) -> Decimal:
    if closed:
        return _ONE
    if said is not None:
        return said
    return min(actual / planned, _ONE) if planned > 0 else _NONE


def _mishap_lines(
    job: JobFacts, operations: tuple[OperationLine, ...], materials: tuple[MaterialLine, ...]
) -> Iterable[MishapLine]:
    for mishap in job.mishaps:
        work = [line for line in operations if line.facts.mishap == mishap.key]
        parts = [line for line in materials if line.facts.mishap == mishap.key]
        loose = [one for one in job.loose if one.mishap == mishap.key]
        hours = _sum(line.facts.worked for line in work) + _sum(one.worked for one in loose)
        left = _sum(line.hours_to_come for line in work)
        paid = _sum(line.facts.paid for line in work) + _sum(line.facts.paid for line in parts)
        to_come = _sum(line.cost_to_come for line in work) + _sum(line.cost_to_come for line in parts)
        yield MishapLine(
            key=mishap.key,
            name=mishap.name,
            stage=mishap.stage,
            outcome=mishap.outcome,
            hours=hours,
            actual=paid
            + _sum(one.paid for one in loose)
            + to_minor(hours * job.overhead_rate, job.minor_units),
            to_come=to_come + to_minor(left * job.overhead_rate, job.minor_units),
        )


def _lines(
    job: JobFacts,
    operations: tuple[OperationLine, ...],
    materials: tuple[MaterialLine, ...],
    mishaps: tuple[MishapLine, ...],
) -> tuple[CostLine, ...]:
    units, rate = job.minor_units, job.overhead_rate
    work = [line for line in operations if line.facts.mishap is None]
    parts = [line for line in materials if line.facts.mishap is None]
    loose = [one for one in job.loose if one.mishap is None]
    hours = _sum(line.facts.worked for line in work) + _sum(one.worked for one in loose)
    planned_overhead = _sum(
        to_minor(_sum(one.hours for one in job.operations if _is_plan(one, piece.key)) * rate, units)
        for piece in job.pieces
    )
    kinds = (
        CostLine(
            "materials",
            "Materials",
            _sum(line.facts.cost for line in parts),
            _sum(line.facts.paid for line in parts) + _sum(one.paid for one in loose if not one.is_work),
            _sum(line.cost_to_come for line in parts),
        ),
        CostLine(
            "labour",
            "Labour",
            _sum(line.facts.cost for line in work),
            _sum(line.facts.paid for line in work) + _sum(one.paid for one in loose if one.is_work),
            _sum(line.cost_to_come for line in work),
        ),
        CostLine(
            "overhead",
            "Overhead",
            planned_overhead,
            to_minor(hours * rate, units),
            to_minor(_sum(line.hours_to_come for line in work) * rate, units),
        ),
        CostLine(
            "mishaps",
            "Mishaps (planned: the breakage allowance)",
            job.breakage_allowance,
            _sum(line.actual for line in mishaps),
            _sum(line.to_come for line in mishaps),
        ),
    )
    total = CostLine(
        "total",
        "Cost",
        _sum(line.planned for line in kinds),
        _sum(line.actual for line in kinds),
        _sum(line.to_come for line in kinds),
    )
    return (*kinds, total)


def _is_plan(one: OperationFacts, piece: int) -> bool:
    return one.mishap is None and one.piece == piece


def _earned(
    job: JobFacts,
    done: dict[int, Decimal],
    rework: list[OperationLine],
    materials: tuple[MaterialLine, ...],
    spent: Decimal,
) -> EarnedValue:
    """Every operation is worth its labour, overhead and the materials it uses up; a break takes back what
    the lost pieces had earned until it is done again."""
    plan = [one for one in job.operations if one.mishap is None]
    worth = {one.key: one.cost + one.hours * job.overhead_rate for one in plan}
    earned = planned = _NONE
    for line in materials:
        taker = taking_operation(line.facts, plan)
        if line.facts.mishap is not None:
            continue
        if taker is not None:
            worth[taker.key] += line.facts.cost
        else:
            worth[-line.facts.key] = line.facts.cost
            earned += line.facts.cost * line.done
    for one in plan:
        earned += worth[one.key] * done[one.key] * _kept(one, job, rework)
        if one.planned_on is not None and one.planned_on <= job.on:
            planned += worth[one.key]
    units = job.minor_units
    return earned_value(
        budget=to_minor(_sum(worth.values()), units),
        planned=to_minor(planned, units),
        earned=to_minor(earned, units),
        spent=max(spent, _NONE),
        minor_units=units,
    )


def _kept(one: OperationFacts, job: JobFacts, rework: list[OperationLine]) -> Decimal:
    """Share of an operation's worth that breaks have left standing."""
    quantity = next((piece.quantity for piece in job.pieces if piece.key == one.piece), 1)
    castings = {mishap.key: mishap.castings for mishap in job.mishaps}
    lost = _NONE
    for line in rework:
        if (line.facts.piece, line.facts.code) == (one.piece, one.code) and line.facts.mishap is not None:
            lost += Decimal(castings[line.facts.mishap]) / quantity * (1 - line.done)
    return max(1 - lost, _NONE)


def _margin(price: Decimal, cost: Decimal) -> Margin:
    left = price - cost
    return Margin(
        amount=left,
        of_price=to_minor(left / price, 6) if price else None,
        of_cost=to_minor(left / cost, 6) if cost else None,
    )


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, _NONE)
