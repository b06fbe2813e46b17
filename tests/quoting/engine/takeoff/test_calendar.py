"""The working calendar: holidays, weekends, waits that keep their length."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from quoting.engine.errors import Refused
from quoting.engine.takeoff.calendar import (
    add_working_days,
    holidays_of,
    is_working,
    later,
    next_working,
    on_calendar,
    promise,
)
from quoting.engine.takeoff.lines import CureStep, LabourLine
from quoting.engine.values import ShopTerms

TERMS = ShopTerms()
ENGLAND = replace(TERMS, holiday_region="GB-ENG")


def test_k67_ten_working_days_over_easter() -> None:
    """Check value K67, with Good Friday and Easter Monday of K65."""
    monday = date(2026, 3, 30)
    assert add_working_days(monday, 10, TERMS) == date(2026, 4, 13)
    assert add_working_days(monday, 10, ENGLAND) == date(2026, 4, 15)


@pytest.mark.parametrize(
    ("year", "friday", "monday"),
    [
        (2024, "03-29", "04-01"),
        (2025, "04-18", "04-21"),
        (2026, "04-03", "04-06"),
        (2027, "03-26", "03-29"),
        (2028, "04-14", "04-17"),
        (2029, "03-30", "04-02"),
        (2030, "04-19", "04-22"),
    ],
)
def test_k65_easter(year: int, friday: str, monday: str) -> None:
    days = {day.isoformat()[5:] for day in holidays_of("GB-ENG", year)}
    assert {friday, monday} <= days


def test_k66_holidays_by_rule_and_observed_days() -> None:
    assert {f"2026-{day}" for day in ("01-19", "02-16", "05-25", "07-03", "09-07", "10-12", "11-26")} <= {
        day.isoformat() for day in holidays_of("US", 2026)
    }
    assert {date(2027, 6, 18), date(2027, 7, 5), date(2027, 12, 24)} <= holidays_of("US", 2027)
    assert not is_working(date(2027, 12, 31), replace(TERMS, holiday_region="US"))  # for Saturday 2028-01-01
    assert {date(2026, 5, 4), date(2026, 5, 25), date(2026, 8, 31)} <= holidays_of("GB-ENG", 2026)


def test_a_shop_works_on_its_own_weekdays() -> None:
    saturdays = replace(TERMS, working_days=(1, 2, 3, 4, 5))
    assert is_working(date(2026, 4, 11), saturdays)
    assert next_working(date(2026, 4, 12), saturdays) == date(2026, 4, 14)
    assert add_working_days(date(2026, 4, 12), 0, TERMS) == date(2026, 4, 13)


def step(name: str, day: int, after: str = "", after_days: int = 0) -> CureStep:
    return CureStep(name, name, day, 24.0, 10.0, "", after, after_days)


def test_steps_fall_on_working_days_and_keep_their_waits() -> None:
    steps = (
        step("turn", 4),
        step("seal", 9),
        step("coat_2", 10, "seal", 1),
        step("deliver", 13, "coat_2", 3),
    )
    dated = on_calendar(steps, date(2026, 3, 28), ENGLAND)
    assert [(each.step, each.day.isoformat(), each.held_days) for each in dated] == [
        ("pour", "2026-03-30", 2),  # a Saturday is asked for
        ("turn", "2026-04-07", 4),  # Good Friday to Easter Monday are off
        ("seal", "2026-04-08", 0),
        ("coat_2", "2026-04-09", 0),
        ("deliver", "2026-04-13", 1),  # three days after the second coat is a Sunday
    ]


def work(stage: str, elapsed_hours: float, crew: int = 1) -> LabourLine:
    hours = elapsed_hours * crew
    return LabourLine(
        stage, stage, stage, "caster", crew, hours, Decimal(30), Decimal(0), "", elapsed_hours=elapsed_hours
    )


CURE = (step("strip_sides", 1), step("turn", 2, "strip_sides"), step("deliver", 10, "turn"))


def test_a_promise_counts_mould_pours_and_cure() -> None:
    labour = (work("mould", 9.0), work("cast", 3.0, crew=2), work("turn", 0.5, crew=4), work("polish", 5.0))
    promised = promise(labour, CURE, date(2026, 3, 30), ENGLAND)
    assert promised.start == date(2026, 3, 30)
    assert promised.pours == (date(2026, 4, 1),)  # two days at the mould
    assert [each.day.isoformat() for each in promised.steps] == [
        "2026-04-01",
        "2026-04-02",
        "2026-04-07",  # day 2 is Good Friday
        "2026-04-13",  # day 10 is a Saturday
    ]
    assert promised.ready == date(2026, 4, 13)
    assert promised.working == (
        "mould 2 days, 1 pour to 2026-04-01, cure to 2026-04-13; 3 working days of 8 h to 2026-04-01"
    )


def test_castings_from_one_mould_follow_each_other() -> None:
    promised = promise((work("mould", 8.0),), CURE, date(2026, 6, 1), TERMS, casts=3)
    assert [day.isoformat() for day in promised.pours] == ["2026-06-02", "2026-06-05", "2026-06-09"]
    assert promised.ready == date(2026, 6, 19)


def test_a_shop_of_short_days_takes_more_of_them() -> None:
    labour = (work("mould", 9.0), work("polish", 40.0))
    short = promise(labour, CURE, date(2026, 6, 1), replace(TERMS, hours_per_day=4.0))
    assert short.pours == (date(2026, 6, 4),)  # 9 h are three days of 4 h
    assert short.ready == date(2026, 6, 17)  # 49 h are 13 days of 4 h; the cure alone ends on the fifteenth
    assert promise(labour, CURE, date(2026, 6, 1), TERMS).ready == date(2026, 6, 15)


def test_waiting_hides_no_work() -> None:
    promised = promise((work("mould", 8.0), work("polish", 200.0)), CURE, date(2026, 6, 1), TERMS)
    assert promised.steps[-1].day == date(2026, 6, 12)
    assert promised.ready == date(2026, 7, 6)  # 26 working days from the first of June
    with pytest.raises(ValueError, match="at least one casting"):
        promise((), CURE, date(2026, 6, 1), TERMS, casts=0)


def test_refuses_unknown_regions_and_idle_shops() -> None:
    for region in ("XX", "gb", "US-ZZ"):
        with pytest.raises(Refused, match="ISO 3166"):
            holidays_of(region, 2026)
    with pytest.raises(Refused, match="at least one day"):
        next_working(date(2026, 4, 1), replace(TERMS, working_days=()))
    with pytest.raises(Refused, match="hours above zero"):
        promise((), CURE, date(2026, 6, 1), replace(TERMS, hours_per_day=0.0))
    with pytest.raises(ValueError, match="forwards"):
        add_working_days(date(2026, 4, 1), -1, TERMS)


def test_nothing_is_planned_past_the_last_day_of_the_calendar() -> None:
    assert later(date(9999, 12, 1), 30) == date.max
    for plan in (
        lambda: later(date(9999, 12, 2), 30),
        lambda: later(date.max, 1),
        lambda: next_working(date.max, replace(TERMS, working_days=())),
        lambda: add_working_days(date.max, 1, TERMS),
        lambda: on_calendar(CURE, date(9999, 12, 28), TERMS),
        lambda: promise((work("mould", 8.0),), CURE, date(9999, 11, 1), TERMS, casts=40),
    ):
        with pytest.raises(Refused, match="past the year 9999: choose an earlier day"):
            plan()
