"""The same request twice: draft-ietf-httpapi-idempotency-key-header-07. Rows K102 to K106."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.models import Client
from quoting.services.clients import create_client
from shop import repeats
from shop.accounts.models import StoredAnswer, User
from tests.shop.api.conftest import Api

AT = "/api/v1/clients"
KEY = {"idempotency-key": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'}  # the draft's own example
LIBRARY = {"name": "Village library"}


@pytest.mark.parametrize(
    ("header", "key"),
    [
        ('"8e03978e-40d5-43e8-bc93-6894a57f9324"', "8e03978e-40d5-43e8-bc93-6894a57f9324"),
        (r'"a \"b\" \\ c"', r'a "b" \ c'),
        ("8e03978e-40d5-43e8-bc93-6894a57f9324", None),
        ('""', None),
        ('"a', None),
        ('"a" "b"', None),
        (r'"a\b"', None),
        ('"é"', None),
        (f'"{"k" * 255}"', "k" * 255),
        (f'"{"k" * 256}"', None),
    ],
)
def test_syntax_k102(header: str, key: str | None) -> None:
    """A structured-field string (RFC 8941, section 3.3.3)."""
    assert repeats.read_key(header) == key


def test_a_spoilt_key_is_refused(api: Api) -> None:
    answer = api("owner").post(AT, LIBRARY, headers={"idempotency-key": "bare"})
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")
    assert not Client.objects.exists()


def test_no_address_requires_a_key_k103(api: Api) -> None:
    """400 is for addresses that require one; here it is up to the asker everywhere."""
    assert [api("owner").post(AT, LIBRARY).status_code for _ in range(2)] == [201, 201]


def test_another_payload_k104(api: Api) -> None:
    client = api("owner")
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 201
    for at, document in ((AT, {"name": "Café"}), ("/api/v1/materials", LIBRARY)):
        answer = client.post(at, document, headers=KEY)
        assert (answer.status_code, answer.json()["code"]) == (422, "key_reused")
    assert Client.objects.count() == 1


def test_while_the_first_runs_k105(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    client, seen = api("owner"), []

    def create(**fields: Any) -> Client:
        seen.append(client.post(AT, LIBRARY, headers=KEY))
        return create_client(**fields)

    monkeypatch.setattr("quoting.api.clients.create_client", create)
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 201
    assert [(answer.status_code, answer.json()["code"]) for answer in seen] == [(409, "still_running")]


def test_success_is_answered_again_k106(api: Api) -> None:
    first, second = (api("owner").post(AT, LIBRARY, headers=KEY) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 201)
    assert (first.content, first["Content-Type"]) == (second.content, second["Content-Type"])
    assert Client.objects.count() == 1


def test_a_refusal_is_answered_again_k106(api: Api) -> None:
    answers = [api("owner").post(AT, {"name": ""}, headers=KEY) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [400, 400]
    assert answers[0].content == answers[1].content
    assert StoredAnswer.objects.get().status == 400


def test_keys_are_a_persons_own_k106(api: Api) -> None:
    assert api("owner").post(AT, LIBRARY, headers=KEY).status_code == 201
    assert api("estimator").post(AT, LIBRARY, headers=KEY).status_code == 201
    assert Client.objects.count() == 2


def test_kept_for_a_day(api: Api) -> None:
    client = api("owner")
    client.post(AT, LIBRARY, headers=KEY)
    StoredAnswer.objects.update(begun_at=timezone.now() - repeats.KEPT + timedelta(minutes=1))
    client.post(AT, LIBRARY, headers=KEY)
    assert Client.objects.count() == 1
    StoredAnswer.objects.update(begun_at=timezone.now() - repeats.KEPT)
    client.post(AT, LIBRARY, headers=KEY)
    assert Client.objects.count() == 2


def test_who_lost_his_role_gets_no_old_answer(api: Api, person: Callable[[str], User]) -> None:
    client = api("estimator")
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 201
    User.objects.filter(pk=person("estimator").pk).update(role="bench")
    answer = client.post(AT, LIBRARY, headers=KEY)
    assert (answer.status_code, b"Village" in answer.content) == (422, False)


def test_what_was_not_tried_leaves_the_key_free(api: Api) -> None:
    client = api("bench")
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 403
    assert not StoredAnswer.objects.exists()


def test_a_failure_leaves_nothing_and_the_key_free(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    client = api("owner")
    client.raise_request_exception = False

    def fail_after_saving(**fields: Any) -> Client:
        Client.objects.create(**fields)
        raise RuntimeError("broken")

    with monkeypatch.context() as patched:
        patched.setattr("quoting.api.clients.create_client", fail_after_saving)
        assert client.post(AT, LIBRARY, headers=KEY).status_code == 500
    assert (Client.objects.count(), StoredAnswer.objects.count()) == (0, 0)
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 201


def test_a_process_that_died_frees_its_key(api: Api, person: Callable[[str], User]) -> None:
    client = api("owner")
    client.post(AT, LIBRARY, headers=KEY)
    left = {"status": None, "begun_at": timezone.now() - repeats.LEASE}
    StoredAnswer.objects.update(**left)
    assert client.post(AT, LIBRARY, headers=KEY).status_code == 201


@pytest.mark.django_db(transaction=True)
def test_what_writes_nothing_holds_nobody_up(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    """A layout may take many seconds: on SQLite a transaction would keep everybody else from writing."""
    inside: list[bool] = []

    def watched(*asked: Any) -> Any:
        inside.append(connection.in_atomic_block)
        return lay_out_sheets(*asked)

    monkeypatch.setattr("quoting.api.takeoff.lay_out_sheets", watched)
    stock = [{"code": "B", "length_mm": 2800, "width_mm": 2070, "price": "62.00"}]
    parts = [{"name": "base", "length_mm": 900, "width_mm": 400, "quantity": 2}]
    asked = {"kerf_mm": 3, "trim_mm": 10, "stock": stock, "parts": parts}
    first, second = (api("owner").post("/api/v1/cutlist", asked, headers=KEY) for _ in range(2))
    assert first.status_code == second.status_code == 200
    assert first.content == second.content
    assert inside == [False], "worked out once, outside a transaction, and answered alike"
