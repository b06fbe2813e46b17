"""A store that is full, read-only or away: a plain 503 by page and API, and nothing is lost."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.db import InternalError, OperationalError, connection
from django.test import Client as Browser
from django.test import RequestFactory
from django.utils import timezone

from quoting.models import Client
from shop.accounts.keys import make_token
from shop.storage_faults import is_storage_fault, server_error

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def rowan() -> Any:
    """The owner."""
    return get_user_model().objects.create_user("rowan", "a long pass phrase", role="owner")


@contextmanager
def read_only() -> Iterator[None]:
    """The database's own refusal of every write."""
    setting = "PRAGMA query_only" if connection.vendor == "sqlite" else "SET default_transaction_read_only"
    with connection.cursor() as cursor:
        cursor.execute(f"{setting} = on")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"{setting} = off")


def test_a_page_on_a_read_only_database(rowan: Any) -> None:
    browser = Browser(raise_request_exception=False)
    browser.force_login(rowan)
    with read_only():
        answer = browser.post("/clients/new", {"name": "Village library", "email": "library@example.org"})
        seen = browser.get("/quotes/")
    assert (answer.status_code, answer["Retry-After"]) == (503, "30")
    assert "cannot be reached or written" in answer.content.decode()
    assert "Traceback" not in answer.content.decode()
    assert seen.status_code == 200
    assert not Client.objects.exists()


def test_the_api_on_a_read_only_database(rowan: Any) -> None:
    browser = Browser(raise_request_exception=False)
    browser.force_login(rowan)
    with read_only():
        answer = browser.post("/api/v1/clients", {"name": "Village library"}, content_type="application/json")
        seen = browser.get("/api/v1/clients")
    assert (seen.status_code, "RateLimit" in seen.headers) == (200, False), "read all the same, not counted"
    assert (answer.status_code, answer["Content-Type"]) == (503, "application/problem+json")
    assert answer.json()["code"] == "service_unavailable"
    assert not Client.objects.exists()


def test_a_token_reads_on_a_read_only_database(rowan: Any) -> None:
    """Though its use cannot be noted."""
    token, secret = make_token(rowan, name="till", scope="read", days=1, now=timezone.now())
    with read_only():
        seen = Browser().get("/api/v1/clients", headers={"Authorization": f"Bearer {secret}"})
    assert seen.status_code == 200
    token.refresh_from_db()
    assert token.used_at is None


def test_a_repeatable_request_is_not_answered_from_a_failure(rowan: Any) -> None:
    browser = Browser(raise_request_exception=False)
    browser.force_login(rowan)
    body = {"name": "Village library"}
    key = {"Idempotency-Key": '"first-try-of-this"'}
    with read_only():
        failed = browser.post("/api/v1/clients", body, content_type="application/json", headers=key)
    again = browser.post("/api/v1/clients", body, content_type="application/json", headers=key)
    assert (failed.status_code, again.status_code) == (503, 201)


def test_a_database_that_is_full_or_away_before_any_view_runs(rowan: Any) -> None:
    browser = Browser(raise_request_exception=False)
    browser.force_login(rowan)

    def full(*_: Any) -> None:
        raise OperationalError("database or disk is full")

    with connection.execute_wrapper(full):
        page, problem = browser.get("/quotes/"), browser.get("/api/v1/quotes")
    assert page.status_code == problem.status_code == 503
    assert problem.json()["status"] == 503


def test_which_faults_are_the_stores() -> None:
    refused = InternalError("cannot execute INSERT in a read-only transaction")
    refused.__cause__ = sqlite3.Error()
    refused.__cause__.sqlstate = "25006"  # type: ignore[attr-defined]
    assert is_storage_fault(refused)
    assert is_storage_fault(OSError(errno.ENOSPC, "No space left on device"))
    assert not is_storage_fault(OSError(errno.ENOENT, "No such file"))
    assert not is_storage_fault(InternalError("something else"))
    assert not is_storage_fault(ValueError("x"))


def test_any_other_failure_stays_a_failure() -> None:
    try:
        raise ValueError("a mistake of ours")
    except ValueError:
        answer = server_error(RequestFactory().get("/quotes/"))
    assert answer.status_code == 500
