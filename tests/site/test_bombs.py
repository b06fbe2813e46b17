"""Small documents that would make for endless work: refused, or answered in less time than a worker has.

gunicorn ends a worker after 30 s; what is measured is this process's own work, not the clock on the wall.
Pictures have tests of their own (`tests/catalog/pictures`).
"""

from __future__ import annotations

import gzip
import json
import math
import time
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.db import transaction
from django.test import Client as Browser
from pytest_django import DjangoDbBlocker, Settings

from shop.accounts.models import User
from shop.demo import load_demo
from shop.scenario import specification

pytestmark = pytest.mark.django_db
MOST_SECONDS = 25.0
JSON = "application/json"


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo("metric", on=date(2026, 3, 2))
        yield
        transaction.set_rollback(True)


@pytest.fixture
def owner(world: None) -> Browser:
    found = Browser(raise_request_exception=False)
    found.force_login(User.objects.get(username="demo"))
    return found


def star(points: int, inner_mm: float) -> list[list[float]]:
    """A star 11.8 m across with so many corners."""
    angles = [2 * math.pi * i / points for i in range(points)]
    return [
        [
            5900 + (inner_mm if i % 2 else 5900) * math.cos(a),
            5900 + (inner_mm if i % 2 else 5900) * math.sin(a),
        ]
        for i, a in enumerate(angles)
    ]


def plain(**changed: Any) -> dict[str, Any]:
    document = specification("shape-polygon") | {"thickness": 60, "mix": "MIX-GREY"}
    document["outline"] = {"shape": "polygon", "points": star(1990, 5800)}
    return document | changed


def asked(owner: Browser, at: str, body: object) -> Any:
    """Send it; fail where it took longer than a worker has."""
    begun = time.process_time()
    answer = owner.post(at, body, content_type=JSON)
    assert time.process_time() - begun < MOST_SECONDS
    return answer


def test_a_star_of_two_thousand_corners_is_reckoned_in_time(owner: Browser) -> None:
    answer = asked(owner, "/api/v1/takeoff", plain())
    assert answer.status_code == 200, answer.content[:300]


def test_a_mould_of_countless_parts_is_refused_before_it_is_laid_out(owner: Browser) -> None:
    answer = asked(owner, "/api/v1/takeoff", plain(outline={"shape": "polygon", "points": star(1990, 500)}))
    assert answer.status_code == 422
    assert [error["code"] for error in answer.json()["errors"]] == ["too_many_parts"]


def test_as_many_features_as_are_allowed(owner: Browser) -> None:
    holes = [
        {"kind": "sleeve", "diameter": 100, "at": [400 + 800 * (i % 14), 400 + 800 * (i // 14)]}
        for i in range(196)
    ]
    slab = {"shape": "rectangle", "length": 12_000, "width": 12_000}
    answer = asked(owner, "/api/v1/takeoff", plain(outline=slab, features=holes))
    assert answer.status_code == 200, answer.content[:300]


def test_a_thousand_pieces(owner: Browser) -> None:
    answer = asked(
        owner, "/api/v1/takeoff?outlook=true", specification("reading-room-table") | {"quantity": 1000}
    )
    assert answer.status_code == 200


def test_the_longest_cutting_list(owner: Browser) -> None:
    parts = [
        {"name": f"P{i}", "length_mm": 400 + i, "width_mm": 300 + i % 90, "quantity": 4} for i in range(499)
    ]
    stock = [{"code": "B", "length_mm": 2500, "width_mm": 1250, "price": "70"}]
    answer = asked(owner, "/api/v1/cutlist", {"kerf_mm": 3, "trim_mm": 5, "stock": stock, "parts": parts})
    assert answer.status_code == 200, answer.content[:300]


@pytest.mark.parametrize(
    "body",
    [
        b"[" * 1_000_000,
        b'{"a":' * 200_000 + b"1" + b"}" * 200_000,
        b'{"thickness": 1' + b"0" * 1_000_000 + b"}",
        b'{"thickness": 1e' + b"9" * 1_000 + b"}",
        b'{"name": "' + b"x" * 4_000_000 + b'"}',
    ],
)
def test_deep_and_long_json(owner: Browser, body: bytes) -> None:
    answer = asked(owner, "/api/v1/takeoff", body)
    assert answer.status_code in (400, 422)
    assert len(answer.content) < 100_000


def test_nothing_is_unpacked(owner: Browser, settings: Settings) -> None:
    """A packed body is no JSON: 20 MB of blanks in 20 kB are not looked at."""
    packed = gzip.compress(b" " * 20_000_000 + json.dumps(plain()).encode())
    sent = owner.post("/api/v1/takeoff", packed, content_type=JSON, headers={"content-encoding": "gzip"})
    assert sent.status_code == 400


def test_more_than_the_limit_is_not_read(owner: Browser, settings: Settings) -> None:
    body = b" " * (settings.DATA_UPLOAD_MAX_MEMORY_SIZE + 1)
    for at in ("/api/v1/takeoff", "/prices/import", "/accounts/login/"):
        assert owner.post(at, body, content_type=JSON).status_code == 413
