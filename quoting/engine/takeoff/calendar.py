"""The working calendar: working days of the shop, public holidays, and waits laid on it.

Holidays come from the `holidays` library, which reckons them and reads nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import holidays

from quoting.engine.errors import Fault, Refused
from quoting.engine.takeoff.lines import CureStep, LabourLine
from quoting.engine.takeoff.wording import count_of, figure
from quoting.engine.values import ShopTerms

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DatedStep:
    """A step on the calendar: the day it is done, and how many days it could have been earlier but for the
    calendar."""

    step: str
    name: str
    day: date
    held_days: int
    why: str


@dataclass(frozen=True, slots=True)
class Promise:
    """When a commission can be ready: the first day at the mould, every pour, the last piece's steps."""

    start: date
    pours: tuple[date, ...]
    steps: tuple[DatedStep, ...]
    """Of the last casting."""
    ready: date
    working: str


@lru_cache(maxsize=128)
def holidays_of(region: str, year: int) -> frozenset[date]:
    """Public holidays of a region (ISO 3166 code such as `GB`, `US-CA`) in a year; none for an empty region.

    Days observed in place of one that falls on a weekend are included. Refused for a region not known.
    """
    if not region:
        return frozenset()
    country, _, part = region.partition("-")
    try:
        found = holidays.country_holidays(country, subdiv=part or None, years=year)
    except NotImplementedError:
        message = "no holidays are known for this region; give an ISO 3166 code such as GB, DE-BY or US-CA"
        raise Refused([Fault("terms.holiday_region", message, "unknown_code", region)]) from None
    return frozenset(found)


def later(day: date, days: int) -> date:
    """The day so many days after another; Refused where the calendar ends first (with the year 9999).

    >>> later(date(2026, 2, 27), 3)
    datetime.date(2026, 3, 2)
    """
    try:
        return day + days * _DAY
    except OverflowError:
        message = f"nothing can be planned past the year {date.max.year}: choose an earlier day"
        raise Refused([Fault("day", message, "out_of_range", day.isoformat())]) from None


def is_working(day: date, terms: ShopTerms) -> bool:
    """Whether the shop works on a day: one of its working weekdays and no public holiday."""
    return day.weekday() in terms.working_days and day not in holidays_of(terms.holiday_region, day.year)


def next_working(day: date, terms: ShopTerms) -> date:
    """The first working day on or after a day; Refused when the shop has none within a year."""
    for ahead in range(366):
        if is_working(found := later(day, ahead), terms):
            return found
    raise Refused([Fault("terms.working_days", "a shop works on at least one day of the week", "required")])


def add_working_days(day: date, count: int, terms: ShopTerms) -> date:
    """The day `count` working days after a day (which is not counted itself); 0 gives the first working day
    on or after it. Check value K67.

    >>> str(add_working_days(date(2026, 3, 30), 10, ShopTerms()))
    '2026-04-13'
    """
    if count < 0:
        raise ValueError("working days are counted forwards")
    if count == 0:
        return next_working(day, terms)
    for _ in range(count):
        day = next_working(later(day, 1), terms)
    return day


def on_calendar(steps: Sequence[CureStep], pour_date: date, terms: ShopTerms) -> tuple[DatedStep, ...]:
    """The pour and every step of a cure plan on the day it is done.

    Each falls on the first working day not before pour + its earliest day. A step that follows another keeps
    its wait from the day that one is really done on. The pour is on the first working day from `pour_date`
    on.
    """
    poured = next_working(pour_date, terms)
    dated = [DatedStep("pour", "Pour", poured, (poured - pour_date).days, "first working day")]
    done: dict[str, date] = {"pour": poured}
    for step in steps:
        earliest = later(poured, step.earliest_day)
        if step.after:
            earliest = max(earliest, later(done[step.after], step.after_days))
        day = next_working(earliest, terms)
        done[step.step] = day
        dated.append(DatedStep(step.step, step.name, day, (day - earliest).days, step.why))
    return tuple(dated)


def first_pour(labour: Sequence[LabourLine], start: date, terms: ShopTerms) -> date:
    """The day of the first pour when work on the mould starts on a day: its hours by the clock, in the shop's
    hands-on hours a day.
    """
    return add_working_days(next_working(start, terms), _mould_days(labour, terms), terms)


def promise(
    labour: Sequence[LabourLine],
    steps: Sequence[CureStep],
    start: date,
    terms: ShopTerms,
    *,
    casts: int = 1,
) -> Promise:
    """The day a commission can be ready when work on it starts on a day and nothing comes between.

    The mould takes its hours by the clock; each further casting (`casts`, one after another from one
    mould) is poured on the working day after the one before it is turned; the last piece waits out its
    cure. It is never ready before the working days that all hands-on hours fill: waiting and working run
    side by side, days of waiting are never counted as hours. ValueError for fewer than one casting; Refused
    for a shop without hours in its day.
    """
    if casts < 1:
        raise ValueError("at least one casting")
    first = next_working(start, terms)
    pours = [first_pour(labour, first, terms)]
    until_turned = [step for step in steps if step.step in ("strip_sides", "turn")]
    for _ in range(casts - 1):
        turned = on_calendar(until_turned, pours[-1], terms)[-1].day
        pours.append(next_working(later(turned, 1), terms))
    dated = on_calendar(steps, pours[-1], terms)
    work_days = _days_of(labour, terms)
    worked = add_working_days(first, max(work_days - 1, 0), terms)
    words = (
        f"mould {count_of(_mould_days(labour, terms), 'day')}, {count_of(casts, 'pour')} to "
        f"{pours[-1].isoformat()}, cure to {dated[-1].day.isoformat()}; {count_of(work_days, 'working day')} "
        f"of {figure(terms.hours_per_day)} h to {worked.isoformat()}"
    )
    return Promise(first, tuple(pours), dated, max(dated[-1].day, worked), words)


def _mould_days(labour: Sequence[LabourLine], terms: ShopTerms) -> int:
    return _days_of([line for line in labour if line.stage == "mould"], terms)


def _days_of(lines: Sequence[LabourLine], terms: ShopTerms) -> int:
    if not terms.hours_per_day > 0:
        message = "a working day has hours above zero"
        raise Refused([Fault("terms.hours_per_day", message, "out_of_range", str(terms.hours_per_day))])
    hours = math.fsum(line.elapsed_hours for line in lines)
    return math.ceil(round(hours / terms.hours_per_day, 9))
