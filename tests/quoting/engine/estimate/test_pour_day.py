"""A pour on a day: its cure by the forecast, its place on the calendar, its cautions, what no weather is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from quoting.engine.errors import Refused
from quoting.engine.estimate.build import estimate
from quoting.engine.estimate.pour_day import LONGEST_FORECAST, PourDay, pour_day
from quoting.engine.takeoff.weather import Weather
from tests.quoting.engine.estimate.world import book, piece, terms

MONDAY = date(2026, 3, 2)
MADE = estimate(piece("hearth"), book(), terms())
DRY = Weather(air_c=35, humidity=0.3, wind_kmh=20, concrete_c=35)


def poured(day: date = MONDAY, *forecast_c: float, weather: Weather | None = None) -> PourDay:
    return pour_day(MADE, book(), terms(), day=day, forecast_c=forecast_c, weather=weather)


def day_of(found: PourDay, step: str) -> date:
    return next(one.day for one in found.steps if one.step == step)


def test_without_a_forecast_it_is_the_estimates_own_cure() -> None:
    found = poured()
    assert [step.step for step in found.cure] == [step.step for step in MADE.cure]
    assert found.steps[0].step == "pour"
    assert found.evaporation_kg_m2_h is None


def test_cold_days_put_the_turn_off_and_warm_ones_bring_it_on() -> None:
    plain, cold, warm = poured(), poured(MONDAY, *(5.0,) * 20), poured(MONDAY, *(28.0,) * 20)
    assert day_of(warm, "turn") <= day_of(plain, "turn") < day_of(cold, "turn")
    assert {caution.code for caution in cold.cautions} == {"cold_pour"}
    assert day_of(cold, "seal") == day_of(plain, "seal"), "drying waits in days, whatever the temperature"


def test_the_forecast_goes_first_and_the_months_follow() -> None:
    found = poured(MONDAY, 8.0, 9.5)
    months = terms().shop_temperature_c
    assert found.temperatures_c[:3] == (8.0, 9.5, months[2])
    assert len(found.temperatures_c) == (found.steps[-1].day - found.day).days + 1


def test_a_day_off_moves_the_pour_and_the_forecast_with_it() -> None:
    saturday = MONDAY - timedelta(days=2)
    found = poured(saturday, 1.0, 2.0, 17.0)
    assert found.day == MONDAY
    assert found.temperatures_c[0] == 17.0
    assert not found.cautions


def test_air_that_dries_the_surface() -> None:
    """Check value C126: 1.718 kg/m²/h at 35 °C, 30 %, 20 km/h; C125: act from 0.98 on."""
    found = poured(MONDAY, 35.0, weather=DRY)
    assert found.evaporation_kg_m2_h == pytest.approx(1.718, abs=0.002)
    assert {caution.code for caution in found.cautions} == {"hot_pour", "drying_surface"}
    mild = poured(weather=replace(DRY, air_c=20, concrete_c=20, humidity=0.6, wind_kmh=5))
    assert mild.evaporation_kg_m2_h == pytest.approx(0.160, abs=0.002)
    assert not mild.cautions


def test_what_no_weather_is_refused_all_at_once() -> None:
    with pytest.raises(Refused) as refused:
        poured(MONDAY, 12.0, 99.0, float("nan"), weather=Weather(70, 1.4, float("inf"), -30))
    assert [fault.path for fault in refused.value.faults] == [
        "forecast_c[1]",
        "forecast_c[2]",
        "air_c",
        "concrete_c",
        "humidity",
        "wind_kmh",
    ]
    with pytest.raises(Refused, match=f"{LONGEST_FORECAST} at most"):
        poured(MONDAY, *(10.0,) * (LONGEST_FORECAST + 1))


def test_too_cold_to_harden_is_said() -> None:
    frozen = replace(terms(), shop_temperature_c=(-20.0,) * 12, maturity="nurse_saul")
    with pytest.raises(Refused, match="too cold"):
        pour_day(MADE, book(), frozen, day=MONDAY)


def test_the_end_of_the_calendar_is_refused() -> None:
    with pytest.raises(Refused, match="past the year"):
        poured(date(9999, 12, 31))
