"""Works cost and breakage allowance: the cost half of a price, with its working."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact, to_minor
from quoting.engine.pricing.amounts import fraction_to_minor, percent
from quoting.engine.pricing.breakage import BreakageAllowance, allowance_by_stage
from quoting.engine.pricing.costs import (
    MaterialCosts,
    breakage_stages,
    delivery_cost,
    expected_hours,
    material_costs,
)
from quoting.engine.spec.types import Delivery
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.takeoff.wording import count_of
from quoting.engine.values import ShopTerms


@dataclass(frozen=True, slots=True)
class PriceStep:
    """One step of the build-up, in the order a maker would pencil it."""

    code: str
    name: str
    amount: Decimal
    working: str


@dataclass(frozen=True, slots=True)
class PricedHours:
    """An operation's hours and their cost as the price carries them: a line's plan and its overrun."""

    operation: str
    hours: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class Costs:
    """What a quantity of one piece costs; all amounts are for the whole quantity."""

    quantity: int
    currency: str
    minor_units: int
    materials_basis: str
    materials_by_packs: MaterialCosts
    materials_by_use: MaterialCosts
    materials_cost: Decimal
    wear_cost: Decimal
    bought_in_cost: Decimal
    labour_hours: Decimal
    """As planned."""
    labour_cost: Decimal
    """Of the planned hours: the sum of the labour lines."""
    expected_hours: Decimal
    """As priced: by the shop's basis of hours."""
    by_operation: tuple[PricedHours, ...]
    """Hours and cost as priced, in the order of the labour lines; they sum to labour_cost + overrun."""
    overrun: Decimal
    """Cost of the hours expected beyond the plan; 0 where hours are priced as planned."""
    delivery_cost: Decimal
    overhead: Decimal
    overhead_rate: Decimal
    """For one labour hour."""
    works_cost: Decimal
    breakage_method: str
    breakage: BreakageAllowance
    """By stage, for one piece; worked out whichever method the price uses."""
    breakage_allowance: Decimal
    cost: Decimal
    """works_cost + breakage_allowance."""
    steps: tuple[PriceStep, ...]


def cost_build_up(
    materials: Sequence[MaterialLine],
    labour: Sequence[LabourLine],
    *,
    terms: ShopTerms,
    quantity: int = 1,
    moulds: int = 1,
    delivery: Delivery | None = None,
) -> Costs:
    """Cost of a quantity of pieces: materials + wear + bought-in + labour + overrun + delivery + overhead +
    breakage.

    Lines are for the whole quantity; `moulds` is how many moulds it wears out. Overrun is what the hours are
    expected to take beyond the plan (`hours_factor`), overhead the hours so priced × the shop's rate. The
    allowance is a flat share of what can break (works cost less bought-in parts and delivery), or the
    expected cost by stage (`breakage`). Refused for an unknown basis or method.
    """
    units = terms.minor_units
    by_basis = {basis: material_costs(materials, basis, units) for basis in ("packs", "use")}
    chosen = by_basis.get(terms.materials_basis) or material_costs(materials, terms.materials_basis, units)
    hours = sum((exact(line.hours) for line in labour), Decimal(0))
    labour_cost = sum((to_minor(line.cost, units) for line in labour), Decimal(0))
    priced = tuple(_priced(line, terms) for line in labour)
    overrun = sum((each.cost for each in priced), Decimal(0)) - labour_cost
    expected = sum((each.hours for each in priced), Decimal(0))
    carriage, carriage_working = delivery_cost(delivery, quantity, terms)
    overhead = to_minor(expected * terms.overhead_per_labour_hour, units)
    works = chosen.total + labour_cost + overrun + carriage + overhead
    breakage = allowance_by_stage(breakage_stages(materials, labour, terms, quantity, moulds))
    at_risk = works - chosen.bought_in - carriage
    allowance, allowance_working = _allowance(at_risk, breakage, terms, quantity)
    made = Costs(
        quantity=quantity,
        currency=terms.currency,
        minor_units=units,
        materials_basis=terms.materials_basis,
        materials_by_packs=by_basis["packs"],
        materials_by_use=by_basis["use"],
        materials_cost=chosen.materials,
        wear_cost=chosen.wear,
        bought_in_cost=chosen.bought_in,
        labour_hours=hours,
        labour_cost=labour_cost,
        expected_hours=expected,
        by_operation=priced,
        overrun=overrun,
        delivery_cost=carriage,
        overhead=overhead,
        overhead_rate=terms.overhead_per_labour_hour,
        works_cost=works,
        breakage_method=terms.breakage_method,
        breakage=breakage,
        breakage_allowance=allowance,
        cost=works + allowance,
        steps=(),
    )
    return replace(made, steps=_steps(made, len(labour), terms, carriage_working, allowance_working))


def _priced(line: LabourLine, terms: ShopTerms) -> PricedHours:
    hours, planned = expected_hours(line, terms), exact(line.hours)
    cost = line.cost if hours == planned else hours * line.rate
    return PricedHours(line.operation, hours, to_minor(cost, terms.minor_units))


def _steps(
    made: Costs, operations: int, terms: ShopTerms, carriage: str, allowance: str
) -> tuple[PriceStep, ...]:
    hours, priced = (f"{h.normalize():f} h" for h in (made.labour_hours, made.expected_hours))
    rate = terms.overhead_per_labour_hour
    total = f"{made.works_cost} + {made.breakage_allowance} = {made.cost}"
    steps = [
        PriceStep("materials", "Materials", made.materials_cost, _basis(made)),
        PriceStep("wear", "Wearing parts", made.wear_cost, "pads and other wearing parts"),
        PriceStep("bought_in", "Bought-in parts", made.bought_in_cost, "parts named in the piece"),
        PriceStep("labour", "Labour", made.labour_cost, f"{count_of(operations, 'operation')}, {hours}"),
    ]
    if made.overrun or made.expected_hours != made.labour_hours:
        factor = to_minor(made.expected_hours / made.labour_hours, 3)
        working = f"{hours} × {factor} expected = {priced}, each operation by the mean of its spread"
        steps.append(PriceStep("overrun", "Hours expected beyond the plan", made.overrun, working))
    return (
        *steps,
        PriceStep("delivery", "Delivery", made.delivery_cost, carriage),
        PriceStep("overhead", "Overhead", made.overhead, f"{priced} × {rate} = {made.overhead}"),
        PriceStep("works", "Works cost", made.works_cost, "sum of the lines above"),
        PriceStep("breakage", "Breakage allowance", made.breakage_allowance, allowance),
        PriceStep("cost", "Cost", made.cost, total),
    )


def _allowance(
    at_risk: Decimal, breakage: BreakageAllowance, terms: ShopTerms, quantity: int
) -> tuple[Decimal, str]:
    if terms.breakage_method == "flat":
        allowance = to_minor(at_risk * terms.breakage_flat, terms.minor_units)
        share = percent(terms.breakage_flat)
        return allowance, f"{at_risk} (without bought-in parts and delivery) × {share} = {allowance}"
    if terms.breakage_method == "by_stage":
        allowance = breakage.rounded(quantity, terms.minor_units)
        again = [
            f"{stage.name} {float(stage.visits - 1):.3g} × {fraction_to_minor(stage.cost, terms.minor_units)}"
            for stage in breakage.stages
            if stage.visits > 1
        ]
        parts = " + ".join(again) or "no stage breaks"
        return allowance, f"done again for each piece: {parts}; × {quantity} = {allowance}"
    message = "breakage is allowed for at a flat rate (flat) or by stage (by_stage)"
    raise Refused([Fault("terms.breakage_method", message, "bad_choice", terms.breakage_method)])


def _basis(made: Costs) -> str:
    if made.materials_basis == "packs":
        return f"whole packs bought (by use: {made.materials_by_use.materials})"
    return f"by use (whole packs: {made.materials_by_packs.materials})"
