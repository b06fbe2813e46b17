"""Movable public holidays that the shop's calendar rests on, against published dates of Easter.

Source: dates of Western and Orthodox Easter 2024 to 2030 (a date library's test list, 1990 to 2050, and the
Meeus/Jones/Butcher algorithm), with the days that hang on it: −2, +1, +39, +50 and +60 days. Check value K65.
Regions are those whose law makes a day a holiday: Bavaria, Brandenburg (Easter Sunday), Greece (Orthodox).
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from quoting.engine.takeoff.calendar import add_working_days, holidays_of, is_working
from quoting.engine.values import ShopTerms

WESTERN = ["2024-03-31", "2025-04-20", "2026-04-05", "2027-03-28", "2028-04-16", "2029-04-01", "2030-04-21"]
ASCENSION = ["2024-05-09", "2025-05-29", "2026-05-14", "2027-05-06", "2028-05-25", "2029-05-10", "2030-05-30"]
WHIT_MONDAY = [
    "2024-05-20",
    "2025-06-09",
    "2026-05-25",
    "2027-05-17",
    "2028-06-05",
    "2029-05-21",
    "2030-06-10",
]
CORPUS_CHRISTI = [
    "2024-05-30",
    "2025-06-19",
    "2026-06-04",
    "2027-05-27",
    "2028-06-15",
    "2029-05-31",
    "2030-06-20",
]
ORTHODOX = ["2024-05-05", "2025-04-20", "2026-04-12", "2027-05-02", "2028-04-16", "2029-04-08", "2030-04-28"]


@pytest.mark.parametrize(
    ("easter", "ascension", "whit", "corpus"),
    list(zip(WESTERN, ASCENSION, WHIT_MONDAY, CORPUS_CHRISTI, strict=True)),
)
def test_k65_days_that_hang_on_easter(easter: str, ascension: str, whit: str, corpus: str) -> None:
    sunday = date.fromisoformat(easter)
    days = holidays_of("DE-BY", sunday.year)
    hanging = {sunday - timedelta(days=2), sunday + timedelta(days=1)}
    assert hanging | {date.fromisoformat(day) for day in (ascension, whit, corpus)} <= days
    assert sunday in holidays_of("DE-BB", sunday.year)


@pytest.mark.parametrize("easter", ORTHODOX)
def test_k65_orthodox_easter(easter: str) -> None:
    sunday = date.fromisoformat(easter)
    days = holidays_of("GR", sunday.year)
    assert {sunday - timedelta(days=2), sunday + timedelta(days=1)} <= days


def test_a_shop_there_does_not_work_on_them() -> None:
    bavaria = ShopTerms(holiday_region="DE-BY")
    assert not is_working(date(2026, 5, 14), bavaria)
    assert add_working_days(date(2026, 5, 13), 1, bavaria) == date(2026, 5, 15)
