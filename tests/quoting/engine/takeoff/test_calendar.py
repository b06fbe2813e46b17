"""The working calendar: holidays, weekends, waits that keep their length."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from quoting.engine.errors import Refused
from quoting.engine.takeoff.calendar import (
    add_working_days,
    holidays_of,
    is_working,
    next_working,
    on_calendar,
)
from quoting.engine.takeoff.lines import CureStep
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


def test_refuses_unknown_regions_and_idle_shops() -> None:
    for region in ("XX", "gb", "US-ZZ"):
        with pytest.raises(Refused, match="ISO 3166"):
            holidays_of(region, 2026)
    with pytest.raises(Refused, match="at least one day"):
        next_working(date(2026, 4, 1), replace(TERMS, working_days=()))
    with pytest.raises(ValueError, match="forwards"):
        add_working_days(date(2026, 4, 1), -1, TERMS)
