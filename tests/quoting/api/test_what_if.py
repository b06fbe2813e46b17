"""`POST takeoff/what-if` and the outlook of `POST takeoff`: the same doors, the same refusals."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from rest_framework.test import APIClient

from tests.quoting.conftest import specification
from tests.quoting.malformed import SOUND

Api = Callable[[Any], APIClient]
ADDRESS = "/api/v1/takeoff/what-if"


def test_the_usual_changes_side_by_side(api: Api, rowan: Any) -> None:
    answer = api(rowan).post(ADDRESS, {"specification": specification("hearth")}, format="json")
    assert answer.status_code == 200
    said = answer.json()
    assert [case["name"] for case in said["cases"]][:2] == ["10 mm thicker", "One more"]
    thicker = said["cases"][0]
    gross = next(each for each in thicker["differences"]["totals"] if each["part"] == "gross")
    assert gross["before"] == said["base"]["gross"]
    assert Decimal(gross["after"]) - Decimal(gross["before"]) == Decimal(gross["change"]) > 0
    assert thicker["estimate"]["total_kg"] > said["base"]["total_kg"]


def test_a_makers_own_changes_one_of_which_cannot_be_cast(api: Api, tansy: Any) -> None:
    changes = [
        {"name": "Two", "patch": {"quantity": 2}},
        {"name": "In gold", "patch": {"mix": "MIX-GOLD"}},
    ]
    body = {"specification": specification("hearth"), "changes": changes}
    two, gold = api(tansy).post(ADDRESS, body, format="json").json()["cases"]
    assert two["estimate"]["quantity"] == 2
    assert [fault["path"] for fault in gold["faults"]] == ["mix"]


@pytest.mark.parametrize(
    ("body", "path"),
    [
        ({}, "specification"),
        ({"specification": 7}, "specification"),
        ({"specification": SOUND, "changes": 7}, "changes"),
        ({"specification": SOUND, "changes": [7]}, "changes[0]"),
        ({"specification": SOUND, "changes": [{"name": "", "patch": {}}]}, "changes[0]"),
        ({"specification": SOUND, "changes": [{"name": "x", "patch": []}]}, "changes[0]"),
        ({"specification": SOUND | {"thickness": -1}}, "thickness"),
    ],
)
def test_a_bad_question_is_refused(api: Api, rowan: Any, body: Any, path: str) -> None:
    answer = api(rowan).post(ADDRESS, body, format="json")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["path"] == path


def test_a_list_is_no_question(api: Api, rowan: Any) -> None:
    assert api(rowan).post(ADDRESS, [1, 2], format="json").status_code == 422


@pytest.mark.parametrize("who", ["sorrel", None])
def test_others_are_turned_away(api: Api, who: str | None, request: pytest.FixtureRequest) -> None:
    person = request.getfixturevalue(who) if who else None
    answer = api(person).post(ADDRESS, {"specification": SOUND}, format="json")
    assert answer.status_code == (403 if who else 401)


def test_the_outlook_is_given_when_asked_for(api: Api, rowan: Any) -> None:
    plain = api(rowan).post("/api/v1/takeoff", SOUND, format="json").json()
    assert not {"risk", "breaks"} & plain.keys()
    said = api(rowan).post("/api/v1/takeoff?outlook=true", SOUND, format="json").json()
    assert said["risk"]["draws"] == 10_000
    assert 0 <= said["risk"]["chance_of_loss"] <= 1 - said["risk"]["chance_of_margin"] <= 1
    assert [row["quantity"] for row in said["breaks"]] == [1, 2, 5, 10]
    assert said["price"] == plain["price"]
