"""`POST /api/v1/takeoff`: figures for a sound document, every fault for another, never a 500."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from rest_framework.test import APIClient

from quoting.api.mould_figures import EstimateMould
from tests.quoting.conftest import specification
from tests.quoting.malformed import MALFORMED, RAW, SOUND

Api = Callable[[Any], APIClient]


def test_takes_off_and_prices(api: Api, rowan: Any) -> None:
    answer = api(rowan).post("/api/v1/takeoff", specification("reading-room-table"))
    assert answer.status_code == 200
    made = answer.json()
    assert {"geometry", "mould", "materials", "labour", "cure", "handling", "cautions", "price"} <= set(made)
    assert made["geometry"]["envelope_mm"] == [2100.0, 900.0, 185.0]
    assert all(line["working"] for line in made["materials"] + made["labour"])


def test_an_estimator_sees_no_pay(api: Api, tansy: Any) -> None:
    made = api(tansy).post("/api/v1/takeoff", SOUND).json()
    assert made["labour"]
    assert all("rate" not in line and "cost" not in line for line in made["labour"])


@pytest.mark.parametrize("who", ["sorrel", None])
def test_others_are_turned_away(api: Api, who: str | None, request: pytest.FixtureRequest) -> None:
    person = request.getfixturevalue(who) if who else None
    answer = api(person).post("/api/v1/takeoff", SOUND)
    assert answer.status_code == (403 if who else 401)
    assert answer["Content-Type"] == "application/problem+json"


def test_malformed_documents_are_refused(api: Api, rowan: Any) -> None:
    client = api(rowan)
    taken = {}
    for name, document, path in MALFORMED:
        answer = client.post("/api/v1/takeoff", json.dumps(document), content_type="application/json")
        assert answer["Content-Type"] == "application/problem+json", name
        paths = [error["path"] for error in answer.json()["errors"]]
        unread = answer.status_code == 400 and answer.json()["detail"]
        told = answer.status_code == 422 and any(told.startswith(path) for told in paths)
        if not (unread or told):
            taken[name] = (answer.status_code, paths)
    assert taken == {}


def test_what_is_no_document_is_refused(api: Api, rowan: Any) -> None:
    client = api(rowan)
    answers = {
        name: client.post("/api/v1/takeoff", body(), content_type="application/json").status_code
        for name, body in RAW
    }
    assert {name: status for name, status in answers.items() if status not in (400, 413, 422)} == {}


def test_every_fault_at_once(api: Api, rowan: Any) -> None:
    document = SOUND | {"quantity": 0, "mix": "MIX-GRAY", "thickness": -1}
    problem = api(rowan).post("/api/v1/takeoff", document).json()
    assert {"quantity", "mix", "thickness"} <= {error["path"] for error in problem["errors"]}
    assert "MIX-GREY" in problem["detail"], "the nearest code that exists is named"


def test_what_was_kept_before_lengths_were_told_still_fits(api: Api, rowan: Any) -> None:
    mould = api(rowan).post("/api/v1/takeoff", specification("cafe-counter")).json()["mould"]
    assert [plan["material"] for plan in mould["bars"]] == ["TUBE-35", "GROOVE-10"]
    EstimateMould.model_validate(mould)
    del mould["bars"]
    EstimateMould.model_validate(mould)
