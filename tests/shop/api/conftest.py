"""A shop's people and a client or two, reached over the API."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from rest_framework.test import APIClient

from catalog.models import Material
from catalog.services.materials import create_material
from quoting.models import Client
from quoting.services.clients import create_client
from shop.accounts.models import User

TODAY = date(2026, 3, 2)
Api = Callable[[str], APIClient]


@pytest.fixture
def person(db: None) -> Callable[[str], User]:
    """Somebody of a role, always the same one."""

    def find(role: str) -> User:
        found = User.objects.filter(role=role).first()
        return found or User.objects.create_user(f"{role}-rowan", "a long pass phrase", role=role)

    return find


@pytest.fixture
def api(person: Callable[[str], User]) -> Api:
    """Sign somebody of a role in."""

    def sign_in(role: str) -> APIClient:
        client = APIClient()
        client.force_login(person(role))
        return client

    return sign_in


@pytest.fixture
def library(db: None) -> Client:
    return create_client(name="Village library", email="library@example.org")


@pytest.fixture
def board(db: None) -> Material:
    values = {"code": "BOARD-18", "name": "Faced board 18 mm", "kind": "board", "pack_name": "sheet"}
    sizes = {"length_mm": 2800, "width_mm": 2070, "thickness_mm": 18, "casts": 3, "usage": "mould_board"}
    return create_material({**values, **sizes}, price="62.00", today=TODAY)
