"""How often one may ask: what is heavy, how it is refused, what a clock that is set may do. K107, K108."""

from __future__ import annotations

import re
import time

import pytest
from pytest_django import Settings

from shop.accounts.models import RequestCount, User
from shop.pace import counted, pace_of_view
from tests.shop.api.conftest import Api
from tests.site.access.conftest import routes

HEAVY = {
    "api/v1/buying-list",
    "api/v1/cutlist",
    "api/v1/jobs/<int:pk>/report.pdf",
    "api/v1/pieces/<int:pk>/bridge",
    "api/v1/pieces/<int:pk>/drawings/<str:kind>.svg",
    "api/v1/pieces/<int:pk>/pour-day",
    "api/v1/pieces/<int:pk>/templates.pdf",
    "api/v1/pieces/<pk>/takeoff",
    "api/v1/quotes/<int:pk>/again",
    "api/v1/quotes/<int:pk>/bridge",
    "api/v1/quotes/<pk>/buying-list",
    "api/v1/quotes/<pk>/buying-list-pdf",
    "api/v1/quotes/<pk>/issue",
    "api/v1/quotes/<pk>/traveller",
    "api/v1/jobs/<int:pk>/photographs",
    "api/v1/takeoff",
    "api/v1/takeoff/what-if",
}
CUTS = {
    "kerf_mm": 3,
    "trim_mm": 10,
    "stock": [{"code": "B", "length_mm": 2440, "width_mm": 1220, "price": 62}],
    "parts": [{"name": "base", "length_mm": 900, "width_mm": 400, "quantity": 1}],
}


@pytest.fixture
def at_18_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(time, "time", lambda: 1_767_225_600.0 + 18)


def test_headers_k107_and_refusal_k108(
    api: Api, settings: Settings, at_18_seconds: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """draft-ietf-httpapi-ratelimit-headers; RFC 6585, section 4: `Retry-After` is no earlier than `t`."""
    settings.API_PACE = {"default": 2, "heavy": 1}
    client = api("owner")
    first = client.get("/api/v1/clients")
    assert first["RateLimit-Policy"] == '"default";q=2;w=60'
    assert first["RateLimit"] == '"default";r=1;t=42'
    assert client.get("/api/v1/clients")["RateLimit"] == '"default";r=0;t=42'
    refused = client.get("/api/v1/clients")
    assert (refused.status_code, refused["Content-Type"]) == (429, "application/problem+json")
    (reset,) = re.findall(r"t=(\d+)", refused["RateLimit"])
    assert int(refused["Retry-After"]) >= int(reset) == 42
    assert api("estimator").get("/api/v1/clients").status_code == 200
    monkeypatch.setattr(time, "time", lambda: 1_767_225_660.0)
    assert client.get("/api/v1/clients").status_code == 200


def test_which_addresses_are_heavy() -> None:
    assert {route for route, one in routes().items() if pace_of_view(one.callback) == "heavy"} == HEAVY


def test_the_heavy_pace_is_refused_by_itself(api: Api, settings: Settings, at_18_seconds: None) -> None:
    """RFC 9457: the refusal is a problem document; the other addresses go on."""
    settings.API_PACE = {"default": 5, "heavy": 1}
    client = api("owner")
    first = client.post("/api/v1/cutlist", CUTS)
    assert (first.status_code, first["RateLimit"]) == (200, '"heavy";r=0;t=42')
    for at in ("/api/v1/cutlist", "/api/v1/takeoff", "/api/v1/takeoff/what-if"):
        refused = client.post(at, CUTS)
        assert (refused.status_code, refused["Content-Type"]) == (429, "application/problem+json")
        assert refused["Retry-After"] == "42"
        assert refused["RateLimit-Policy"] == '"heavy";q=1;w=60'
        problem = refused.json()
        assert {key: problem[key] for key in ("type", "title", "status", "code", "errors")} == {
            "type": "about:blank",
            "title": "Too Many Requests",
            "status": 429,
            "code": "throttled",
            "errors": [],
        }
        assert "42 s" in problem["detail"]
    assert client.get("/api/v1/clients")["RateLimit"] == '"default";r=4;t=42'


def test_a_refused_request_does_nothing_and_a_repeatable_one_may_come_again(
    api: Api, settings: Settings, at_18_seconds: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.API_PACE = {"default": 1, "heavy": 1}
    client, key = api("owner"), {"idempotency-key": '"once"'}
    assert client.get("/api/v1/clients").status_code == 200
    assert client.post("/api/v1/clients", {"name": "A"}, headers=key).status_code == 429
    monkeypatch.setattr(time, "time", lambda: 1_767_225_660.0)
    assert client.post("/api/v1/clients", {"name": "A"}, headers=key).status_code == 201


def test_pages_and_strangers_are_not_counted(api: Api, client: object) -> None:
    api("owner").get("/quotes/")
    api("owner").get("/api/v1/nothing-here")
    assert client.get("/api/v1/clients").status_code == 401  # type: ignore[attr-defined]
    assert not RequestCount.objects.exists()


def test_minutes_and_clocks(db: None) -> None:
    """A new minute begins anew; so does a clock set back. Two machines a minute apart count together."""
    rowan = User.objects.create_user("rowan").pk
    assert [counted(rowan, "default", 100) for _ in range(3)] == [1, 2, 3]
    assert counted(rowan, "heavy", 100) == 1
    assert counted(rowan, "default", 101) == 1
    assert [counted(rowan, "default", minute) for minute in (100, 101, 100)] == [2, 3, 4]
    assert [counted(rowan, "default", minute) for minute in (40, 40)] == [1, 2]
    assert RequestCount.objects.count() == 2


def test_a_prefix_before_the_path_hides_nobody(api: Api) -> None:
    """gunicorn believes a header `SCRIPT_NAME` that a proxy lets through."""
    answer = api("owner").get("/api/v1/clients", SCRIPT_NAME="/x")
    assert (answer.status_code, "RateLimit" in answer.headers) == (200, True)
