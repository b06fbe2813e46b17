"""The world of the quoting tests: the starter catalogue, a few named people, one client."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from rest_framework.test import APIClient

from quoting.models import Client
from quoting.services.clients import create_client
from tests.starter import put_starter

PRICES_FROM = date(2026, 1, 1)
TODAY = date(2026, 3, 2)


def specification(name: str) -> dict[str, Any]:
    """An example specification, fresh for each call."""
    path = settings.BASE_DIR / "fixtures" / "specifications" / f"{name}.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


@pytest.fixture
def starter(db: None) -> None:
    """The metric starter catalogue."""
    put_starter("metric", on=PRICES_FROM)


@pytest.fixture
def rowan(starter: None) -> Any:
    """The owner."""
    return get_user_model().objects.create_user("rowan", "a long pass phrase", role="owner")


@pytest.fixture
def tansy(starter: None) -> Any:
    """The estimator: quotes, but sees no pay."""
    return get_user_model().objects.create_user("tansy", "a long pass phrase", role="estimator")


@pytest.fixture
def sorrel(starter: None) -> Any:
    """The bench hand, who has no access to money."""
    return get_user_model().objects.create_user("sorrel", "a long pass phrase", role="bench")


@pytest.fixture
def library(db: None) -> Client:
    """The client."""
    return create_client(name="Village library", email="library@example.org", address="1 Green\nVillage")


@pytest.fixture
def api() -> Callable[[Any], APIClient]:
    """Sign a person in to the API; nobody for None."""

    def sign_in(person: Any) -> APIClient:
        client = APIClient(HTTP_IF_MATCH="*")  # changes rest on whatever stands
        if person is not None:
            client.force_login(person)
        return client

    return sign_in
