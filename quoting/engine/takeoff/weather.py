"""When a pour is too cold or too hot: thresholds and the evaporation estimate they rest on."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.engine.takeoff.wording import figure

COLD_C = 5.0
"""Air at or expected below it counts as cold weather (ACI 306R-16: 40 °F; check value C122)."""
THIN_LEAST_C = 13.0
"""Least temperature of concrete in sections under 300 mm at placing and curing (55 °F; C123)."""
HOT_C = 30.0
"""Mean temperature from which a pour is watched for heat (common practice)."""
DISCHARGE_MOST_C = 35.0
"""Greatest temperature of fresh concrete (ACI 305.1: 95 °F, from memory; C125)."""
HEAT_CURE_MOST_C = 70.0
"""Concrete is kept under it to avoid delayed ettringite (158 °F, from memory; C128)."""
EVAPORATION_MOST_KG_M2_H = 0.98
"""Evaporation at which to act against cracking of the fresh surface (ACI 305R: 0.2 lb/ft²/h; C125)."""


def temperature(celsius: float, system: str = "metric") -> str:
    """A temperature as the shop reads it: °C to a tenth, or whole °F.

    >>> temperature(18.0), temperature(12.96), temperature(13.0, "us")
    ('18 °C', '13 °C', '55 °F')
    """
    if system == "us":
        return f"{round(celsius * 1.8 + 32)} °F"
    return f"{figure(round(celsius, 1))} °C"


@dataclass(frozen=True, slots=True)
class Weather:
    """Air over a fresh surface. Temperatures in °C, humidity a fraction, wind in km/h."""

    air_c: float
    humidity: float
    wind_kmh: float
    concrete_c: float


def evaporation_kg_m2_h(weather: Weather) -> float:
    """Water leaving a fresh surface: E = 5·[(Tc + 18)^2.5 − r(Ta + 18)^2.5]·(V + 4)·10⁻⁶ kg/m²/h.

    Zero where the fit would be negative (dew). ValueError for humidity outside 0 to 1, wind below 0 or below
    −18 °C. Source: published fit to the chart of ACI 305R; check values C126, C127.

    >>> round(evaporation_kg_m2_h(Weather(air_c=25, humidity=0.5, wind_kmh=10, concrete_c=25)), 3)
    0.424
    """
    if not 0 <= weather.humidity <= 1:
        raise ValueError("humidity is a fraction from 0 to 1")
    if weather.wind_kmh < 0 or min(weather.air_c, weather.concrete_c) < -18:
        raise ValueError("the estimate holds from -18 °C, with wind of 0 or more")
    drive = (weather.concrete_c + 18) ** 2.5 - weather.humidity * (weather.air_c + 18) ** 2.5
    return max(0.0, float(5e-6 * drive * (weather.wind_kmh + 4)))
