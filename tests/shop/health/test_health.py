"""The health address answers anybody, tells nothing, and knows when the database is away."""

from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test import Client
from pytest_django import Settings


@pytest.mark.django_db
def test_healthy_without_signing_in(client: Client) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok", "mail": "on time"})
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.django_db
def test_it_asks_the_database_once_and_no_session(client: Client, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(1):
        client.get("/healthz")


@pytest.mark.django_db
def test_without_the_database_it_is_unavailable_and_says_no_more(client: Client) -> None:
    def down(*_: Any) -> None:
        raise OperationalError("connection to server at db.shop.example failed for user workshop")

    with connection.execute_wrapper(down):
        answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (503, {"status": "unavailable"})


@pytest.mark.django_db
def test_it_is_asked_in_plain_where_all_else_is_sent_to_tls(client: Client, settings: Settings) -> None:
    settings.SECURE_SSL_REDIRECT = True
    assert client.get("/healthz").status_code == 200
    assert client.get("/accounts/login/").status_code == 301


def test_it_takes_no_changes(client: Client) -> None:
    assert client.post("/healthz").status_code == 405
