"""The cure plan: how long a piece must wait before each step, at the temperature of the shop.

Waits that depend on strength or hardening are equivalent ages; drying is days of the calendar. Waiting is
nobody's working time: no hour of it is ever counted as labour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from quoting.engine.errors import Fault, Refused
from quoting.engine.spec.types import Finish
from quoting.engine.takeoff.calendar import later
from quoting.engine.takeoff.lines import CureStep
from quoting.engine.takeoff.maturity import MaturityTerms, age_factor, of_shop
from quoting.engine.takeoff.strength import CURVES, Curve, age_for_strength_h, strength_mpa, stress
from quoting.engine.takeoff.weather import temperature
from quoting.engine.takeoff.wording import figure
from quoting.engine.values import Mix, ShopTerms

CURVE_C = 20.0
"""Temperature that strength curves are given for (EN 12390 curing)."""
LONGEST_DAYS = 400


@dataclass(frozen=True, slots=True)
class CureRule:
    """What a step waits for: a strength, an equivalent age, days of the calendar; the longest of them
    counts.
    """

    strength_mpa: float = 0.0
    """Wanted before the step; a mix weaker than this waits for its whole 28-day strength."""
    share: float = 0.0
    """The same as a share of the 28-day strength."""
    equivalent_h: float = 0.0
    elapsed_days: int = 0
    source: str = "common practice"


def curve_of(terms: ShopTerms) -> Curve:
    """The shop's curve of strength with age. Refused for another than `ec2` or `aci209`."""
    for curve in CURVES:
        if terms.strength_curve == curve:
            return curve
    message = f"strength with age is one of {', '.join(CURVES)}"
    raise Refused([Fault("terms.strength_curve", message, "bad_choice", terms.strength_curve)])


@dataclass(frozen=True, slots=True)
class Climate:
    """The temperature of the concrete day by day after the pour, and what it is worth in maturity."""

    temperatures_c: tuple[float, ...]
    reached_h: tuple[float, ...]
    """Equivalent age at the end of each day, at the shop's reference temperature."""
    maturity: MaturityTerms
    curve: Curve
    system: str
    """The shop's units, for the words of a plan."""

    def day_of(self, equivalent_age_h: float) -> int:
        """First whole day by which an equivalent age is reached; Refused when it is not within
        `LONGEST_DAYS`.
        """
        for day, reached in enumerate(self.reached_h):
            if reached >= equivalent_age_h - 1e-9:
                return day
        message = f"the shop is too cold: concrete would not harden enough within {LONGEST_DAYS} days"
        raise Refused([Fault("terms.shop_temperature_c", message, "too_cold")])

    def age_on_h(self, day: int) -> float:
        """Equivalent age a number of whole days after the pour; Refused past `LONGEST_DAYS`."""
        if day < len(self.reached_h):
            return self.reached_h[day]
        message = f"drying, coats and hardening take more than {LONGEST_DAYS} days together: shorten them"
        raise Refused([Fault("terms.dry_days", message, "too_long", str(day))])


def temperatures_c(
    terms: ShopTerms, pour: date, forecast_c: Sequence[float] = (), days: int = LONGEST_DAYS
) -> tuple[float, ...]:
    """The shop's temperatures from the day of the pour: the forecast day by day, then the means by month."""
    if len(terms.shop_temperature_c) != 12:
        message = "twelve temperatures are wanted, January first"
        raise Refused([Fault("terms.shop_temperature_c", message, "wrong_count")])
    first, last = pour.toordinal(), later(pour, days - 1).toordinal()
    by_month = [
        terms.shop_temperature_c[date.fromordinal(day).month - 1]
        for day in range(first + len(forecast_c), last + 1)
    ]
    return (*forecast_c[:days], *by_month)


def climate(terms: ShopTerms, pour: date, forecast_c: Sequence[float] = ()) -> Climate:
    """The temperatures from the day of the pour on, and the equivalent age by the end of each day."""
    maturity = of_shop(terms)
    temperatures = temperatures_c(terms, pour, forecast_c)
    hours = {celsius: 24 * age_factor(celsius, maturity) for celsius in dict.fromkeys(temperatures)}
    reached = [0.0]
    for celsius in temperatures:
        reached.append(reached[-1] + hours[celsius])
    return Climate(temperatures, tuple(reached), maturity, curve_of(terms), terms.unit_system)


def strength_on_day(mix: Mix, day: int, weather: Climate) -> float:
    """Strength in MPa expected a number of whole days after the pour; 0 on the day of the pour."""
    at_curve_h = weather.age_on_h(day) / age_factor(CURVE_C, weather.maturity)
    return strength_mpa(mix, at_curve_h, weather.curve)


def cure_plan(
    mix: Mix,
    terms: ShopTerms,
    *,
    pour: date,
    finish: Finish | None = None,
    forecast_c: Sequence[float] = (),
    turn_mpa: float | None = None,
) -> tuple[CureStep, ...]:
    """Steps of a piece after the pour, each with the first day it may be done on and why.

    Strength by the shop's curve at the equivalent age of its maturity method, thresholds of its terms;
    temperatures by the forecast, then by month from the day of the pour. `turn_mpa` raises the strength
    wanted before turning (to what the handling check asks for). Steps follow the finish: no polishing
    without grits, no coats without a sealer.
    Refused when the shop is so cold that a step is never reached.
    """
    weather = climate(terms, pour, forecast_c)
    strip = CureRule(strength_mpa=terms.strip_mpa, equivalent_h=terms.strip_h)
    turn = CureRule(strength_mpa=terms.turn_mpa)
    if turn_mpa is not None and turn_mpa > turn.strength_mpa:
        turn = replace(turn, strength_mpa=turn_mpa, source="handling check")
    wanted = [("strip_sides", "Strip the sides", strip), ("turn", "Lift off and turn", turn)]
    if finish is not None and finish.grits:
        wanted.append(("polish", "Polish", CureRule(strength_mpa=terms.polish_mpa)))
    plan: list[CureStep] = []
    for step, name, rule in wanted:
        plan.append(_waiting(step, name, rule, mix, weather, plan))
    if finish is not None and finish.sealer and finish.coats:
        dry = CureRule(elapsed_days=terms.dry_days, source="usual before silane, siloxane or coatings")
        plan.append(_waiting("seal", "Seal, first coat", dry, mix, weather, plan))
        for number in range(2, finish.coats + 1):
            why = f"{_days(terms.coat_days)} after the coat before (common practice)"
            plan.append(
                _following(f"coat_{number}", f"Coat {number}", plan[-1], terms.coat_days, why, mix, weather)
            )
        why = f"{_days(terms.harden_days)} for the last coat to harden (common practice)"
        ready = _following("deliver", "Deliver", plan[-1], terms.harden_days, why, mix, weather)
    else:
        ready = _waiting("deliver", "Deliver", CureRule(), mix, weather, plan)
    strong = _waiting("deliver", "Deliver", CureRule(share=terms.deliver_share), mix, weather, plan)
    if strong.earliest_day > ready.earliest_day:
        ready = replace(strong, after_days=ready.after_days)
    return (*plan, ready)


def _waiting(
    step: str, name: str, rule: CureRule, mix: Mix, weather: Climate, before: Sequence[CureStep]
) -> CureStep:
    """A step that waits for its rule, and never comes before the step before it."""
    to_reference = age_factor(CURVE_C, weather.maturity)
    mpa = min(max(rule.strength_mpa, rule.share * mix.strength_28d_mpa), mix.strength_28d_mpa)
    strength_h = age_for_strength_h(mix, mpa, weather.curve) * to_reference if mpa > 0 else 0.0
    age_h = max(strength_h, rule.equivalent_h)
    day = max(weather.day_of(age_h), rule.elapsed_days)
    previous = before[-1] if before else None
    if rule.elapsed_days and day == rule.elapsed_days:
        why = f"{_days(rule.elapsed_days)} to dry ({rule.source})"
    elif age_h == 0:
        why = "no further wait"
    elif age_h > strength_h:
        why = f"equivalent age {figure(age_h, 3)} h ({rule.source})"
    else:
        why = (
            f"{stress(mpa, weather.system)} of {stress(mix.strength_28d_mpa, weather.system)} ({rule.source})"
        )
    if previous and previous.earliest_day > day:
        day, why = previous.earliest_day, f"not before: {previous.name.lower()}"
    if age_h == 0:
        age_h = weather.age_on_h(day)
    why = f"{why}; day {day} at {_mean(weather, day)}"
    after = previous.step if previous else ""
    return _step(step, name, day, age_h, strength_on_day(mix, day, weather), why, after)


def _following(
    step: str, name: str, previous: CureStep, days: int, why: str, mix: Mix, weather: Climate
) -> CureStep:
    day = previous.earliest_day + days
    strength = strength_on_day(mix, day, weather)
    return _step(step, name, day, weather.age_on_h(day), strength, why, previous.step, days)


def _step(
    step: str, name: str, day: int, age_h: float, mpa: float, why: str, after: str, days: int = 0
) -> CureStep:
    """Six decimals: the last digits of exp() differ between machines, a plan must not."""
    return CureStep(step, name, day, round(age_h, 6), round(mpa, 6), why, after, days)


def _mean(weather: Climate, day: int) -> str:
    days = weather.temperatures_c[: max(day, 1)]
    return temperature(sum(days) / len(days), weather.system)


def _days(count: int) -> str:
    return f"{count} day" if count == 1 else f"{count} days"
