"""Refusals as problem details (RFC 9457, section 3) and the API's own description. K92 to K94, K110."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from drf_spectacular.generators import SchemaGenerator
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from rest_framework.test import APIClient

from catalog.models import Material
from quoting.models import Client
from shop.api.common import PROBLEM
from tests.shop.api.conftest import Api

AT = "/api/v1/clients"


def refused(api: Api, library: Client) -> Iterator[tuple[int, Any]]:
    """An answer of every status that a request can be refused with, short of too many."""
    owner, one = api("owner"), f"{AT}/{library.pk}"
    yield 400, owner.post(AT, "{", content_type="application/json")
    yield 401, APIClient().get(AT)
    yield 403, api("bench").get(AT)
    yield 404, owner.get(f"{AT}/999")
    yield 405, owner.put(AT, {})
    yield 406, owner.get(AT, headers={"accept": "text/html"})
    yield 409, owner.post(f"/api/v1/quotes/{draft(owner, library)}/withdraw", {})
    yield 412, owner.patch(one, {}, headers={"if-match": '"old"'})
    yield 413, owner.post(AT, {"note": "x" * 5_300_000})
    yield 415, owner.post(AT, "a=b", content_type="text/plain")
    yield 422, owner.post("/api/v1/materials", {"code": "", "kind": "cloth"})
    yield 428, owner.patch(one, {})


def draft(owner: APIClient, library: Client) -> int:
    return int(owner.post("/api/v1/quotes", {"client": library.pk, "title": "A shelf"}).json()["id"])


def test_every_refusal_is_a_problem_k92(api: Api, library: Client) -> None:
    """RFC 9457, section 3: the media type, the members and their types; `status` is the real one."""
    wanted = Draft202012Validator(PROBLEM)
    seen = []
    for status, answer in refused(api, library):
        said = answer.json()
        assert (answer.status_code, said["status"], answer["Content-Type"]) == (
            status,
            status,
            "application/problem+json",
        )
        assert list(wanted.iter_errors(said)) == []
        assert said["type"] == "about:blank" and said["title"] == answer.reason_phrase
        assert said["detail"] and said["code"]
        seen.append(status)
    assert len(set(seen)) == len(seen) == 12


def test_faults_of_a_body_have_their_places_k93(api: Api) -> None:
    """RFC 9457, section 3, second sample: 422 with `errors`, each with its detail and where it is."""
    answer = api("owner").post(
        "/api/v1/takeoff", {"format": 1, "thickness": -4, "outline": {"shape": "star"}}
    )
    errors = answer.json()["errors"]
    assert answer.status_code == 422
    assert {"thickness", "outline.shape"} <= {error["path"] for error in errors}
    assert all(error["detail"] and error["code"] for error in errors)


def test_of_several_problems_the_most_telling_k94(api: Api, board: Material) -> None:
    """RFC 9457, section 3: one problem an answer; that the ground is gone comes first."""
    at = "/api/v1/materials/BOARD-18"
    answer = api("owner").patch(at, {"kind": "cloth"}, headers={"if-match": '"old"'})
    assert (answer.status_code, answer.json()["errors"]) == (412, [])
    both = api("owner").patch(at, {"waste": "x", "lead_days": -1}, headers={"if-match": "*"})
    assert {error["path"] for error in both.json()["errors"]} == {"waste", "lead_days"}


@pytest.fixture(scope="module")
def described() -> dict[str, Any]:
    found: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    return found


def test_the_description_k110(described: dict[str, Any]) -> None:
    """OpenAPI 3.1.2: what is required of the whole, of answers, names and path parameters."""
    assert described["openapi"].startswith("3.1.")
    assert described["info"]["title"] and described["info"]["version"]
    names = []
    for path, item in described["paths"].items():
        for operation in item.values():
            names.append(operation["operationId"])
            for answer in operation["responses"].values():
                assert "$ref" in answer or answer["description"] is not None
            inside = {one["name"] for one in operation.get("parameters", ()) if one.get("in") == "path"}
            assert inside == {
                step[1:-1] for step in path.replace(".", "/").split("/") if step.startswith("{")
            }
            assert all(one["required"] for one in operation.get("parameters", ()) if one.get("in") == "path")
    assert len(names) == len(set(names)) > 80


def test_its_schemas_are_json_schema_k110(described: dict[str, Any]) -> None:
    """OpenAPI 3.1.2: schemas are a superset of JSON Schema 2020-12; nothing of 3.0 is left in them."""
    for name, schema in described["components"]["schemas"].items():
        Draft202012Validator.check_schema(schema)
        assert "nullable" not in str(schema), name


def test_every_answer_says_its_keys(described: dict[str, Any]) -> None:
    """No document of the catalogue or of quoting is just an object."""
    vague = []
    for path, item in described["paths"].items():
        for method, operation in item.items():
            for code, answer in operation["responses"].items():
                schema = answer.get("content", {}).get("application/json", {}).get("schema")
                ours = path.split("/")[3] not in ("jobs", "look-back", "reports")
                if code.startswith("2") and ours and schema is not None and not _told(schema):
                    vague.append(f"{method} {path}")
    assert vague == []


def _told(schema: dict[str, Any]) -> bool:
    return bool({"$ref", "properties", "items", "allOf", "oneOf"} & set(schema))
