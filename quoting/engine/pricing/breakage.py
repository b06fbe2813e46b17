"""What the risk of breakage is worth: the exact expected cost of one good piece made in stages.

A piece goes through its stages in order. Stage i costs cᵢ each time it is done; after it the piece breaks
with chance pᵢ and starts again from stage rᵢ, or goes on. That is an absorbing Markov chain whose only end
is a good piece. Chances and costs are taken as exact fractions, so the result is exact, not simulated.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from quoting.engine.errors import Fault, Refused
from quoting.engine.pricing.amounts import fraction_to_minor


@dataclass(frozen=True, slots=True)
class Break:
    """One way a stage goes wrong: how often, and from which stage (its number) the piece is made again."""

    chance: Decimal
    back_to: int


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the work. `cost` is that of doing it once more for one piece."""

    name: str
    cost: Decimal | Fraction
    breaks: tuple[Break, ...] = ()


@dataclass(frozen=True, slots=True)
class StageAllowance:
    """A stage's part of the allowance: how often it is done for one good piece, and what the extra costs."""

    name: str
    visits: Fraction
    cost: Fraction

    @property
    def extra(self) -> Fraction:
        """Expected cost of doing the stage again, for one good piece: (visits − 1) × cost."""
        return (self.visits - 1) * self.cost


@dataclass(frozen=True, slots=True)
class BreakageAllowance:
    """The expected cost of one good piece beyond that of a piece that never breaks."""

    stages: tuple[StageAllowance, ...]
    no_fail_cost: Fraction
    survival: Fraction
    """Chance that a piece comes through at the first attempt."""

    @property
    def allowance(self) -> Fraction:
        """Expected extra cost for one good piece, exact."""
        return sum((stage.extra for stage in self.stages), Fraction(0))

    @property
    def expected_cost(self) -> Fraction:
        """Expected cost of one good piece, exact."""
        return self.no_fail_cost + self.allowance

    def rounded(self, quantity: int = 1, minor_units: int = 2) -> Decimal:
        """The allowance for `quantity` good pieces, rounded once, half up, to the minor unit."""
        return fraction_to_minor(self.allowance * quantity, minor_units)


def allowance_by_stage(stages: Sequence[Stage]) -> BreakageAllowance:
    """Breakage allowance of one good piece by the absorbing chain of its stages.

    The expected cost is N₁·c, with the first row of the fundamental matrix N = (I − Q)⁻¹
    (`expected_visits`). Costs in any currency; chances are fractions. Refused when a chance is not from 0
    up to (not including) 1 in sum, or a piece would go back to a later stage. Source: absorbing chains in
    any text on Markov chains; check values K38 to K44.

    >>> turn = Stage("turn", Decimal("20"), (Break(Decimal("0.2"), 0),))
    >>> allowance_by_stage([Stage("cast", Decimal("100")), turn]).expected_cost
    Fraction(150, 1)
    """
    _refuse_faults(_stage_faults(stages))
    return BreakageAllowance(
        stages=tuple(
            StageAllowance(stage.name, visits, Fraction(stage.cost))
            for stage, visits in zip(stages, expected_visits(stages), strict=True)
        ),
        no_fail_cost=sum((Fraction(stage.cost) for stage in stages), Fraction(0)),
        survival=math.prod((1 - _chance(stage) for stage in stages), start=Fraction(1)),
    )


def expected_visits(stages: Sequence[Stage]) -> tuple[Fraction, ...]:
    """How often each stage is done, on average, for one good piece (first row of the fundamental matrix).

    Across the cut after stage j one more piece goes forward than comes back: vⱼ(1 − Σpⱼ) = 1 + Σ vᵢ·p over
    the breaks of later stages i that go back to j or before it. Solved from the last stage down.

    >>> cast = Stage("cast", Decimal(1))
    >>> expected_visits([cast, Stage("turn", Decimal(1), (Break(Decimal("0.5"), 1),))])
    (Fraction(1, 1), Fraction(2, 1))
    """
    visits = [Fraction(0)] * len(stages)
    back = [Fraction(0)] * len(stages)  # pieces that come back to just this stage
    crossing = Fraction(0)  # pieces that later stages send back across the cut
    for j in reversed(range(len(stages))):
        visits[j] = (1 + crossing) / (1 - _chance(stages[j]))
        for way in stages[j].breaks:
            back[way.back_to] += visits[j] * Fraction(way.chance)
            crossing += visits[j] * Fraction(way.chance)
        crossing -= back[j]
    return tuple(visits)


def _chance(stage: Stage) -> Fraction:
    return sum((Fraction(way.chance) for way in stage.breaks), Fraction(0))


def _stage_faults(stages: Sequence[Stage]) -> Iterable[Fault]:
    for i, stage in enumerate(stages):
        if any(not way.chance.is_finite() or way.chance < 0 for way in stage.breaks) or _chance(stage) >= 1:
            message = "the chance of a break must be from 0 up to, but not including, 1"
            chances = " + ".join(str(way.chance) for way in stage.breaks)
            yield Fault(f"stages[{i}].breaks", message, "bad_chance", chances)
        for way in stage.breaks:
            if not 0 <= way.back_to <= i:
                message = (
                    f"after a break at {stage.name} the piece must go back to it or to a stage before it"
                )
                yield Fault(f"stages[{i}].breaks", message, "bad_return", str(way.back_to))


def _refuse_faults(faults: Iterable[Fault]) -> None:
    if found := tuple(faults):
        raise Refused(found)
