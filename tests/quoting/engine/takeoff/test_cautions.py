"""Cautions: each only when it applies, each with a source, in the reader's units."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import (
    EdgeTreatment,
    Finish,
    Inlay,
    Lighting,
    Opening,
    Piece,
    Rectangle,
)
from quoting.engine.takeoff.cautions import cautions
from quoting.engine.takeoff.lines import Caution, Weights
from quoting.engine.takeoff.weather import Weather
from quoting.engine.values import ShopTerms

SMALL = Piece(
    name="tray",
    unit="mm",
    thickness_mm=30.0,
    outline=Rectangle(400.0, 300.0),
    edges=(EdgeTreatment("top", "chamfer", 3.0),),
    finish=Finish(),
)
ALWAYS = {"silica_dust", "wet_cement", "chromium", "blades", "vapours"}
MILD = ShopTerms(shop_temperature_c=(18.0,) * 12)


def said(piece: Piece, terms: ShopTerms = MILD, kg: float = 8.0, **more: object) -> dict[str, Caution]:
    geometry = measure(build(piece))
    found = cautions(piece, geometry, Weights(kg, 0, 0, kg), terms, pour=date(2026, 3, 2), **more)  # type: ignore[arg-type]
    assert len({caution.code for caution in found}) == len(found)
    return {caution.code: caution for caution in found}


def test_a_small_eased_piece_brings_only_the_cautions_of_the_trade() -> None:
    found = said(SMALL)
    assert set(found) == ALWAYS
    assert all(caution.text.endswith(".") and caution.source for caution in found.values())


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"edges": ()}, "sharp_edges"),
        ({"edges": (EdgeTreatment("top", "chamfer", 3.0, (0,)),)}, "sharp_edges"),
        ({"features": (Inlay(((200.0, 150.0),), Rectangle(80.0, 80.0), "glass", 6.0),)}, "sharp_edges"),
        ({"finish": Finish(grits=(200,))}, "wet_tools"),
        ({"finish": Finish(sealer="oil", coats=2)}, "food_contact"),
        ({"outline": Rectangle(1500.0, 300.0)}, "supports"),
    ],
)
def test_each_applies_when_its_cause_is_there(change: dict[str, object], code: str) -> None:
    assert set(said(replace(SMALL, **change))) == ALWAYS | {code}  # type: ignore[arg-type]


def test_lifting_says_the_mass_in_the_shops_units() -> None:
    assert "lifting" not in said(SMALL, kg=25.0)
    assert "At 25.1 kg" in said(SMALL, kg=25.1)["lifting"].text
    assert "At 172 lb" in said(SMALL, replace(MILD, unit_system="us"), kg=78.0)["lifting"].text


@pytest.mark.parametrize(
    ("celsius", "code", "words"),
    [
        (4.9, "cold_pour", "cold-weather concreting"),
        (5.0, "cold_pour", "hardens slowly"),
        (12.9, "cold_pour", "hardens slowly"),
        (13.0, None, ""),
        (29.9, None, ""),
        (30.0, "hot_pour", "cool of the day"),
    ],
)
def test_cold_and_hot_pours(celsius: float, code: str | None, words: str) -> None:
    found = said(SMALL, replace(MILD, shop_temperature_c=(celsius,) * 12))
    assert set(found) == ALWAYS | ({code} if code else set())
    if code:
        assert words in found[code].text


def test_the_forecast_counts_for_the_first_days() -> None:
    assert "cold_pour" in said(SMALL, forecast_c=(18.0, 18.0, 3.0))
    assert "cold_pour" not in said(SMALL, forecast_c=(18.0, 18.0, 18.0, 3.0))
    text = said(SMALL, replace(MILD, unit_system="us"), forecast_c=(3.0,))["cold_pour"].text
    assert "37 °F" in text
    assert "55 °F" in text


def test_a_drying_wind_is_warned_of() -> None:
    assert "drying_surface" in said(SMALL, weather=Weather(35, 0.3, 20, 35))  # 1.7 kg/m²/h, C126
    assert "drying_surface" not in said(SMALL, weather=Weather(25, 0.5, 10, 25))


def test_a_drying_wind_takes_pounds_a_square_foot_in_a_us_shop() -> None:
    """1.7 kg/m² × 0.09290304 ÷ 0.45359237 = 0.35 lb a sq ft."""
    windy = Weather(35, 0.3, 20, 35)
    assert "Some 1.7 kg of water would leave each m²" in said(SMALL, weather=windy)["drying_surface"].text
    text = said(SMALL, replace(MILD, unit_system="us"), weather=windy)["drying_surface"].text
    assert "Some 0.35 lb of water would leave each sq ft" in text


def test_lights_beside_a_basin_ask_for_an_electrician() -> None:
    basin = Opening(((200.0, 150.0),), Rectangle(150.0, 100.0))
    lit = replace(SMALL, lighting=Lighting("strip", None))
    assert set(said(replace(lit, features=(basin,)))) == ALWAYS | {"light_near_water"}
    assert set(said(lit)) == ALWAYS
