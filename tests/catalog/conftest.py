"""A small catalogue by hand, and people of each role."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from rest_framework.test import APIClient

from catalog.models import Material
from catalog.services.labour import create_operation, create_role, set_rate, set_standard
from catalog.services.materials import create_material
from catalog.services.mixes import create_mix

TODAY = date(2026, 3, 2)

BOARD: dict[str, Any] = {
    "code": "BOARD-18",
    "name": "Faced board 18 mm",
    "kind": "board",
    "usage": "mould_board",
    "pack_name": "sheet",
    "length_mm": 2800,
    "width_mm": 2070,
    "thickness_mm": 18,
    "casts": 3,
    "supplier": "Example Board Merchants",
}
BAG: dict[str, Any] = {
    "code": "BAG-GREY",
    "name": "Grey casting mix",
    "kind": "bagged_mix",
    "pack_size": 25,
    "pack_name": "bag",
    "yield_m3": 0.0114,
}
GREY: dict[str, Any] = {
    "code": "MIX-GREY",
    "name": "Grey",
    "bag": "BAG-GREY",
    "water_l_per_bag": 2.3,
    "fresh_density_kg_m3": 2395,
    "density_kg_m3": 2350,
    "strength_28d_mpa": 40,
}


@pytest.fixture
def board(db: None) -> Material:
    return create_material(BOARD, price="62.00", today=TODAY)


@pytest.fixture
def world(board: Material) -> None:
    """A board, a bag and its mix, a maker with pay, cutting and casting."""
    create_material(BAG, price="9.60", today=TODAY)
    create_mix(GREY)
    create_role({"code": "MAKER", "name": "Maker"})
    set_rate("MAKER", {"pay_per_hour": "24.00", "on_costs": "0.27"}, valid_from=TODAY, today=TODAY)
    create_operation({"code": "CUT", "name": "Cut the mould", "stage": "mould"})
    create_operation({"code": "CAST", "name": "Cast", "stage": "cast"})
    set_standard(
        "CUT",
        {"role": "MAKER", "setup_hours": 0.5, "per_driver_hours": {"mould_cut_length_m": 0.06}},
        valid_from=TODAY,
        today=TODAY,
    )


@pytest.fixture
def person(db: None) -> Callable[[str], Any]:
    """Make somebody of a role: owner, estimator or bench."""

    def make(role: str) -> Any:
        return get_user_model().objects.create_user(f"{role}-rowan", "a long pass phrase", role=role)

    return make


@pytest.fixture
def api(person: Callable[[str], Any]) -> Callable[[str], APIClient]:
    """Sign a person of a role in to the API; nobody for an empty role."""

    def sign_in(role: str) -> APIClient:
        client = APIClient(HTTP_IF_MATCH="*")  # changes rest on whatever stands
        if role:
            client.force_login(person(role))
        return client

    return sign_in


@pytest.fixture
def browser(person: Callable[[str], Any]) -> Callable[[str], Client]:
    """Sign a person of a role in to the pages."""

    def sign_in(role: str) -> Client:
        client = Client()
        if role:
            client.force_login(person(role))
        return client

    return sign_in
