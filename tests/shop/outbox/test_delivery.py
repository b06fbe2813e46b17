"""The mail server is there, away, slow, says no, hangs up: a mail is sent once or waits; none is lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.conf import settings as site
from django.core.management import call_command
from django.test import Client as Browser
from pytest_django import Settings

from quoting.models import ClientLink, OutgoingMail, Quote
from quoting.services.issuing import withdraw_quote
from quoting.services.links import revoke_links
from quoting.services.outbox import GIVE_UP_AFTER, LEASE, deliver, deliver_due, wait_after
from tests.clock import NOON, Clock
from tests.shop.outbox.conftest import use_port
from tests.shop.outbox.smtp import Mood, mail_server

Send = Callable[[], OutgoingMail]


def kinds(quote: Quote) -> list[str]:
    return list(quote.events.values_list("kind", flat=True))


def address_in(text: str) -> str:
    found = re.search(r"https://shop\.example(/q/[^/]+/)", text)
    assert found
    return found[1]


def test_a_server_that_works_gets_it_at_once(quote: Quote, mood: Mood, send: Send) -> None:
    mail = send()
    (taken,) = mood.mails
    assert (mail.status, mail.tries, mail.last_error) == ("sent", 1, "")
    assert taken["Message-ID"] == mail.message_id
    assert taken["Date"] == "Mon, 02 Mar 2026 12:00:00 +0000"
    assert mood.receivers == ["rcpt TO:<library@example.org>"]
    body = taken.get_body(("plain",))
    assert body is not None
    assert Browser().get(address_in(body.get_content())).status_code == 200
    assert kinds(quote)[-2:] == ["mail written", "sent"]
    deliver_due(NOON + timedelta(days=2))
    assert len(mood.mails) == 1


def test_nothing_secret_waits_in_the_database(nobody: Settings, send: Send, mood: Mood) -> None:
    use_port(nobody, 9)
    mail = send()
    with mail_server(mood) as port:
        use_port(nobody, port)
        call_command("send_mail", verbosity=0)
        mail.next_try_at = NOON
        mail.save()
        assert deliver(mail.pk, NOON) is None
    body = mood.mails[0].get_body(("plain",))
    assert body is not None
    token = address_in(body.get_content()).split("/")[2]
    assert len(token) == 43
    kept = [OutgoingMail.objects.values(), ClientLink.objects.values(), mail.link.quote.events.values()]
    assert token not in str([list(rows) for rows in kept])
    assert mail.page == "https://shop.example/q/{token}/"


def test_away_then_back_it_goes_by_itself_and_once(
    quote: Quote, nobody: Settings, send: Send, clock: Clock
) -> None:
    mail = send()
    assert (mail.status, mail.tries) == ("waiting", 1)
    assert "ConnectionRefusedError" in mail.last_error
    assert mail.next_try_at == NOON + timedelta(minutes=1)
    assert kinds(quote)[-1] == "mail written"
    waits = []
    for _ in range(4):
        mail.refresh_from_db()
        assert mail.next_try_at is not None
        waits.append((mail.next_try_at - clock.now) / timedelta(minutes=1))
        clock.now = mail.next_try_at
        assert deliver_due(clock.now - timedelta(seconds=1)) == (0, 0)
        assert deliver_due(clock.now) == (0, 1)
    assert waits == [1, 2, 4, 8]
    told = Mood()
    with mail_server(told) as port:
        use_port(nobody, port)
        clock.now += wait_after(5)
        call_command("send_mail", verbosity=0)
        call_command("send_mail", verbosity=0)
    mail.refresh_from_db()
    assert (mail.status, len(told.mails), mail.tries) == ("sent", 1, 6)
    assert kinds(quote).count("sent") == 1


def test_the_next_sending_takes_along_what_waits(nobody: Settings, send: Send, clock: Clock) -> None:
    first = send()
    told = Mood()
    with mail_server(told) as port:
        use_port(nobody, port)
        clock.now += timedelta(minutes=2)
        second = send()
    first.refresh_from_db()
    assert (first.status, second.status) == ("sent", "sent")
    assert {mail["Message-ID"] for mail in told.mails} == {first.message_id, second.message_id}


def test_a_server_that_says_nothing_holds_nobody_up(mood: Mood, settings: Settings, send: Send) -> None:
    mood.silent, settings.EMAIL_TIMEOUT = True, 0.2
    mail = send()
    assert mail.status == "waiting"
    assert "TimeoutError" in mail.last_error or "timed out" in mail.last_error


@pytest.mark.parametrize(
    ("answers", "again"),
    [
        ({"RCPT": "450 mailbox busy"}, True),
        ({"RCPT": "550 no such mailbox"}, False),
        ({"MAIL": "451 try later"}, True),
        ({"MAIL": "553 not with that sender"}, False),
        ({"TAKEN": "452 no room"}, True),
        ({"TAKEN": "552 too long"}, False),
    ],
)
def test_what_the_server_says_is_kept_and_a_final_no_is_not_asked_twice(
    mood: Mood, send: Send, answers: dict[str, str], again: bool
) -> None:
    mood.answers = answers
    mail = send()
    assert (mail.status, mail.next_try_at is not None) == ("waiting", again)
    said = next(iter(answers.values()))
    assert said in mail.last_error
    assert mood.mails == []


def test_a_server_gone_before_its_yes_gets_the_same_mail_again(mood: Mood, send: Send, clock: Clock) -> None:
    """Whether it took the mail cannot be known; the receiver sees by the Message-ID that it is one."""
    mood.hangs_up_after_data = True
    mail = send()
    assert (mail.status, len(mood.mails)) == ("waiting", 1)
    mood.hangs_up_after_data = False
    clock.now += timedelta(minutes=1)
    assert deliver_due(clock.now) == (1, 0)
    one, two = mood.mails
    assert (one["Message-ID"], one["Date"]) == (two["Message-ID"], two["Date"])
    texts = [body.get_content() for taken in (one, two) if (body := taken.get_body(("plain",)))]
    assert texts[0] == texts[1]
    assert Browser().get(address_in(texts[0])).status_code == 200


def test_what_another_process_has_in_hand_is_left_to_it(mood: Mood, send: Send, clock: Clock) -> None:
    mood.answers = {"MAIL": "451 later"}
    mail = send()
    mood.answers = {}
    OutgoingMail.objects.filter(pk=mail.pk).update(claimed_at=NOON, next_try_at=NOON)
    clock.now = NOON + LEASE - timedelta(seconds=1)
    deliver_due(clock.now)
    assert mood.mails == []
    clock.now += timedelta(seconds=1)  # it has died: its claim is over
    deliver_due(clock.now)
    mail.refresh_from_db()
    assert (len(mood.mails), mail.status) == (1, "sent")


def test_a_clock_set_back_leaves_no_mail_behind(mood: Mood, send: Send, clock: Clock) -> None:
    mood.answers = {"MAIL": "451 later"}
    mail = send()
    mood.answers = {}
    ahead = NOON + timedelta(days=3)
    OutgoingMail.objects.filter(pk=mail.pk).update(claimed_at=ahead, next_try_at=NOON)
    deliver_due(NOON)
    assert len(mood.mails) == 1


def test_after_days_it_waits_for_a_person(nobody: Settings, send: Send, clock: Clock) -> None:
    mail = send()
    clock.now = NOON + GIVE_UP_AFTER + timedelta(minutes=1)
    assert deliver_due(clock.now) == (0, 1)
    mail.refresh_from_db()
    assert (mail.status, mail.next_try_at) == ("waiting", None)
    assert deliver_due(clock.now + timedelta(days=9)) == (0, 0)


@pytest.mark.parametrize("what", ["withdrawn", "revoked"])
def test_what_no_longer_holds_is_not_sent_late(
    quote: Quote, nobody: Settings, send: Send, clock: Clock, what: str
) -> None:
    mail = send()
    if what == "withdrawn":
        withdraw_quote(quote)
    else:
        revoke_links(quote, now=NOON)
    told = Mood()
    with mail_server(told) as port:
        use_port(nobody, port)
        clock.now += timedelta(minutes=5)
        deliver_due(clock.now)
    mail.refresh_from_db()
    assert (told.mails, mail.status) == ([], "dropped")
    assert kinds(quote)[-1] == "mail dropped"


def test_another_secret_key_sends_no_address_that_does_not_work(
    nobody: Settings, send: Send, clock: Clock
) -> None:
    mail = send()
    told = Mood()
    with mail_server(told) as port:
        use_port(nobody, port)
        nobody.SECRET_KEY = "another key of fifty characters, which signs nothing of old"
        clock.now += timedelta(minutes=5)
        deliver_due(clock.now)
    mail.refresh_from_db()
    assert told.mails == []
    assert "secret key" in mail.last_error
    assert (mail.status, mail.next_try_at) == ("waiting", None)


def test_a_round_ends_where_nobody_listens(nobody: Settings, send: Send, clock: Clock) -> None:
    send(), send(), send()
    clock.now += timedelta(hours=1)
    assert deliver_due(clock.now) == (0, 1)


def test_the_lease_outlasts_a_sending() -> None:
    assert timedelta(seconds=12 * site.EMAIL_TIMEOUT) < LEASE
