"""The page of a pour on a day, and the same over the API."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from catalog.models import ShopTerms
from quoting.models import PieceRevision


@pytest.fixture
def page(hearth: PieceRevision) -> str:
    return f"/pieces/{hearth.piece_id}/pour-day"


def test_the_piece_leads_there(owner: Browser, hearth: PieceRevision, page: str) -> None:
    assert page in owner.get(f"/pieces/{hearth.piece_id}/").content.decode()
    assert "Lift off and turn" in owner.get(page).content.decode()


def test_a_cold_forecast(owner: Browser, page: str) -> None:
    shown = owner.get(f"{page}?day=2026-03-02&forecast=4+3,5+2").content.decode()
    assert "Mon 2026-03-02" in shown
    assert "cold-weather concreting" in shown
    assert "4\u00a0°C, 3.5\u00a0°C, 2\u00a0°C, " in shown
    assert 'value="4 3,5 2"' in shown


def test_the_air(owner: Browser, page: str) -> None:
    shown = owner.get(f"{page}?day=2026-07-06&air=35&humidity=30&wind=20&concrete=35").content.decode()
    assert "1.72 kg a m² an hour" in shown
    assert "shade it" in shown


def test_a_us_shop_reads_and_types_its_own(owner: Browser, page: str) -> None:
    ShopTerms.objects.update(unit_system="us")
    query = "?day=2026-07-06&forecast=95&air=95&humidity=30&wind=12.427&concrete=95"
    shown = owner.get(f"{page}{query}").content.decode()
    assert "0.35 lb a square foot an hour" in shown  # 1.718 kg/m²/h × 0.0929 m²/ft² ÷ 0.4536 kg/lb
    assert "95 °F" in shown
    assert "psi" in shown
    refused = owner.get(f"{page}?forecast=300").content.decode()
    assert "from -40 °F to 140 °F" in refused


def test_all_that_is_wrong_is_said_at_its_field_and_stays_typed(owner: Browser, page: str) -> None:
    answer = owner.get(f"{page}?day=someday&forecast=12+warm&air=20&wind=x")
    shown = answer.content.decode()
    assert answer.status_code == 422
    for field in ("day", "forecast", "wind", "humidity", "concrete"):
        assert f'<a href="#{field}"><code>{field}</code></a>' in shown
        assert f'name="{field}" aria-invalid="true"' in shown
    assert 'value="12 warm"' in shown


def test_by_api(owner: Browser, hearth: PieceRevision) -> None:
    address = f"/api/v1/pieces/{hearth.piece_id}/pour-day"
    warm, air = "forecast_c=40&forecast_c=41&forecast_c=31", "air_c=35&humidity=0.3&wind_kmh=20&concrete_c=35"
    said = owner.get(f"{address}?day=2026-07-04&{warm}&{air}").json()
    assert (said["day"], said["temperatures_c"][0]) == ("2026-07-06", 31.0)
    assert said["evaporation_kg_m2_h"] == pytest.approx(1.718, abs=0.002)
    assert [step["step"] for step in said["steps"]][:3] == ["pour", "strip_sides", "turn"]
    assert {caution["code"] for caution in said["cautions"]} == {"hot_pour", "drying_surface"}
    half = owner.get(f"{address}?air_c=20")
    assert half.status_code == 400
    assert {fault["path"] for fault in half.json()["errors"]} == {"humidity", "wind_kmh", "concrete_c"}
    for wrong in ("forecast_c=nan", "forecast_c=1e400", "humidity=7&air_c=1&wind_kmh=1&concrete_c=1"):
        assert owner.get(f"{address}?{wrong}").status_code in (400, 422), wrong
