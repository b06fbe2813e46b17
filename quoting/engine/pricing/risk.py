"""What a price might cost to keep: seeded draws of hours and breakages, and the exact mean they must agree
with.

Each operation's hours are its plan times a factor of its three-point spread (triangular), the same factor
for all pieces and remakes of a draw; operations vary independently. Each piece breaks by the chances of
its stages. Where no operation has a chance of breakage, the price's own allowance is taken as a certain
cost. Materials, delivery and bought-in parts are as planned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact, to_minor
from quoting.engine.pricing.amounts import fraction_to_minor
from quoting.engine.pricing.breakage import Stage, expected_visits
from quoting.engine.pricing.build_up import Price
from quoting.engine.pricing.costs import breakage_stages, hours_factor, remake_labour
from quoting.engine.pricing.three_point import Floats, ThreePoint
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.values import ShopTerms

BREAKAGE = "breakage"


@dataclass(frozen=True, slots=True)
class RiskDriver:
    """What one line does to the cost, all else at its mean: hours between their P10 and P90; breakage between
    its P10 and the mean of the worst tenth, since most pieces never break."""

    code: str
    name: str
    low: Decimal
    high: Decimal
    share: float
    """Of the variance of the cost."""

    @property
    def swing(self) -> Decimal:
        """high − low, in the currency."""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Risk:
    """Cost as a distribution, for the whole quantity."""

    draws: int
    seed: int
    p10: Decimal
    p50: Decimal
    p80: Decimal
    p90: Decimal
    mean: Decimal
    """Of the draws."""
    standard_error: Decimal
    """Of that mean."""
    expected: Decimal
    """The exact mean, by the chain and the means of the spreads."""
    chance_of_margin: float
    """Of making the target margin or more at the price asked."""
    chance_of_loss: float
    """Of costing more than the price asked."""
    contingency_p80: Decimal
    """p80 less the cost the price is built on."""
    drivers: tuple[RiskDriver, ...]
    """Lines by what they do to the spread, the greatest first."""


_ONE_BY_ONE = 50
"""Up to so many pieces are drawn one by one; of more it is drawn how many break."""


@dataclass(frozen=True, slots=True)
class _Model:
    """A commission as arrays: cost certain, cost by operation, remake cost, break chances and returns."""

    certain: float
    planned: Floats
    remake_labour: Floats
    remake_materials: Floats
    spreads: tuple[ThreePoint, ...]
    chances: Floats
    back_to: tuple[int, ...]
    pieces: int


def simulate(
    labour: Sequence[LabourLine],
    materials: Sequence[MaterialLine],
    price: Price,
    *,
    terms: ShopTerms,
    moulds: int = 1,
    seed: int = 1,
    draws: int = 10_000,
) -> Risk:
    """Draw the cost of a priced commission and say how likely the price keeps its margin.

    `labour`, `materials`, `terms`, `moulds` are those the price was made of. The same seed gives the same
    draws. The drawn mean agrees with `expected`, which is exact. Refused for spreads out of order or no
    draws. Source: three-point estimates and contingency as in GAO-20-195G step 9 (K34, K35).
    """
    _refuse_inputs(labour, draws)
    stages = breakage_stages(materials, labour, terms, price.quantity, moulds)
    model = _model(labour, price, terms, stages)
    rng = np.random.Generator(np.random.PCG64(seed))
    factors = _factors(model, rng, draws)
    extra = _breakage(model, factors, rng)
    cost = model.certain + (factors * model.planned).sum(axis=1) + extra
    net = float(price.net_after_discount)
    p10, p50, p80, p90 = (_money(value, terms) for value in np.quantile(cost, (0.1, 0.5, 0.8, 0.9)))
    ceiling = net * (1 - float(price.target_margin))
    return Risk(
        draws=draws,
        seed=seed,
        p10=p10,
        p50=p50,
        p80=p80,
        p90=p90,
        mean=_money(cost.mean(), terms),
        standard_error=_money(cost.std() / draws**0.5, terms),
        expected=_expected(labour, price, terms, stages),
        chance_of_margin=float((cost <= ceiling + 1e-9).mean()),
        chance_of_loss=float((cost > net + 1e-9).mean()),
        contingency_p80=p80 - price.cost,
        drivers=_drivers(labour, model, extra, float(cost.var()), terms),
    )


def _model(labour: Sequence[LabourLine], price: Price, terms: ShopTerms, stages: Sequence[Stage]) -> _Model:
    hourly = [float(line.rate + terms.overhead_per_labour_hour) for line in labour]
    again = np.array([float(remake_labour(line, price.quantity, terms)) for line in labour])
    certain = _certain(price)
    if not any(line.breakage for line in labour):
        certain += price.breakage_allowance
    return _Model(
        certain=float(certain),
        planned=np.array([line.hours * rate for line, rate in zip(labour, hourly, strict=True)]),
        remake_labour=again,
        remake_materials=np.array([float(part) for part in _materials_again(labour, price, terms, stages)]),
        spreads=tuple(ThreePoint(*line.spread) for line in labour),
        chances=np.array([line.breakage for line in labour]),
        back_to=tuple(stage.breaks[0].back_to if stage.breaks else 0 for stage in stages),
        pieces=price.quantity,
    )


def _certain(price: Price) -> Decimal:
    """What does not vary: works cost without the hours and their overhead."""
    return price.works_cost - price.labour_cost - price.overrun - price.overhead


def _materials_again(
    labour: Sequence[LabourLine], price: Price, terms: ShopTerms, stages: Sequence[Stage]
) -> list[Fraction]:
    """Materials of doing each stage once more: its cost less the hours it was priced at."""
    return [
        Fraction(stage.cost) - remake_labour(line, price.quantity, terms) * hours_factor(line, terms)
        for line, stage in zip(labour, stages, strict=True)
    ]


def _factors(model: _Model, rng: np.random.Generator, draws: int) -> Floats:
    uniform = rng.random((len(model.spreads), draws))
    rows = [spread.quantiles(row) for spread, row in zip(model.spreads, uniform, strict=True)]
    return np.array(rows).reshape(len(rows), draws).T


def _breakage(model: _Model, factors: Floats, rng: np.random.Generator) -> Floats:
    """Extra cost of every draw: each piece's breaks, one after the other, until it is good.

    A break at stage j costs the stages from its return to j once more.
    """
    draws = len(factors)
    extra = np.zeros(draws)
    if not model.chances.any():
        return extra
    remake = factors * model.remake_labour + model.remake_materials
    sums = np.zeros((draws, remake.shape[1] + 1))
    np.cumsum(remake, axis=1, out=sums[:, 1:])
    survive = np.concatenate(([1.0], np.cumprod(1.0 - model.chances)))
    if model.pieces > _ONE_BY_ONE:
        _by_count(model, survive, sums, extra, rng)
    else:
        _one_by_one(model, survive, sums, extra, rng)
    return extra


def _one_by_one(
    model: _Model, survive: Floats, sums: Floats, extra: Floats, rng: np.random.Generator
) -> None:
    """Add the breaks of every piece: at stage s it next breaks at j ≥ s with chance pⱼ·Π(1 − p) of the
    stages before; one uniform draw finds j or none.
    """
    draws, back_to = len(extra), np.array(model.back_to)
    draw = np.repeat(np.arange(draws), model.pieces)
    stage = np.zeros(len(draw), dtype=np.intp)
    while len(draw):
        # Chance of having come as far as to break at or before each stage, from the stage the piece is at.
        beyond = survive[stage] * (1.0 - rng.random(len(draw)))
        at = np.searchsorted(-survive[1:], -beyond, side="right")
        broken = at < len(model.chances)
        draw, at = draw[broken], at[broken]
        stage = back_to[at]
        np.add.at(extra, draw, sums[draw, at + 1] - sums[draw, stage])


def _by_count(model: _Model, survive: Floats, sums: Floats, extra: Floats, rng: np.random.Generator) -> None:
    """The same for many pieces: of those at a stage, how many break next where (a multinomial draw)."""
    waiting = {0: np.full(len(extra), model.pieces)}
    while waiting:
        stage = min(waiting)
        pieces = waiting.pop(stage)
        chances = model.chances[stage:] * survive[stage:-1] / survive[stage]
        breaks = rng.multinomial(pieces, np.append(chances, survive[-1] / survive[stage]))
        for at in (int(n) for n in stage + np.flatnonzero(breaks[:, :-1].any(axis=0))):
            broken, back = breaks[:, at - stage], model.back_to[at]
            extra += broken * (sums[:, at + 1] - sums[:, back])
            waiting[back] = waiting.get(back, 0) + broken


def _expected(
    labour: Sequence[LabourLine], price: Price, terms: ShopTerms, stages: Sequence[Stage]
) -> Decimal:
    """Exact mean: Σ mean factor × (planned + pieces × (visits − 1) × remake) + what is certain."""
    total = Fraction(_certain(price))
    if not any(line.breakage for line in labour):
        total += Fraction(price.breakage_allowance)
    visits = expected_visits(stages)
    parts = _materials_again(labour, price, terms, stages)
    for line, part, count in zip(labour, parts, visits, strict=True):
        mean = sum((Fraction(exact(point)) for point in line.spread), Fraction(0)) / 3
        again = remake_labour(line, price.quantity, terms)
        planned = Fraction(exact(line.hours)) * Fraction(line.rate + terms.overhead_per_labour_hour)
        extra = price.quantity * (count - 1)
        total += mean * planned + extra * (mean * again + part)
    return fraction_to_minor(total, terms.minor_units)


def _drivers(
    labour: Sequence[LabourLine], model: _Model, extra: Floats, variance: float, terms: ShopTerms
) -> tuple[RiskDriver, ...]:
    found = []
    for line, spread, planned in zip(labour, model.spreads, model.planned, strict=True):
        low, high = (_money((spread.quantile(share) - spread.mean) * planned, terms) for share in (0.1, 0.9))
        share = planned**2 * spread.variance / variance if variance else 0.0
        found.append(RiskDriver(line.operation, line.name, low, high, round(float(share), 6)))
    if extra.any():
        worst = np.sort(extra)[-max(1, len(extra) // 10) :].mean()
        low, high = (_money(value - extra.mean(), terms) for value in (np.quantile(extra, 0.1), worst))
        share = float(extra.var()) / variance if variance else 0.0
        found.append(RiskDriver(BREAKAGE, "Breakage", low, high, round(share, 6)))
    return tuple(sorted(found, key=lambda driver: (-driver.share, driver.code)))


def _money(value: float, terms: ShopTerms) -> Decimal:
    return to_minor(exact(float(value)), terms.minor_units)


def _refuse_inputs(labour: Sequence[LabourLine], draws: int) -> None:
    faults = []
    if draws < 1:
        faults.append(Fault("draws", "at least one draw", "out_of_range", str(draws)))
    for line in labour:
        if not 0 <= line.spread[0] <= line.spread[1] <= line.spread[2] < float("inf"):
            message = "a spread is least, most likely, greatest, in that order"
            path = f"operations.{line.operation}.spread"
            faults.append(Fault(path, message, "out_of_range", str(line.spread)))
    if faults:
        raise Refused(faults)
