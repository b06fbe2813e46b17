"""One day's pour of a piece: its cure by that day's forecast, and what the air asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate
from quoting.engine.takeoff.calendar import DatedStep, next_working, on_calendar
from quoting.engine.takeoff.cautions import of_weather
from quoting.engine.takeoff.cure import cure_plan, temperatures_c
from quoting.engine.takeoff.handling import turn_strength_mpa
from quoting.engine.takeoff.lines import Caution, CureStep
from quoting.engine.takeoff.weather import Weather, evaporation_kg_m2_h, temperature
from quoting.engine.units import KM_PER_MILE
from quoting.engine.values import PriceBook, ShopTerms

LONGEST_FORECAST: Final = 60
COLDEST_C, HOTTEST_C = -40.0, 60.0
MOST_WIND_KMH: Final = 200.0


@dataclass(frozen=True, slots=True)
class PourDay:
    """The pour on a working day, and all that follows from its weather."""

    day: date
    temperatures_c: tuple[float, ...]
    """Day by day from the pour to the last step: the forecast, then the shop's by month."""
    cure: tuple[CureStep, ...]
    steps: tuple[DatedStep, ...]
    """The pour, then the steps of the cure, each on the day it can be done."""
    cautions: tuple[Caution, ...]
    """Those of the weather."""
    evaporation_kg_m2_h: float | None
    """Water that leaves the fresh surface; None where the air is not said."""


def pour_day(
    made: Estimate,
    book: PriceBook,
    terms: ShopTerms,
    *,
    day: date,
    forecast_c: Sequence[float] = (),
    weather: Weather | None = None,
) -> PourDay:
    """Plan the cure of an estimate's piece poured on the first working day from `day` on.

    `forecast_c` are mean temperatures in °C day by day from `day`, where it cures; `weather` is the air
    over the fresh concrete. `book` and `terms` are those of the estimate. Raises Refused with every figure
    that no weather has, and where it is too cold for a step to be reached.
    """
    _refuse(forecast_c, weather, terms.unit_system)
    poured = next_working(day, terms)
    ahead = tuple(forecast_c)[(poured - day).days :]
    mix = book.mixes[made.piece.mix or ""]
    turn_mpa = turn_strength_mpa(made.solid, made.geometry, made.weights, mix, terms)
    cure = cure_plan(mix, terms, pour=poured, finish=made.piece.finish, forecast_c=ahead, turn_mpa=turn_mpa)
    steps = on_calendar(cure, poured, terms)
    return PourDay(
        day=poured,
        temperatures_c=temperatures_c(terms, poured, ahead, (steps[-1].day - poured).days + 1),
        cure=cure,
        steps=steps,
        cautions=tuple(of_weather(terms, poured, ahead, weather)),
        evaporation_kg_m2_h=None if weather is None else evaporation_kg_m2_h(weather),
    )


def _refuse(forecast_c: Sequence[float], weather: Weather | None, system: str) -> None:
    faults = []
    if len(forecast_c) > LONGEST_FORECAST:
        message = f"{len(forecast_c)} days are too many; {LONGEST_FORECAST} at most"
        faults.append(Fault("forecast_c", message, "too_many"))
    said = {f"forecast_c[{at}]": celsius for at, celsius in enumerate(forecast_c[:LONGEST_FORECAST])}
    if weather is not None:
        said |= {"air_c": weather.air_c, "concrete_c": weather.concrete_c}
    least = {"air_c": -18.0, "concrete_c": -18.0}  # the estimate of evaporation holds from there
    for path, celsius in said.items():
        low = least.get(path, COLDEST_C)
        if not low <= celsius <= HOTTEST_C:
            message = f"from {temperature(low, system)} to {temperature(HOTTEST_C, system)}"
            faults.append(Fault(path, message, "out_of_range", temperature(celsius, system)))
    if weather is not None and not 0 <= weather.humidity <= 1:
        faults.append(Fault("humidity", "from 0 to 1", "out_of_range", f"{weather.humidity:g}"))
    if weather is not None and not 0 <= weather.wind_kmh <= MOST_WIND_KMH:
        faults.append(Fault("wind_kmh", f"from 0 to {_wind(MOST_WIND_KMH, system)}", "out_of_range"))
    if faults:
        raise Refused(faults)


def _wind(kmh: float, system: str) -> str:
    return f"{kmh / KM_PER_MILE:.0f} mph" if system == "us" else f"{kmh:g} km/h"
