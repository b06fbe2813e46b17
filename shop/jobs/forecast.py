"""Earned value: what a job's progress says about where its cost and time will end. Pure.

Definitions as in any text on project cost control: CV = EV − AC, SV = EV − PV, CPI = EV/AC, SPI = EV/PV.
Ratios stay exact fractions until the end, since a rounded CPI carries its error into the forecast (check
value K24). What cannot be said is None, never nought (K25).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from quoting.engine.pricing.amounts import fraction_to_minor

INDEX_PLACES = 6


@dataclass(frozen=True, slots=True)
class Forecast:
    """One way of telling the cost at completion."""

    method: str
    to_come: Decimal | None
    at_completion: Decimal | None
    variance: Decimal | None
    """Budget − forecast: below zero, the job ends dearer than planned."""
    index_needed: Decimal | None
    """Cost performance the rest must reach to end at this forecast (TCPI)."""


@dataclass(frozen=True, slots=True)
class EarnedValue:
    """A job at one moment. Indices to six places; amounts rounded to the minor unit once."""

    budget: Decimal
    planned: Decimal
    earned: Decimal
    spent: Decimal
    cost_variance: Decimal
    schedule_variance: Decimal
    cost_index: Decimal | None
    schedule_index: Decimal | None
    share_done: Decimal | None
    index_for_budget: Decimal | None
    """Cost performance the rest must reach to end on budget (TCPI)."""
    forecasts: tuple[Forecast, ...]
    """By plan (the rest as planned), by cost (the rest as dear as so far), by both indices."""

    def by(self, method: str) -> Forecast:
        """The forecast by one method: `plan`, `cost` or `both`."""
        return next(one for one in self.forecasts if one.method == method)


def earned_value(
    *, budget: Decimal, planned: Decimal, earned: Decimal, spent: Decimal, minor_units: int = 2
) -> EarnedValue:
    """Indices and three forecasts from budget at completion, planned value, earned value and actual cost.

    to come: by plan BAC − EV; by cost (BAC − EV)/CPI; by both (BAC − EV)/(CPI·SPI); at completion = AC + to
    come; TCPI = (BAC − EV)/(BAC − AC). Amounts of one currency, none below zero (ValueError). Check values
    K22 to K25.

    >>> made = earned_value(budget=Decimal(120), planned=Decimal(23), earned=Decimal(20), spent=Decimal(25))
    >>> made.cost_index, made.by("cost").at_completion
    (Decimal('0.800000'), Decimal('150.00'))
    """
    if min(budget, planned, earned, spent) < 0:
        raise ValueError("budget, planned value, earned value and cost are never below zero")
    bac, pv, ev, ac = (Fraction(amount) for amount in (budget, planned, earned, spent))
    cpi, spi = _ratio(ev, ac), _ratio(ev, pv)
    rest = bac - ev
    to_come = {
        "plan": rest,
        "cost": _over(rest, cpi),
        "both": _over(rest, cpi * spi if cpi is not None and spi is not None else None),
    }
    return EarnedValue(
        budget=budget,
        planned=planned,
        earned=earned,
        spent=spent,
        cost_variance=earned - spent,
        schedule_variance=earned - planned,
        cost_index=_index(cpi),
        schedule_index=_index(spi),
        share_done=_index(_ratio(ev, bac)),
        index_for_budget=_index(_ratio(rest, bac - ac)),
        forecasts=tuple(_forecast(name, left, bac, ev, ac, minor_units) for name, left in to_come.items()),
    )


def time_estimate(planned_time: Decimal, schedule_index: Decimal | None) -> Decimal | None:
    """How long a job will take at the pace so far: planned time ÷ SPI; None where the pace is not known.

    >>> time_estimate(Decimal(12), Decimal("0.5"))
    Decimal('24')
    """
    return planned_time / schedule_index if schedule_index else None


def _forecast(
    name: str, left: Fraction | None, bac: Fraction, ev: Fraction, ac: Fraction, minor_units: int
) -> Forecast:
    if left is None:
        return Forecast(name, None, None, None, None)
    whole = ac + left
    return Forecast(
        method=name,
        to_come=fraction_to_minor(left, minor_units),
        at_completion=fraction_to_minor(whole, minor_units),
        variance=fraction_to_minor(bac - whole, minor_units),
        index_needed=_index(_ratio(bac - ev, whole - ac)),
    )


def _ratio(above: Fraction, below: Fraction) -> Fraction | None:
    """A quotient; None over nought."""
    return above / below if below else None


def _over(rest: Fraction, index: Fraction | None) -> Fraction | None:
    """The rest at an index; None where the index is not known or is nought."""
    return rest / index if index else None


def _index(value: Fraction | None) -> Decimal | None:
    return None if value is None else fraction_to_minor(value, INDEX_PLACES)
