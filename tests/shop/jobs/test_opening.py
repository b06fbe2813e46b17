"""Which quotes a job may be opened from, and which not, each with its reason; by service, page and API."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone
from rest_framework.test import APIClient

from quoting.errors import IllegalMove
from quoting.models import Quote
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.services.quotes import (
    ItemWanted,
    accept_quote,
    decline_quote,
    draft_quote,
    issue_quote,
    revise_quote,
    withdraw_quote,
)
from shop.jobs.models import Job
from shop.jobs.services.jobs import open_from_quote
from shop.scenario import specification
from tests.starter import put_starter

MONDAY = date(2026, 3, 2)
LAST_DAY = MONDAY + timedelta(days=30)
pytestmark = pytest.mark.django_db


def drafted(*options: str, on: date = MONDAY) -> Quote:
    put_starter("metric", on=on)
    bench = save_piece(specification("bench"))
    items = tuple(
        ItemWanted(bench, number, option) for number, option in enumerate(options or ("",), start=1)
    )
    client = create_client(name="Quayside chapel")
    return draft_quote(client, title="Bench", quoted_on=on, items=items, valid_days=30)


def out(*options: str, on: date = MONDAY) -> Quote:
    return issue_quote(drafted(*options, on=on), on=on).quote


def declined() -> Quote:
    quote = out()
    decline_quote(quote, name="P. Quern", on=MONDAY)
    return quote


def withdrawn() -> Quote:
    return withdraw_quote(out(), reason="Too busy")


def superseded() -> Quote:
    quote = out()
    issue_quote(revise_quote(quote, on=MONDAY), on=MONDAY)
    return quote


def test_a_quote_that_is_out_until_its_last_day() -> None:
    job = open_from_quote(out(), on=LAST_DAY)
    assert (job.status, job.opened_on) == ("open", LAST_DAY)


@pytest.mark.parametrize(
    ("make", "on", "state", "reason"),
    [
        (drafted, MONDAY, "draft", "is a draft"),
        (declined, MONDAY, "declined", "has declined"),
        (withdrawn, MONDAY, "withdrawn", "was withdrawn"),
        (superseded, MONDAY, "superseded", "A newer quote"),
        (out, LAST_DAY + timedelta(days=1), "lapsed", "has lapsed"),
    ],
)
def test_no_job_of_what_no_longer_stands(
    make: Callable[[], Quote], on: date, state: str, reason: str
) -> None:
    quote = make()
    with pytest.raises(IllegalMove, match=reason) as refused:
        open_from_quote(quote, on=on)
    assert refused.value.status == state
    assert not Job.objects.exists()


def test_a_lapsed_quote_by_page_and_api_even_with_an_earlier_day(
    api: Callable[[str], APIClient], browser: Callable[[str], Browser]
) -> None:
    long_ago = timezone.localdate() - timedelta(days=60)
    quote = out(on=long_ago)
    answer = api("owner").post("/api/v1/jobs", {"quote": quote.pk, "opened_on": long_ago.isoformat()})
    assert (answer.status_code, answer.json()["code"]) == (409, "illegal_move")
    assert "has lapsed" in answer.json()["detail"]
    page = browser("owner").post(f"/jobs/open/{quote.pk}", follow=True)
    assert "This quote has lapsed" in page.content.decode()
    assert f"of {quote.number}</span>" not in page.content.decode()  # nor is it offered
    assert not Job.objects.exists()


def test_a_declined_quote_by_page(browser: Callable[[str], Browser]) -> None:
    page: Any = browser("owner").post(f"/jobs/open/{declined().pk}", follow=True)
    assert "The client has declined this quote." in page.content.decode()
    assert not Job.objects.exists()


def test_options_wait_for_the_clients_choice() -> None:
    quote = out("Alone", "A pair")
    with pytest.raises(IllegalMove, match="has not chosen"):
        open_from_quote(quote, on=MONDAY)
    accept_quote(quote, name="P. Quern", data_sha256=quote.issued.data_sha256, on=MONDAY, option="A pair")
    assert [piece.quantity for piece in Job.objects.get().pieces.all()] == [2]
