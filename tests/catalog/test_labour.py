"""Roles with dated pay, operations with dated standards."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog import selectors
from catalog.errors import CatalogRefused
from catalog.models import OperationStandard
from catalog.services.labour import (
    create_operation,
    create_role,
    set_rate,
    set_standard,
    update_operation,
    update_role,
)
from tests.catalog.conftest import TODAY

LATER = TODAY + timedelta(days=30)


def test_pay_holds_from_its_date(world: None) -> None:
    set_rate("MAKER", {"pay_per_hour": "25.00", "on_costs": "0.28"}, valid_from=LATER, today=TODAY)
    before, after = (selectors.paid_roles(day)[0].rate for day in (LATER - timedelta(days=1), LATER))
    assert before is not None
    assert after is not None
    assert (before.pay_per_hour, after.pay_per_hour) == (Decimal("24.0000"), Decimal("25.0000"))


def test_past_pay_is_not_rewritten(world: None) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_rate("MAKER", {"pay_per_hour": "25.00"}, valid_from=TODAY, today=LATER)
    assert [fault.code for fault in refused.value.faults] == ["past"]


@pytest.mark.parametrize(
    ("values", "path"),
    [
        ({"pay_per_hour": "-1"}, "pay_per_hour"),
        ({}, "pay_per_hour"),
        ({"pay_per_hour": "20", "on_costs": "27"}, "on_costs"),
        ({"pay_per_hour": "20", "bonus": "1"}, "bonus"),
    ],
)
def test_refused_pay(world: None, values: dict[str, Any], path: str) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_rate("MAKER", values, valid_from=LATER, today=TODAY)
    assert [fault.path for fault in refused.value.faults] == [path]


def test_a_role_is_renamed_and_its_code_is_its_own(world: None) -> None:
    assert update_role("MAKER", {"name": "Mould maker"}).name == "Mould maker"
    with pytest.raises(CatalogRefused):
        create_role({"code": "MAKER", "name": "Another"})


def test_a_later_standard_carries_over_what_it_does_not_say(world: None) -> None:
    set_standard("CUT", {"setup_hours": 0.4, "note": "measured on five jobs"}, valid_from=LATER, today=TODAY)
    now, then = (selectors.planned_operations(day)[0].standard for day in (TODAY, LATER))
    assert now is not None
    assert then is not None
    assert (now.setup_hours, then.setup_hours) == (0.5, 0.4)
    assert then.per_driver_hours == {"mould_cut_length_m": 0.06}
    assert (then.role.code, then.note, now.note) == ("MAKER", "measured on five jobs", "")


def test_an_operation_without_standard_is_listed_without(world: None) -> None:
    cut, cast = selectors.planned_operations(TODAY)
    assert cut.standard is not None
    assert cast.standard is None


def test_past_standards_are_not_rewritten(world: None) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_standard("CUT", {"setup_hours": 9}, valid_from=TODAY, today=LATER)
    assert [fault.code for fault in refused.value.faults] == ["past"]


@pytest.mark.parametrize(
    ("values", "path"),
    [
        ({"per_driver_hours": {"lenght_m": 1}}, "per_driver_hours"),
        ({"per_driver_hours": {"volume_m3": 0}}, "per_driver_hours"),
        ({"per_driver_hours": {"volume_m3": "2"}}, "per_driver_hours"),
        ({"per_driver_hours": {"volume_m3": float("nan")}}, "per_driver_hours"),
        ({"per_driver_hours": [1]}, "per_driver_hours"),
        ({"learning_rate": 0.4}, "learning_rate"),
        ({"learning_rate": 1.1}, "learning_rate"),
        ({"spread_low": 1.2}, "spread_low"),
        ({"breakage": 0.02}, "back_to"),
        ({"breakage": 1.0, "back_to": "CUT"}, "breakage"),
        ({"breakage": 0.02, "back_to": "CAST"}, "back_to"),
        ({"back_to": "CUTT"}, "back_to"),
        ({"role": "MAKR"}, "role"),
        ({"crew": 0}, "crew"),
        ({"crew": 1.5}, "crew"),
        ({"setup_hours": -1}, "setup_hours"),
        ({"when": "moon"}, "when"),
        ({"speed": 3}, "speed"),
    ],
)
def test_refused_standards(world: None, values: dict[str, Any], path: str) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_standard("CUT", values, valid_from=LATER, today=TODAY)
    assert path in {fault.path for fault in refused.value.faults}
    assert OperationStandard.objects.count() == 1


def test_a_first_standard_needs_its_role_and_a_real_date(world: None) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_standard("CAST", {"setup_hours": 1}, valid_from="tomorrow", today=TODAY)
    assert [fault.path for fault in refused.value.faults] == ["valid_from", "role"]


def test_operations_run_in_their_order(world: None) -> None:
    create_operation({"code": "MIX", "name": "Mix", "stage": "cast", "position": 15})
    assert [row.operation.code for row in selectors.planned_operations(TODAY)] == ["CUT", "MIX", "CAST"]
    update_operation("MIX", {"retired_from": LATER.isoformat()})
    assert [row.operation.code for row in selectors.planned_operations(LATER)] == ["CUT", "CAST"]


def test_an_unknown_stage_is_refused(world: None) -> None:
    with pytest.raises(CatalogRefused):
        create_operation({"code": "X", "name": "X", "stage": "dream"})


@pytest.mark.parametrize(
    "change", [{"breakage": 0.1}, {"spread_low": 2.0}, {"crew": 0}, {"learning_rate": 2}]
)
def test_the_database_refuses_what_goes_round_the_services(world: None, change: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        OperationStandard.objects.update(**change)
