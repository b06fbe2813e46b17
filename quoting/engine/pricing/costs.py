"""From take-off lines to cost: materials on both bases, delivery, and the stages a breakage is priced by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact, to_minor
from quoting.engine.pricing.amounts import fraction_to_minor
from quoting.engine.pricing.breakage import Break, Stage
from quoting.engine.spec.types import Delivery
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.takeoff.wording import count_of
from quoting.engine.units import KM_PER_MILE
from quoting.engine.values import ShopTerms

WEAR_STAGE = "polish"
BOUGHT_IN_STAGE = "extra"
_HOURS_PLACES = 4

# Order of work; a material is used up at the first operation whose stage is not before its own.
_RANK = {
    stage: rank
    for rank, stages in enumerate(
        (
            ("mould",),
            ("concrete", "reinforcement", "cast"),
            ("strip",),
            ("turn",),
            ("fill",),
            ("polish",),
            ("seal",),
            ("fit", "light"),
            ("deliver",),
        )
    )
    for stage in stages
}


def stage_rank(stage: str) -> int:
    """Place of a stage, of an operation or a material, in the order of work; a stage not known is last.

    >>> stage_rank("reinforcement") == stage_rank("cast") < stage_rank("strip")
    True
    """
    return _RANK.get(stage, len(_RANK))


@dataclass(frozen=True, slots=True)
class MaterialCosts:
    """Cost of the material lines on one basis, each line rounded to the minor unit once."""

    materials: Decimal
    wear: Decimal
    """Pads and other wearing parts (lines of the polish stage)."""
    bought_in: Decimal
    """Bought-in parts such as a base (lines of the extra stage)."""

    @property
    def total(self) -> Decimal:
        """materials + wear + bought-in, in the currency."""
        return self.materials + self.wear + self.bought_in


def line_cost(line: MaterialLine, basis: str, minor_units: int = 2) -> Decimal:
    """What one material line costs on a basis (`packs`: whole packs bought; `use`: what is used up)."""
    if basis not in ("packs", "use"):
        message = "materials are priced by whole packs (packs) or by what is used (use)"
        raise Refused([Fault("terms.materials_basis", message, "bad_choice", basis)])
    return to_minor(line.cost if basis == "packs" else line.cost_by_use, minor_units)


def material_costs(lines: Sequence[MaterialLine], basis: str, minor_units: int = 2) -> MaterialCosts:
    """Sum material lines on a basis, wearing and bought-in parts apart."""

    def total(*stages: str, other: bool = False) -> Decimal:
        chosen = (line for line in lines if (line.stage in stages) != other)
        return sum((line_cost(line, basis, minor_units) for line in chosen), Decimal(0))

    return MaterialCosts(
        materials=total(WEAR_STAGE, BOUGHT_IN_STAGE, other=True),
        wear=total(WEAR_STAGE),
        bought_in=total(BOUGHT_IN_STAGE),
    )


def delivery_cost(delivery: Delivery | None, quantity: int, terms: ShopTerms) -> tuple[Decimal, str]:
    """Cost of delivering all pieces in one trip, and its working: fixed + km × rate + steps × rate ×
    pieces.
    """
    if delivery is None:
        return Decimal(0), "collected"
    cost = terms.delivery_fixed + exact(delivery.distance_km) * terms.delivery_per_km
    working = f"{terms.delivery_fixed} + {_way(delivery.distance_km, terms)}"
    if delivery.steps:
        cost += delivery.steps * quantity * terms.delivery_per_step
        working += f" + {count_of(delivery.steps, 'step')} × {terms.delivery_per_step} × {quantity}"
    rounded = to_minor(cost, terms.minor_units)
    return rounded, f"{working} = {rounded}"


def _way(distance_km: float, terms: ShopTerms) -> str:
    """`24 km × 0.90`, or in miles with figures enough for the same cost."""
    if terms.unit_system == "us":
        rate = terms.delivery_per_km * exact(KM_PER_MILE)
        return f"{distance_km / KM_PER_MILE:.8g} mi × {float(rate):.8g}"
    return f"{distance_km:g} km × {terms.delivery_per_km}"


def breakage_stages(
    materials: Sequence[MaterialLine],
    labour: Sequence[LabourLine],
    terms: ShopTerms,
    quantity: int,
    moulds: int = 1,
) -> tuple[Stage, ...]:
    """The operations as stages of the breakage chain, with what doing each once more for one piece costs.

    Cost = remake hours (× what their spread expects) × (rate + overhead) + the materials used up there: a
    mould's share of the mould's, a piece's share of the rest; bought-in parts survive a break. So going back
    to a mould operation pays for a new mould, going back to casting keeps it.
    """
    numbers = {line.operation: number for number, line in enumerate(labour)}
    used = _materials_by_line(materials, labour, terms, quantity, moulds)
    stages = []
    for number, line in enumerate(labour):
        cost = remake_labour(line, quantity, terms) * hours_factor(line, terms) + used[number]
        breaks: tuple[Break, ...] = ()
        if line.breakage:
            breaks = (Break(exact(line.breakage), _return_to(line, numbers)),)
        stages.append(Stage(line.name, cost, breaks))
    return tuple(stages)


def hours_factor(line: LabourLine, terms: ShopTerms) -> Fraction:
    """What an operation's planned hours are priced at: the mean of its three-point spread, or 1 (`likely`).

    Mean of the triangular shape, (a + m + b)/3; check values K33, K34. Refused for another basis.
    """
    if terms.hours_basis == "likely":
        return Fraction(1)
    if terms.hours_basis == "expected":
        return _mean(line.spread)
    message = "hours are priced as planned (likely) or at the mean of their spread (expected)"
    raise Refused([Fault("terms.hours_basis", message, "bad_choice", terms.hours_basis)])


@lru_cache(maxsize=64)
def _mean(spread: tuple[float, float, float]) -> Fraction:
    return sum((Fraction(exact(point)) for point in spread), Fraction(0)) / 3


def expected_hours(line: LabourLine, terms: ShopTerms) -> Decimal:
    """An operation's hours as they are priced, rounded half up to four decimals like those planned."""
    return fraction_to_minor(Fraction(exact(line.hours)) * hours_factor(line, terms), _HOURS_PLACES)


def remake_labour(line: LabourLine, quantity: int, terms: ShopTerms) -> Fraction:
    """Planned labour and its overhead of doing an operation once more for one piece, exact."""
    hours = Fraction(exact(line.hours)) / quantity
    if line.remake_hours is not None:
        hours = Fraction(exact(line.remake_hours))
    return hours * Fraction(line.rate + terms.overhead_per_labour_hour)


def _return_to(line: LabourLine, numbers: dict[str, int]) -> int:
    if line.back_to is None:
        return 0
    if line.back_to not in numbers:
        message = f"after a break {line.name} goes back to an operation that is not part of this work"
        raise Refused([Fault(f"operations.{line.operation}.back_to", message, "unknown_code", line.back_to)])
    return numbers[line.back_to]


def _materials_by_line(
    materials: Sequence[MaterialLine],
    labour: Sequence[LabourLine],
    terms: ShopTerms,
    quantity: int,
    moulds: int,
) -> list[Fraction]:
    used = [Fraction(0)] * len(labour)
    for line in materials:
        if line.stage == BOUGHT_IN_STAGE or not labour:
            continue
        rank = stage_rank(line.stage)
        takers = (n for n, work in enumerate(labour) if stage_rank(work.stage) >= rank)
        share = moulds if line.stage == "mould" else quantity
        cost = Fraction(line_cost(line, terms.materials_basis, terms.minor_units))
        used[next(takers, len(labour) - 1)] += cost / share
    return used
