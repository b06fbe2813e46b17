"""What the command says of a queue that is not there; where it is, `test_real_redis` has it work."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command

from quoting.services.pieces import save_piece
from shop import celery
from shop.env import Environment
from shop.scenario import specification
from tests.shop.queue.test_real_redis import MONDAY
from tests.starter import put_starter

QUEUE = "shop.celery.run"


def told(*options: str) -> str:
    out = StringIO()
    call_command("reprice", "--on", "2026-03-02", *options, stdout=out, stderr=StringIO())
    return out.getvalue()


@pytest.fixture
def bench(db: None) -> None:
    put_starter("metric", on=MONDAY)
    save_piece(specification("bench"))


@pytest.mark.usefixtures("bench")
def test_results_as_json_in_a_file(tmp_path: Path) -> None:
    file = tmp_path / "prices.json"
    told("--workers", "1", "--json", str(file))
    [row] = json.loads(file.read_text(encoding="utf-8"))
    assert (row["piece"], row["revision"], row["faults"], row["last"]) == (
        specification("bench")["name"],
        1,
        [],
        None,
    )
    assert float(row["unit_price"]) * row["quantity"] > float(row["cost"]) > 0


@pytest.mark.usefixtures("bench")
def test_a_broker_that_is_away_is_told(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.REPRICE_EXECUTOR = QUEUE
    monkeypatch.setattr(celery, "app", celery.make_app("redis://127.0.0.1:1/0"))
    with pytest.raises(CommandError, match="cannot be reached"):
        told()


@pytest.mark.usefixtures("bench")
def test_a_queue_asked_for_but_not_configured_is_told() -> None:
    with pytest.raises(CommandError, match="set CELERY_BROKER_URL"):
        told("--queue")


@pytest.mark.usefixtures("bench")
def test_an_absent_package_is_told(settings: Any) -> None:
    settings.REPRICE_EXECUTOR = "no_such_package.run"
    with pytest.raises(CommandError, match="no_such_package is not installed"):
        told()


@pytest.mark.parametrize(
    "address", ["redis://127.0.0.1:6379/0", "rediss://:secret@queue.example:6380/1?ssl_cert_reqs=none"]
)
def test_addresses_taken(address: str) -> None:
    env = Environment({"CELERY_BROKER_URL": address})
    assert env.redis("CELERY_BROKER_URL") == address
    env.check()


@pytest.mark.parametrize(
    "address", ["amqp://:secret@queue.example", "redis://", "redis://:secret@queue.example:port/0"]
)
def test_addresses_refused_without_telling_the_password(address: str) -> None:
    env = Environment({"CELERY_BROKER_URL": address})
    assert env.redis("CELERY_BROKER_URL") == ""
    with pytest.raises(ImproperlyConfigured, match="rediss://HOST:PORT/N") as told:
        env.check()
    assert "secret" not in str(told.value)


def test_the_certificate_is_checked_unless_the_address_says_otherwise() -> None:
    assert celery.make_app("rediss://queue.example/0").conf.broker_url.endswith("?ssl_cert_reqs=required")
    said = "rediss://queue.example/0?ssl_cert_reqs=none"
    assert celery.make_app(said).conf.broker_url == said
