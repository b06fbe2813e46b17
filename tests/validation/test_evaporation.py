"""Evaporation from a fresh surface against the published fit and chart.

Sources (ids of the project's collection of check values in brackets): published fit to the ACI chart
[C126], values computed from it; ACI 305R figure 2.1.5 example, from memory, chart reading good to 10 %
[C127].
"""

from __future__ import annotations

import pytest

from quoting.engine.takeoff.weather import Weather, evaporation_kg_m2_h

KG_M2_PER_LB_FT2 = 0.45359237 / 0.09290304


@pytest.mark.parametrize(
    ("air", "concrete", "humidity", "wind", "printed"),
    [(25, 25, 0.5, 0, 0.121), (25, 25, 0.5, 10, 0.424), (20, 20, 0.6, 5, 0.160), (35, 35, 0.3, 20, 1.718)],
)
def test_c126(air: float, concrete: float, humidity: float, wind: float, printed: float) -> None:
    assert evaporation_kg_m2_h(Weather(air, humidity, wind, concrete)) == pytest.approx(printed, abs=0.002)


def test_c127_chart_example() -> None:
    weather = Weather(air_c=(80 - 32) / 1.8, humidity=0.5, wind_kmh=12 * 1.609344, concrete_c=(87 - 32) / 1.8)
    ours = evaporation_kg_m2_h(weather) / KG_M2_PER_LB_FT2
    assert ours == pytest.approx(0.233, abs=0.0005)
    assert ours == pytest.approx(0.25, rel=0.10)


def test_dew_and_nonsense() -> None:
    assert evaporation_kg_m2_h(Weather(30, 1.0, 5, 10)) == 0
    for weather in (Weather(20, 1.2, 5, 20), Weather(20, 0.5, -1, 20), Weather(-20, 0.5, 1, 20)):
        with pytest.raises(ValueError, match=r"fraction|holds from"):
            evaporation_kg_m2_h(weather)
