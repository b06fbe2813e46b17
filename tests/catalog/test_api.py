"""The catalogue's API: who may do what, and what each address answers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone
from rest_framework.test import APIClient

from catalog.models import Material, MaterialPrice, Mix, Operation, Role
from catalog.services.materials import create_material, set_price
from catalog.services.terms import update_terms
from tests.catalog.conftest import BAG, BOARD, GREY, TODAY

Api = Callable[[str], APIClient]
READS = (
    "/api/v1/materials",
    "/api/v1/materials/BOARD-18",
    "/api/v1/materials/BOARD-18/prices",
    "/api/v1/mixes",
    "/api/v1/mixes/MIX-GREY",
    "/api/v1/roles",
    "/api/v1/roles/MAKER",
    "/api/v1/operations",
    "/api/v1/operations/CUT",
    "/api/v1/operations/CUT/standards",
    "/api/v1/terms",
)
WRITES: tuple[tuple[str, str, dict[str, Any], int], ...] = (
    ("post", "/api/v1/materials", {**BOARD, "code": "BOARD-19", "price": "64.00"}, 201),
    ("patch", "/api/v1/materials/BOARD-18", {"supplier": "Example Timber Yard"}, 200),
    ("post", "/api/v1/materials/BOARD-18/prices", {"price": "70.00"}, 201),
    ("post", "/api/v1/mixes", {**GREY, "code": "MIX-2"}, 201),
    ("patch", "/api/v1/mixes/MIX-GREY", {"allowance": 0.08}, 200),
    ("post", "/api/v1/roles", {"code": "HELPER", "name": "Helper"}, 201),
    ("patch", "/api/v1/roles/MAKER", {"name": "Mould maker"}, 200),
    ("post", "/api/v1/roles/MAKER/rates", {"pay_per_hour": "25.00", "on_costs": "0.28"}, 201),
    ("post", "/api/v1/operations", {"code": "POUR", "name": "Pour", "stage": "cast"}, 201),
    ("patch", "/api/v1/operations/CUT", {"name": "Saw the mould"}, 200),
    ("post", "/api/v1/operations/CUT/standards", {"setup_hours": 0.4}, 201),
    ("patch", "/api/v1/terms", {"target_margin": "0.35"}, 200),
)


# --- who may do what -------------------------------------------------------------------------------------
@pytest.mark.parametrize("path", READS)
@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("estimator", 200), ("bench", 403), ("", 401)])
def test_who_may_read(world: None, api: Api, path: str, role: str, status: int) -> None:
    assert api(role).get(path).status_code == status


@pytest.mark.parametrize(("method", "path", "data", "done"), WRITES)
@pytest.mark.parametrize("role", ["owner", "estimator", "bench", ""])
def test_who_may_write(
    world: None, api: Api, method: str, path: str, data: dict[str, Any], done: int, role: str
) -> None:
    answer = getattr(api(role), method)(path, data)
    assert answer.status_code == (done if role == "owner" else 403 if role else 401), answer.content


@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("estimator", 403), ("bench", 403)])
def test_pay_is_for_owners(world: None, api: Api, role: str, status: int) -> None:
    assert api(role).get("/api/v1/roles/MAKER/rates").status_code == status


def test_an_estimator_sees_roles_without_pay(world: None, api: Api) -> None:
    assert api("estimator").get("/api/v1/roles").json()["results"] == [{"code": "MAKER", "name": "Maker"}]
    rate = api("owner").get("/api/v1/roles").json()["results"][0]["rate"]
    assert (rate["pay_per_hour"], rate["on_costs"]) == ("24.0000", "0.27000")


# --- materials -------------------------------------------------------------------------------------------
def test_a_material_is_shown_with_its_price(board: Material, api: Api) -> None:
    shown = api("estimator").get("/api/v1/materials/BOARD-18").json()
    assert (shown["price"], shown["price_from"], shown["content_unit"]) == ("62.00", "2026-03-02", "m²")
    assert (shown["unit_price"], shown["thickness_mm"], shown["yield_m3"]) == ("10.6970", 18.0, None)


def test_the_list_pages_filters_and_searches(board: Material, api: Api) -> None:
    create_material(BAG, price="9.60", today=TODAY)
    client = api("estimator")
    page = client.get("/api/v1/materials?limit=1").json()
    assert (page["count"], len(page["results"]), page["previous"]) == (2, 1, None)
    assert client.get(page["next"]).json()["results"][0]["code"] == "BOARD-18"
    found = client.get("/api/v1/materials?kind=bagged_mix").json()["results"]
    assert [row["code"] for row in found] == ["BAG-GREY"]
    found = client.get("/api/v1/materials?search=merchants").json()["results"]
    assert [row["code"] for row in found] == ["BOARD-18"]


def test_the_list_shows_prices_of_a_date_and_marks_old_ones(board: Material, api: Api) -> None:
    set_price("BOARD-18", "70.00", valid_from=TODAY + timedelta(days=10), today=TODAY)
    update_terms({"stale_after_days": 5})
    client = api("estimator")
    prices = {}
    for on in ("2026-03-01", "2026-03-02", "2026-03-11", "2026-03-12"):
        (row,) = client.get(f"/api/v1/materials?on={on}").json()["results"]
        prices[on] = (row["price"], row["stale"])
    assert prices == {
        "2026-03-01": (None, False),
        "2026-03-02": ("62.00", False),
        "2026-03-11": ("62.00", True),
        "2026-03-12": ("70.00", False),
    }


def test_the_list_takes_as_many_queries_however_long(
    board: Material, api: Api, django_assert_num_queries: Any
) -> None:
    for number in range(20):
        create_material({**BAG, "code": f"BAG-{number}"}, price="9.60", today=TODAY)
    client = api("owner")
    # Session, person, four for the pace (on SQLite with its wait), count, page, prices, terms.
    with django_assert_num_queries(10 if connection.vendor == "sqlite" else 7):
        client.get("/api/v1/materials")


def test_a_new_price_starts_today_unless_said(board: Material, api: Api) -> None:
    client = api("owner")
    made = client.post("/api/v1/materials/BOARD-18/prices", {"price": "70.50"}).json()
    assert made["valid_from"] == timezone.localdate().isoformat()
    assert (made["price"], made["entered_by"]) == ("70.5000", "owner-rowan")
    history = client.get("/api/v1/materials/BOARD-18/prices").json()
    assert [row["price"] for row in history] == ["70.5000", "62.0000"]


@pytest.mark.parametrize("query", ["kind=plank", "on=soon", "limit=x&kind=plank"])
def test_a_filter_that_makes_no_sense_is_refused(board: Material, api: Api, query: str) -> None:
    answer = api("owner").get(f"/api/v1/materials?{query}")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_every_fault_is_answered_at_once(db: None, api: Api) -> None:
    answer = api("owner").post(
        "/api/v1/materials", {**BOARD, "name": "", "casts": 0, "colour": "red", "price": "x"}
    )
    assert answer.status_code == 422
    assert {error["path"]: error["code"] for error in answer.json()["errors"]} == {
        "colour": "unknown_key",
        "name": "blank",
        "casts": "out_of_range",
        "price": "invalid",
    }
    assert Material.objects.count() == 0


@pytest.mark.parametrize(
    ("path", "data"),
    [
        ("/api/v1/materials", {**BOARD, "retired_from": ["soon"]}),
        ("/api/v1/materials", {**BOARD, "length_mm": 10**400}),
        ("/api/v1/materials", {**BOARD, "length_mm": {"mm": 1}}),
        ("/api/v1/materials", {**BOARD, "name": ["a"]}),
        ("/api/v1/materials", {**BOARD, "casts": 10**30}),
        ("/api/v1/materials", {**BOARD, "price": "1e999999"}),
        ("/api/v1/materials", {**BOARD, "price": {}}),
        ("/api/v1/materials", {**BOARD, "price": "1", "valid_from": 5}),
        ("/api/v1/materials/BOARD-18/prices", {"price": None}),
        ("/api/v1/materials/BOARD-18/prices", {"price": "1", "valid_from": []}),
        ("/api/v1/materials/BOARD-18/prices", {"price": "1", "valid_from": [1]}),
        ("/api/v1/materials/BOARD-18/prices", {"price": "1", "colour": "red"}),
        ("/api/v1/mixes", {**GREY, "code": "M", "bag": {"code": "X"}}),
        ("/api/v1/mixes", {**GREY, "code": "M", "bag": None, "parts": [7]}),
        ("/api/v1/mixes", {**GREY, "code": "M", "bag": None, "parts": [{"material": [], "kg_per_m3": []}]}),
        ("/api/v1/roles", {"code": None, "name": None}),
        ("/api/v1/roles/MAKER/rates", {"pay_per_hour": [], "valid_from": "2026-13-01"}),
        ("/api/v1/operations", {"code": "X", "name": "X", "stage": ["cast"]}),
        ("/api/v1/operations", {"code": "X", "name": "X", "stage": "cast", "position": -1}),
        ("/api/v1/operations/CUT/standards", {"per_driver_hours": None}),
        ("/api/v1/operations/CUT/standards", {"per_driver_hours": {"volume_m3": {"a": 1}}}),
        ("/api/v1/operations/CUT/standards", {"per_driver_hours": []}),
        ("/api/v1/operations/CUT/standards", {"when": None}),
        ("/api/v1/operations/CUT/standards", {"setup_shared": [1]}),
        ("/api/v1/operations/CUT/standards", {"role": {"code": 1}}),
    ],
)
def test_bad_values_are_refused_never_a_failure(
    world: None, api: Api, path: str, data: dict[str, Any]
) -> None:
    if path == "/api/v1/materials":
        data = {**data, "code": "BOARD-19"}
    before = [model._default_manager.count() for model in (Material, MaterialPrice, Mix, Role, Operation)]
    answer = api("owner").post(path, data)
    if path == "/api/v1/materials/BOARD-18/prices" and data.get("valid_from") == []:
        assert answer.status_code == 201  # nothing said: today
        return
    assert answer.status_code == 422, answer.content
    assert answer.json()["errors"]
    assert before == [
        model._default_manager.count() for model in (Material, MaterialPrice, Mix, Role, Operation)
    ]


@pytest.mark.parametrize(
    "data",
    [
        {"tax_rates": []},
        {"tax_rates": {"standard": None}},
        {"shop_temperature_c": 18},
        {"working_days": "Monday"},
        {"finish_grits": [[200]]},
        {"finish_grits": {}},
        {"phone": None},
        {"finish_faces": [{}]},
        {"default_mix": 7},
        {"name": 7},
        {"name": ""},
    ],
)
def test_bad_terms_are_refused_never_a_failure(world: None, api: Api, data: dict[str, Any]) -> None:
    assert api("owner").patch("/api/v1/terms", data).status_code == 422


def test_what_is_no_object_is_refused(world: None, api: Api) -> None:
    assert api("owner").post("/api/v1/materials", [1, 2]).status_code == 400


@pytest.mark.parametrize("path", ["materials/NONE", "mixes/NONE", "roles/NONE", "operations/NONE/standards"])
def test_an_unknown_code_is_not_found(world: None, api: Api, path: str) -> None:
    assert api("owner").get(f"/api/v1/{path}").status_code == 404


# --- the rest --------------------------------------------------------------------------------------------
def test_a_recipe_comes_back_as_it_was_sent(world: None, api: Api) -> None:
    for code, density in (("CEM", 3.15), ("SAND", 2.65), ("TAP", 1.0)):
        values = {"code": code, "name": code, "kind": "loose", "pack_size": 25, "pack_name": "bag"}
        create_material({**values, "relative_density": density}, today=TODAY)
    parts = [
        {"material": "CEM", "kg_per_m3": 500.0, "kind": "cement"},
        {"material": "SAND", "kg_per_m3": 1640.0, "kind": "aggregate"},
        {"material": "TAP", "kg_per_m3": 220.0, "kind": "water"},
    ]
    mortar = {"code": "MORTAR", "name": "Mortar", "fresh_density_kg_m3": 2360.0, "density_kg_m3": 2250.0}
    sent = {**mortar, "strength_28d_mpa": 40.0, "parts": parts}
    answer = api("owner").post("/api/v1/mixes", sent)
    assert answer.status_code == 201
    assert {key: answer.json()[key] for key in sent} == sent


def test_operations_are_listed_in_order_with_their_standards(world: None, api: Api) -> None:
    rows = api("estimator").get("/api/v1/operations").json()["results"]
    assert [(row["code"], row["standard"] and row["standard"]["setup_hours"]) for row in rows] == [
        ("CUT", 0.5),
        ("CAST", None),
    ]


def test_terms_are_changed_and_shown(world: None, api: Api) -> None:
    client = api("owner")
    answer = client.patch("/api/v1/terms", {"default_mix": "MIX-GREY", "tax_rates": {"standard": "0.19"}})
    assert answer.status_code == 200
    shown = client.get("/api/v1/terms").json()
    assert (shown["default_mix"], shown["tax_rates"]) == ("MIX-GREY", {"standard": "0.19"})


def test_the_lists_are_narrowed_and_put_in_order_over_the_api_as_on_their_pages(
    world: None, api: Api
) -> None:
    """Order and search were passed over in silence by all of them but materials and the shelf."""
    owner = api("owner")

    def codes(path: str, **asked: Any) -> list[str]:
        answer = owner.get(f"/api/v1/{path}", asked)
        assert answer.status_code == 200, answer.json()
        return [one["code"] for one in answer.json()["results"]]

    for path in ("materials", "mixes", "roles", "operations"):
        there = codes(path, ordering="code")
        assert there == sorted(there)
        assert codes(path, ordering="-code") == there[::-1]
        assert there[0] in codes(path, search=there[0])
        assert codes(path, search="no such words") == []
        for wrong in ({"ordering": "colour"}, {"colour": "grey"}):
            assert owner.get(f"/api/v1/{path}", wrong).status_code == 400, (path, wrong)
    assert codes("operations", stage="mould") == ["CUT"]
    assert codes("operations", stage="deliver") == []
    owner.patch("/api/v1/operations/CUT", {"retired_from": "2026-01-01"})
    assert "CUT" not in codes("operations")
    assert "CUT" in codes("operations", retired=True)
