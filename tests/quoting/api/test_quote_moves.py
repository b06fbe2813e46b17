"""What is done with an issued quote over the API."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone
from rest_framework.test import APIClient

from quoting.models import Client, IssuedQuote
from quoting.services.quotes import LineWanted, draft_quote, issue_quote

Sign = Callable[[Any], APIClient]


@pytest.fixture
def issued(starter: None, library: Client) -> IssuedQuote:
    today = timezone.localdate()
    lines = [LineWanted("Survey", Decimal(120))]
    return issue_quote(draft_quote(library, title="Survey", quoted_on=today, lines=lines), on=today)


def _at(issued: IssuedQuote, what: str) -> str:
    return f"/api/v1/quotes/{issued.quote_id}/{what}"


def test_accepting_for_the_client_happens_once(issued: IssuedQuote, api: Sign, tansy: Any) -> None:
    asked = {"name": "Philippa Quern", "data_sha256": issued.data_sha256, "note": "by telephone"}
    done = api(tansy).post(_at(issued, "accept"), asked)
    assert (done.status_code, done.json()["status"]) == (200, "accepted")
    assert issued.quote.answer.by == tansy
    assert api(tansy).post(_at(issued, "accept"), asked).status_code == 409
    assert api(tansy).post(_at(issued, "decline"), {"name": "Philippa"}).status_code == 409
    assert api(tansy).post(_at(issued, "revise")).status_code == 409


def test_another_hash_is_refused(issued: IssuedQuote, api: Sign, tansy: Any) -> None:
    asked = {"name": "Philippa Quern", "data_sha256": "0" * 64}
    assert api(tansy).post(_at(issued, "accept"), asked).status_code == 409
    assert api(tansy).post(_at(issued, "accept"), {"name": ""}).status_code in {400, 422}


def test_revising_makes_a_draft(issued: IssuedQuote, api: Sign, tansy: Any) -> None:
    made = api(tansy).post(_at(issued, "revise"))
    assert (made.status_code, made.json()["status"], made.json()["number"]) == (201, "draft", None)


def test_a_link_works_until_it_is_taken_back(issued: IssuedQuote, api: Sign, tansy: Any) -> None:
    address = api(tansy).post(_at(issued, "link")).json()["address"]
    path = address.removeprefix("http://testserver")
    assert APIClient().get(path).status_code == 200
    assert api(tansy).delete(_at(issued, "link")).status_code == 204
    assert APIClient().get(path).status_code == 404


def test_sending(issued: IssuedQuote, api: Sign, tansy: Any, django_capture_on_commit_callbacks: Any) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        sent = api(tansy).post(_at(issued, "send"), {"message": "Here you are."})
    assert (sent.status_code, sent.json()["to"]) == (200, "library@example.org")
    assert "/q/" in mail.outbox[0].body and "/q/" not in str(sent.json())


def test_papers(issued: IssuedQuote, api: Sign, tansy: Any) -> None:
    for paper in ("traveller", "buying-list-pdf"):
        assert api(tansy).get(_at(issued, paper)).content.startswith(b"%PDF-1.7")
    assert api(tansy).get(_at(issued, "buying-list")).json() == {"orders": []}
    assert api(tansy).get(_at(issued, "traveller"), {"pour": "soon"}).status_code in {400, 422}


@pytest.mark.parametrize("what", ["accept", "decline", "revise", "link", "send"])
def test_the_bench_and_strangers_may_not(issued: IssuedQuote, api: Sign, sorrel: Any, what: str) -> None:
    assert api(sorrel).post(_at(issued, what)).status_code == 403
    assert api(None).post(_at(issued, what)).status_code in {401, 403}
