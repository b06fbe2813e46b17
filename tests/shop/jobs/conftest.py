"""A small shop: three people, a catalogue of two operations, a job opened by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from rest_framework.test import APIClient

from catalog.services.labour import create_operation, create_role, set_rate, set_standard
from catalog.services.materials import create_material
from shop.jobs.models import Job, PlannedMaterial, PlannedOperation
from shop.jobs.planning import MaterialPlan, OperationPlan
from shop.jobs.services.jobs import PieceWanted, open_by_hand

D = Decimal
TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 16, 0, tzinfo=UTC)

OPERATIONS = (
    OperationPlan("CUT", "Cut the mould", "mould", "MAKER", 1, D(4), D(20), D(80), D(4), planned_on=TODAY),
    OperationPlan("CAST", "Cast", "cast", "MAKER", 1, D(3), D(20), D(60), D(3), planned_on=date(2026, 3, 4)),
    OperationPlan(
        "TURN",
        "Turn",
        "turn",
        "MAKER",
        2,
        D(1),
        D(20),
        D(20),
        D(1),
        0.03,
        "CAST",
        planned_on=date(2026, 3, 11),
    ),
    OperationPlan(
        "POLISH", "Polish", "polish", "MAKER", 1, D(5), D(20), D(100), D(5), planned_on=date(2026, 3, 18)
    ),
)
MATERIALS = (
    MaterialPlan("BOARD-18", "Faced board", "mould", "m²", D(6), D(60), D(3), "sheet"),
    MaterialPlan("BAG-GREY", "Grey mix", "concrete", "kg", D(200), D(80), D(25), "bag"),
)


@pytest.fixture
def people(db: None) -> dict[str, Any]:
    """Owner, estimator, bench, and another at the bench."""
    make = get_user_model().objects.create_user
    return {
        "owner": make("rowan", "a long pass phrase", role="owner", name="Rowan Fell"),
        "estimator": make("tamsin", "a long pass phrase", role="estimator", name="Tamsin Oake"),
        "bench": make("wilf", "a long pass phrase", role="bench", name="Wilf Garrow"),
        "other": make("ida", "a long pass phrase", role="bench", name="Ida Senn"),
    }


@pytest.fixture
def pay(db: None) -> None:
    """A maker at 20.00 the hour, on-costs in."""
    create_role({"code": "MAKER", "name": "Maker"})
    set_rate("MAKER", {"pay_per_hour": "16.00", "on_costs": "0.25"}, valid_from=date(2026, 1, 1), today=TODAY)


@pytest.fixture
def catalogue(pay: None) -> None:
    """Casting and turning with standards, a bag with a price."""
    for code, name, stage in (("CUT", "Cut the mould", "mould"), ("CAST", "Cast", "cast")):
        create_operation({"code": code, "name": name, "stage": stage})
        set_standard(
            code,
            {"role": "MAKER", "setup_hours": 1.0, "per_driver_hours": {"show_area_m2": 1.5}},
            valid_from=date(2026, 1, 1),
            today=TODAY,
        )
    bag = {"code": "BAG-GREY", "name": "Grey mix", "kind": "bagged_mix", "pack_size": 25, "pack_name": "bag"}
    create_material(bag | {"yield_m3": 0.0114}, price="11.00", today=TODAY, valid_from=date(2026, 1, 1))


@pytest.fixture
def job(people: dict[str, Any]) -> Job:
    """A table, one of it."""
    return open_by_hand(
        title="Table for a hall",
        on=TODAY,
        price=D(700),
        breakage_allowance=D(30),
        overhead_rate=D(10),
        pieces=[PieceWanted("Table", 1, "rectangle", D(700), OPERATIONS, MATERIALS)],
        by=people["owner"],
    )


@pytest.fixture
def op(job: Job) -> Callable[[str], PlannedOperation]:
    """A planned operation of the job by its code."""
    return lambda code: PlannedOperation.objects.get(piece__job=job, code=code, mishap__isnull=True)


@pytest.fixture
def bags(job: Job) -> PlannedMaterial:
    return PlannedMaterial.objects.get(piece__job=job, code="BAG-GREY")


@pytest.fixture
def api(people: dict[str, Any]) -> Callable[[str], APIClient]:
    """Sign a person of a role in to the API; nobody for an empty name."""

    def sign_in(name: str) -> APIClient:
        client = APIClient()
        if name:
            client.force_login(people[name])
        return client

    return sign_in


@pytest.fixture
def browser(people: dict[str, Any]) -> Callable[[str], Client]:
    """Sign a person of a role in to the pages."""

    def sign_in(name: str) -> Client:
        client = Client()
        if name:
            client.force_login(people[name])
        return client

    return sign_in


def said_on(answer: Any) -> str:
    """A page without its forms' tokens, whose letters are chance: one in sixty has a given pair in it."""
    return re.sub(r'(name="csrfmiddlewaretoken" value=")[A-Za-z0-9]{64}"', r'\1"', answer.content.decode())
