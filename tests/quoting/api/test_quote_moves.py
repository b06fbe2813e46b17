"""What is done with an issued quote over the API."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
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


BASES = (("oak", 300), ("steel", 450))
SUMS = ("discount", "net", "tax", "gross", "payments", "cost")


@pytest.fixture
def offered(starter: None, library: Client) -> IssuedQuote:
    """A quote with two alternatives and a line common to both."""
    today = timezone.localdate()
    lines = [LineWanted("Survey", Decimal(120))]
    lines += [LineWanted(f"Base of {name}", Decimal(price), option=name) for name, price in BASES]
    return issue_quote(draft_quote(library, title="A base", quoted_on=today, lines=lines), on=today)


def test_each_alternative_is_told_as_a_whole_price_before_and_after_it_is_issued(
    offered: IssuedQuote, api: Sign, tansy: Any
) -> None:
    at = f"/api/v1/quotes/{offered.quote_id}"
    draft = api(tansy).post(_at(offered, "revise")).json()["id"]
    for told in (api(tansy).get(at).json(), api(tansy).get(f"/api/v1/quotes/{draft}").json()):
        priced = told["priced"]
        assert [(one["name"], one["net"]) for one in priced["options"]] == [
            ("oak", "420.00"),
            ("steel", "570.00"),
        ]
        assert [line["option"] for line in priced["lines"]] == ["", "oak", "steel"]
        assert priced["gross"] == priced["options"][0]["gross"]
        assert set(priced["options"][1]) == {"name", *SUMS}


def test_what_the_client_asked_and_answered_is_read_back(offered: IssuedQuote, api: Sign, tansy: Any) -> None:
    at = f"/api/v1/quotes/{offered.quote_id}"
    address = api(tansy).post(_at(offered, "link")).json()["address"].removeprefix("http://testserver")
    APIClient().post(
        address, {"do": "ask", "name": "Philippa Quern", "question": "Is oak sealed?"}, "multipart"
    )
    before = api(tansy).get(at).json()
    assert before["answer"] is None
    assert "Is oak sealed?" in next(one["detail"] for one in before["events"] if one["kind"] == "asked")
    accepted = {"name": "Philippa Quern", "data_sha256": offered.data_sha256, "option": "steel"}
    assert api(tansy).post(_at(offered, "accept"), accepted).status_code == 200
    after = api(tansy).get(at).json()
    kept = {name: after["answer"][name] for name in ("kind", "name", "option", "by")}
    assert kept == {"kind": "accepted", "name": "Philippa Quern", "option": "steel", "by": "tansy"}
    assert Decimal(after["answer"]["gross"]) == Decimal(after["priced"]["options"][1]["gross"])


def test_quotes_are_found_by_where_they_stand_client_and_day(
    issued: IssuedQuote, library: Client, api: Sign, tansy: Any
) -> None:
    long_ago = timezone.localdate() - timedelta(days=90)
    lines = [LineWanted("Survey", Decimal(120))]
    old = issue_quote(
        draft_quote(library, title="Old", quoted_on=long_ago, valid_days=30, lines=lines), on=long_ago
    )

    def found(**asked: Any) -> list[int]:
        answer = api(tansy).get("/api/v1/quotes", asked)
        assert answer.status_code == 200, answer.json()
        return [one["id"] for one in answer.json()["results"]]

    late, now = old.quote_id, issued.quote_id
    assert (found(status="lapsed"), found(status="issued")) == ([late], [now])
    assert api(tansy).get(f"/api/v1/quotes/{late}").json()["state"] == "lapsed"
    assert found(ordering="quoted_on") == [late, now]
    assert found(ordering="-quoted_on") == [now, late]
    assert found(quoted_until=long_ago) == [late]
    assert found(client=library.pk + 1) == []
    for wrong in ({"status": "lost"}, {"ordering": "price"}, {"colour": "grey"}):
        assert api(tansy).get("/api/v1/quotes", wrong).status_code == 400, wrong


def test_a_misspelt_key_is_refused_where_it_stands(library: Client, api: Sign, tansy: Any) -> None:
    """A `discont` once was no discount, and a `qty` of three was one."""
    lines = [{"text": "Survey", "unit_price": "120", "qty": "3"}]
    asked = {"client": library.pk, "title": "Survey", "discont": "0.05", "lines": lines}
    answer = api(tansy).post("/api/v1/quotes", asked)
    assert answer.status_code == 400
    assert {one["path"] for one in answer.json()["errors"]} == {"discont", "lines[0].qty"}
    assert not library.quotes.exists()
    shown = api(tansy).get(f"/api/v1/clients/{library.pk}").json()
    assert api(tansy).patch(f"/api/v1/clients/{library.pk}", shown).status_code == 200, "as it was read"
    assert api(tansy).patch(f"/api/v1/clients/{library.pk}", {"mail": "a@b.example"}).status_code == 400
