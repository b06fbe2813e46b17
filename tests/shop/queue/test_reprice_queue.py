"""The library priced over the queue: the same results as on this machine, and plain words without it."""

from __future__ import annotations

from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from celery.contrib.testing.worker import start_worker
from django.core.management import CommandError, call_command

from quoting.models import SavedPiece
from shop import celery
from shop.demo import load_demo

MONDAY = date(2026, 3, 2)
QUEUE = "shop.celery.run"
pytestmark = pytest.mark.django_db


def told(*options: str) -> str:
    out = StringIO()
    call_command("reprice", "--on", "2026-03-02", *options, stdout=out, stderr=StringIO())
    return out.getvalue()


@pytest.fixture
def queue(monkeypatch: pytest.MonkeyPatch, settings: Any) -> Any:
    app = celery.make_app("memory://", "cache+memory://")
    monkeypatch.setattr(celery, "app", app)
    settings.REPRICE_EXECUTOR = QUEUE
    return app


@pytest.fixture
def library() -> None:
    load_demo("metric", on=MONDAY)
    assert SavedPiece.objects.count() > 1


def test_a_worker_gives_the_same_bytes(queue: Any, library: None) -> None:
    here = told("--workers", "1", "--json", "-"), told("--workers", "1")
    with start_worker(queue, pool="solo", perform_ping_check=False, shutdown_timeout=20):
        there = told("--json", "-"), told("--queue")
    assert '"unit_price": "' in here[0]
    assert there == here


def test_work_done_at_once_gives_the_same_bytes(queue: Any, library: None, tmp_path: Path) -> None:
    queue.conf.update(task_always_eager=True)
    file = tmp_path / "prices.json"
    told("--json", str(file))
    assert file.read_text(encoding="utf-8") == told("--workers", "1", "--json", "-")


def test_nobody_at_work_is_told(queue: Any, library: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(celery, "PATIENCE_S", 0.01)
    with pytest.raises(CommandError, match="no worker of the queue answered"):
        told()


def test_a_broker_that_is_away_is_told(library: None, settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.REPRICE_EXECUTOR = QUEUE
    away = "redis://127.0.0.1:1/0"
    monkeypatch.setattr(celery, "app", celery.make_app(away, away))
    with pytest.raises(CommandError, match="cannot be reached"):
        told()


def test_a_queue_asked_for_but_not_configured_is_told() -> None:
    with pytest.raises(CommandError, match="set CELERY_BROKER_URL"):
        told("--queue")


def test_an_absent_package_is_told(settings: Any) -> None:
    settings.REPRICE_EXECUTOR = "no_such_package.run"
    with pytest.raises(CommandError, match="no_such_package is not installed"):
        told()
