"""The outbox by page, API, command and health: who sees what waits, and what he can do about it."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client as Browser
from pytest_django import Settings

from quoting.models import ClientLink, OutgoingMail, Quote
from shop.accounts.models import User
from tests.clock import NOON, Clock
from tests.shop.outbox.conftest import use_port
from tests.shop.outbox.smtp import Mood, mail_server

Send = Callable[[], OutgoingMail]


@pytest.fixture
def browser(rowan: User) -> Browser:
    found = Browser(raise_request_exception=False)
    found.force_login(rowan)
    return found


def test_sending_by_api_while_the_server_is_away(
    browser: Browser, quote: Quote, nobody: Settings, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        answer = browser.post(f"/api/v1/quotes/{quote.pk}/send", {}, content_type="application/json")
    assert (answer.status_code, answer.json()["mail"]) == (200, "waiting")
    (row,) = browser.get("/api/v1/outbox").json()["results"]
    assert (row["number"], row["to"], row["status"]) == (quote.number, "library@example.org", "waiting")
    assert (row["tries"], row["written_at"]) == (1, "2026-03-02T12:00:00Z")
    assert "ConnectionRefused" in row["last_error"]
    assert "q/" not in str(row)
    for asked, count in ({"status": "waiting"}, 1), ({"status": "sent"}, 0), ({"search": "no such words"}, 0):
        assert browser.get("/api/v1/outbox", asked).json()["count"] == count, asked
    assert browser.get("/api/v1/outbox?status=lost").status_code == 400


def test_the_page_tells_and_tries_again(
    browser: Browser, nobody: Settings, send: Send, django_capture_on_commit_callbacks: Any
) -> None:
    mail = send()
    page = browser.get("/outbox/").content.decode()
    assert "ConnectionRefusedError" in page
    assert "2026-03-02 12:00" in page
    assert "2026-03-02 12:01" in page
    told = Mood()
    with mail_server(told) as port, django_capture_on_commit_callbacks(execute=True):
        use_port(nobody, port)
        assert browser.post(f"/outbox/{mail.pk}/again").status_code == 302
        nobody.EMAIL_PORT = port
        # What follows the commit runs as this block ends, while the server is still there.
        deliver_now = OutgoingMail.objects.get(pk=mail.pk)
        assert deliver_now.next_try_at == NOON
    mail.refresh_from_db()
    assert mail.tries == 2


def test_dropping_takes_the_link_back(browser: Browser, nobody: Settings, send: Send, quote: Quote) -> None:
    mail = send()
    assert browser.post(f"/outbox/{mail.pk}/drop").status_code == 302
    mail.refresh_from_db()
    assert (mail.status, mail.settled_at) == ("dropped", NOON)
    assert ClientLink.objects.get(mail=mail).revoked_at == NOON
    told = quote.events.get(kind="mail dropped")
    assert told.by is not None
    again = browser.post(f"/api/v1/outbox/{mail.pk}/again", {}, content_type="application/json")
    assert (again.status_code, again.json()["code"]) == (409, "illegal_move")
    twice = browser.post(f"/outbox/{mail.pk}/drop", follow=True)
    assert "Only a mail that waits can be dropped" in twice.content.decode()


def test_a_mail_in_hand_is_not_dropped_meanwhile(browser: Browser, nobody: Settings, send: Send) -> None:
    mail = send()
    OutgoingMail.objects.filter(pk=mail.pk).update(claimed_at=NOON)
    answer = browser.post(f"/api/v1/outbox/{mail.pk}/drop", {}, content_type="application/json")
    assert answer.status_code == 409
    mail.refresh_from_db()
    assert mail.status == "waiting"


def test_words_of_a_server_are_shown_as_words(browser: Browser, mood: Mood, send: Send) -> None:
    mood.answers = {"RCPT": "550 <script>alert(1)</script>"}
    send()
    page = browser.get("/outbox/").content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_health_says_late_after_an_hour(nobody: Settings, send: Send, clock: Clock) -> None:
    send()
    assert Browser().get("/healthz").json() == {"status": "ok", "mail": "on time"}
    clock.now = NOON + timedelta(hours=1)
    answer = Browser().get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok", "mail": "late"})


def test_the_command_says_what_it_did(nobody: Settings, send: Send, clock: Clock) -> None:
    send()
    said = StringIO()
    call_command("send_mail", stdout=said)
    assert said.getvalue() == ""
    clock.now += timedelta(minutes=1)
    call_command("send_mail", stdout=said)
    assert said.getvalue() == "0 sent, 1 not taken\n"


@pytest.mark.parametrize("count", [1, 6])
def test_the_page_asks_as_often_whatever_waits(
    browser: Browser, nobody: Settings, send: Send, django_assert_max_num_queries: Any, count: int
) -> None:
    for _ in range(count):
        send()
    with django_assert_max_num_queries(6):
        assert browser.get("/outbox/").status_code == 200


def test_the_list_is_found_ordered_and_a_table(
    browser: Browser, nobody: Settings, send: Send, quote: Quote
) -> None:
    first = send()
    assert browser.post(f"/outbox/{first.pk}/drop").status_code == 302
    second = send()

    def shown(query: str) -> list[int]:
        return [mail.pk for mail in browser.get(f"/outbox/?{query}").context["page"]]

    assert shown("") == shown("sort=nonsense") == shown("sort=-state") == [second.pk, first.pk]
    assert shown("sort=state") == [first.pk, second.pk]
    assert shown("status=dropped") == [first.pk]
    assert shown("search=library") == shown(f"search={quote.number}") == [second.pk, first.pk]
    assert shown("search=nowhere") == []
    assert "No mail fits." in browser.get("/outbox/?search=nowhere").content.decode()
    page = browser.get("/outbox/?sort=state").content.decode()
    assert 'aria-sort="ascending"><a href="?sort=-state"' in page
    answer = browser.get("/outbox/list.csv?status=waiting")
    assert answer["Content-Type"].startswith("text/csv")
    head, row = list(csv.reader(StringIO(answer.content.decode("utf-8-sig"))))
    told = dict(zip(head, row, strict=True))
    assert (told["quote"], told["to"], told["state"]) == (quote.number, "library@example.org", "waiting")
    assert (told["written_at"], told["settled_at"]) == ("2026-03-02T12:00:00Z", "")
    assert "ConnectionRefused" in told["what_was_wrong"]
    assert "q/" not in answer.content.decode()
