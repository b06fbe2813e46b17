"""Requests to the API at the same moment: no change is lost, nothing is made twice."""

from __future__ import annotations

from rest_framework.test import APIClient

from quoting.models import Client
from quoting.services.clients import create_client
from shop.accounts.models import User
from tests.postgres.conftest import at_once

AT = "/api/v1/clients"


def signed_in(person: User) -> APIClient:
    client = APIClient()
    client.force_login(person)
    return client


def test_of_many_changes_that_rest_on_the_same_one_is_made(rowan: User) -> None:
    at = f"{AT}/{create_client(name='Village library').pk}"
    clients = [signed_in(rowan) for _ in range(8)]
    read = clients[0].get(at)["ETag"]

    def change(number: int) -> int:
        sent = {"if-match": read}
        return clients[number].patch(at, {"phone": f"{number}"}, headers=sent).status_code

    assert sorted(at_once(8, change)) == [200] + 7 * [412]


def test_a_key_sent_many_times_at_once_makes_one(rowan: User) -> None:
    clients = [signed_in(rowan) for _ in range(8)]

    def send(number: int) -> int:
        document, key = {"name": "Village library"}, {"idempotency-key": '"once"'}
        return clients[number].post(AT, document, headers=key).status_code

    codes = at_once(8, send)
    assert set(codes) <= {201, 409}
    assert 201 in codes
    assert Client.objects.count() == 1
