"""From what a quote froze to what a job is planned to take, and what a break makes it take again. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.engine.money import exact, to_minor
from quoting.engine.pricing.costs import stage_rank
from quoting.engine.takeoff.calendar import Promise, promise
from quoting.engine.takeoff.lines import CureStep, LabourLine
from quoting.engine.values import ShopTerms

_FOUR = 4
_SIX = 6
# The step of the cure plan whose day an operation of a stage falls on; the first that the plan has.
_DAY_OF = {
    "cast": ("pour",),
    "strip": ("strip_sides",),
    "turn": ("turn",),
    "fill": ("turn",),
    "polish": ("polish", "turn"),
    "seal": ("seal", "polish", "turn"),
    "fit": ("deliver",),
    "deliver": ("deliver",),
}


@dataclass(frozen=True, slots=True)
class OperationPlan:
    """One operation: hours of all hands for the whole quantity; `remake_hours` for one piece once more."""

    code: str
    name: str
    stage: str
    role: str = ""
    crew: int = 1
    hours: Decimal = Decimal(0)
    rate: Decimal = Decimal(0)
    cost: Decimal = Decimal(0)
    remake_hours: Decimal = Decimal(0)
    breakage: float = 0.0
    back_to: str = ""
    spread: tuple[float, ...] = (0.8, 1.0, 1.4)
    planned_on: date | None = None


@dataclass(frozen=True, slots=True)
class MaterialPlan:
    """One material for the whole quantity, in its content unit."""

    code: str
    name: str
    stage: str
    unit: str
    quantity: Decimal
    cost: Decimal
    pack_size: Decimal = Decimal(1)
    pack_name: str = ""


@dataclass(frozen=True, slots=True)
class DatePlan:
    """A day of the cure plan."""

    step: str
    name: str
    planned_on: date


@dataclass(frozen=True, slots=True)
class PiecePlan:
    """All that one kind of piece is planned to take."""

    name: str
    quantity: int
    kind: str
    price: Decimal
    breakage_allowance: Decimal
    overhead_rate: Decimal
    drivers: Mapping[str, float]
    operations: tuple[OperationPlan, ...]
    materials: tuple[MaterialPlan, ...]
    dates: tuple[DatePlan, ...]
    ready_on: date | None


def piece_plan(said: Mapping[str, Any], basis: Mapping[str, Any], start: date, terms: ShopTerms) -> PiecePlan:
    """Plan one item of an issued quote from its frozen side, with work starting on a day.

    `said` is the item as the client read it, `basis` its document and estimate. Material quantities are
    those that the price was made of: whole packs, or what is used.
    """
    made, units = basis["estimate"], terms.minor_units
    price = made["price"]
    when = _promise(made, start, terms)
    days = {step.step: step.day for step in when.steps}
    by_packs = price["materials_basis"] == "packs"
    carriage = next(Decimal(step["amount"]) for step in price["steps"] if step["code"] == "delivery")
    materials = [_material(line, by_packs, units) for line in made["materials"]]
    if carriage:
        materials.append(MaterialPlan("", "Delivery", "deliver", "trip", Decimal(1), carriage))
    return PiecePlan(
        name=said["name"],
        quantity=made["quantity"],
        kind=basis["document"]["outline"]["shape"],
        price=Decimal(said["net"]),
        breakage_allowance=Decimal(price["breakage_allowance"]),
        overhead_rate=Decimal(price["overhead_rate"]),
        drivers=made["drivers"],
        operations=tuple(
            _operation(line, days, when.start, units, made["quantity"]) for line in made["labour"]
        ),
        materials=tuple(materials),
        dates=tuple(DatePlan(step.step, step.name, step.day) for step in when.steps),
        ready_on=when.ready,
    )


def recast_operations(
    planned: Sequence[OperationPlan], broken: str, castings: int, minor_units: int = 2
) -> tuple[OperationPlan, ...]:
    """The operations to do again after a break: from where the broken one goes back to, up to itself.

    Hours are those of one piece once more × `castings`. Without a way back set for the operation the piece
    is cast again: from the first operation of the cast stage. ValueError for an operation not planned.
    """
    codes = [one.code for one in planned]
    end = codes.index(broken)
    start = _start_again(planned, end)
    again = []
    for one in planned[start : end + 1]:
        hours = to_minor(one.remake_hours * castings, _FOUR)
        again.append(replace(one, hours=hours, cost=to_minor(hours * one.rate, minor_units)))
    return tuple(again)


def recast_materials(
    materials: Sequence[MaterialPlan],
    again: Sequence[OperationPlan],
    castings: int,
    quantity: int,
    minor_units: int = 2,
) -> tuple[MaterialPlan, ...]:
    """The materials used up again by the operations done again: each lost piece's share of them.

    Bought-in parts survive a break. `quantity` is how many pieces the plan is for.
    """
    if not again:
        return ()
    first, last = stage_rank(again[0].stage), stage_rank(again[-1].stage)
    share = Decimal(castings) / quantity
    return tuple(
        replace(
            line,
            quantity=to_minor(line.quantity * share, _SIX),
            cost=to_minor(line.cost * share, minor_units),
        )
        for line in materials
        if line.stage != "extra" and first <= stage_rank(line.stage) <= last
    )


def _start_again(planned: Sequence[OperationPlan], end: int) -> int:
    codes = [one.code for one in planned]
    if planned[end].back_to in codes[: end + 1]:
        return codes.index(planned[end].back_to)
    casts = (at for at, one in enumerate(planned[: end + 1]) if one.stage == "cast")
    return next(casts, end)


def _promise(made: Mapping[str, Any], start: date, terms: ShopTerms) -> Promise:
    steps = [
        CureStep(
            step["step"],
            step["name"],
            step["earliest_day"],
            step["equivalent_age_h"],
            step["strength_mpa"],
            step["why"],
            step["after"],
            step["after_days"],
        )
        for step in made["cure"]
    ]
    lines = [
        LabourLine(
            operation=line["operation"],
            name=line["name"],
            stage=line["stage"],
            role=line["role"],
            crew=line["crew"],
            hours=line["hours"],
            rate=Decimal(line["rate"]),
            cost=Decimal(line["cost"]),
            working=line["working"],
            elapsed_hours=line["elapsed_hours"],
        )
        for line in made["labour"]
    ]
    return promise(lines, steps, start, terms, casts=made["quantity"])


def _operation(
    line: Mapping[str, Any], days: Mapping[str, date], start: date, units: int, quantity: int
) -> OperationPlan:
    # A job is held to the hours its price carries: the standard times what its spread expects.
    standard, hours = exact(line["hours"]), exact(line["expected_hours"])
    once = standard / quantity if line["remake_hours"] is None else exact(line["remake_hours"])
    share = once * hours / standard if standard else once
    rate = Decimal(line["rate"])
    wanted = (days[step] for step in _DAY_OF.get(line["stage"], ()) if step in days)
    return OperationPlan(
        code=line["operation"],
        name=line["name"],
        stage=line["stage"],
        role=line["role"],
        crew=line["crew"],
        hours=hours,
        rate=rate,
        cost=to_minor(hours * rate, units),
        remake_hours=to_minor(share, _FOUR),
        breakage=line["breakage"],
        back_to=line["back_to"] or "",
        spread=tuple(line["spread"]),
        planned_on=next(wanted, start),
    )


def _material(line: Mapping[str, Any], by_packs: bool, units: int) -> MaterialPlan:
    pack = exact(line["pack_size"])
    quantity = line["packs"] * pack if by_packs else exact(line["gross"])
    return MaterialPlan(
        code=line["code"],
        name=line["name"],
        stage=line["stage"],
        unit=line["unit"],
        quantity=to_minor(quantity, _SIX),
        cost=to_minor(Decimal(line["cost" if by_packs else "cost_by_use"]), units),
        pack_size=to_minor(pack, _SIX),
        pack_name=line["pack_name"],
    )
