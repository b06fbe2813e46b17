"""The client reads and answers a quote behind an address that nobody can guess."""

from __future__ import annotations

from datetime import timedelta
from html import unescape

import pytest
from django.test import Client as Browser
from django.utils import timezone

from catalog.services.terms import update_terms
from quoting.documents.client_quote import page
from quoting.models import Client, ClientLink, LinkAttempt, QuoteAnswer
from quoting.services.links import create_link, hashed, revoke_links
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote, revise_quote, withdraw_quote
from tests.clock import NOON, Clock
from tests.quoting.client.conftest import Sent
from tests.quoting.conftest import TODAY


def test_the_quote_is_there_with_drawing_options_and_paper(sent: Sent, philippa: Browser) -> None:
    page = philippa.get(sent.address)
    words = page.content.decode()
    assert page.status_code == 200
    assert "Tables for the reading room" in words and "Village library" in words
    assert "isometric view" in words and "Plan of" in words and "Section A–A" in words
    assert "Option A" in words and "Option B" in words
    paper = philippa.get(f"{sent.address}quote.pdf")
    assert paper.content == bytes(sent.issued.pdf)
    assert paper["Content-Type"] == "application/pdf"


def test_pieces_of_several_rates_are_summed_up_by_rate(
    sent: Sent, philippa: Browser, library: Client
) -> None:
    update_terms({"tax_rates": {"standard": "0.20", "reduced": "0.05"}, "tax_label": "VAT"})
    top = sent.quote.items.order_by("position")[:1].get().revision
    items = [ItemWanted(top, 1), ItemWanted(top, 1, tax_category="reduced")]
    issued = issue_quote(draft_quote(library, title="Two tops", quoted_on=TODAY, items=items), on=TODAY)
    _, token = create_link(issued.quote, now=NOON)
    words = unescape(philippa.get(f"/q/{token}/").content.decode())
    sums = page(issued.data)
    assert [tax["label"] for tax in sums["tax"]] == ["VAT 20%", "VAT 5%"]
    for tax in sums["tax"]:
        assert f'{tax["label"]} on {tax["base"]}</th><td class="figure">{tax["tax"]}</td>' in words


def test_nothing_is_kept_told_on_or_indexed(sent: Sent, philippa: Browser) -> None:
    for address in (sent.address, f"{sent.address}quote.pdf"):
        page = philippa.get(address)
        assert page["Referrer-Policy"] == "no-referrer"
        assert "noindex" in page["X-Robots-Tag"]
        assert "no-store" in page["Cache-Control"]
        assert not page.cookies


def test_a_mail_program_may_ask_for_the_heads_alone(sent: Sent, philippa: Browser) -> None:
    """RFC 9110, section 9.1: GET and HEAD are supported wherever something is read."""
    for at in (sent.address, f"{sent.address}quote.pdf"):
        heads = philippa.head(at)
        assert (heads.status_code, heads.content) == (200, b"")
    assert philippa.head("/calendar/nobodys.ics").status_code == 404


def test_the_token_is_long_random_and_kept_as_its_hash(sent: Sent) -> None:
    _, token = create_link(sent.quote, now=NOON)
    _, other = create_link(sent.quote, now=NOON)
    assert len(token) == len(other) == 43 and token != other
    kept = [str(value) for row in ClientLink.objects.values() for value in row.values()]
    assert hashed(token) in kept
    assert not any(token in value for value in kept)


@pytest.mark.parametrize(
    ("zone", "told"), [("UTC", "2 March 2026, 12:00 UTC"), ("America/Chicago", "2 March 2026, 06:00 CST")]
)
def test_an_answer_is_told_by_the_shops_clock_with_its_zone(
    sent: Sent, philippa: Browser, zone: str, told: str
) -> None:
    """The hour of Chicago once stood there as UTC."""
    with timezone.override(zone):
        assert philippa.post(sent.address, sent.accepting()).status_code == 302
        assert f"on {told}, option B." in philippa.get(sent.address).content.decode()


def test_accepting_takes_a_name_a_tick_an_option_and_the_hash_of_what_was_read(
    sent: Sent, philippa: Browser
) -> None:
    done = philippa.post(sent.address, sent.accepting())
    assert (done.status_code, done["Location"]) == (302, sent.address)
    answer = QuoteAnswer.objects.get()
    chosen = next(one for one in sent.issued.data["options"] if one["name"] == "B")
    assert (answer.name, answer.option, answer.kind, answer.by) == ("Philippa Quern", "B", "accepted", None)
    assert str(answer.gross) == f"{float(chosen['gross']):.4f}"
    assert answer.data_sha256 == sent.issued.data_sha256
    assert answer.at == NOON
    assert sent.quote.status == "accepted"
    words = philippa.get(sent.address).content.decode()
    assert "Accepted by Philippa Quern" in words and "Accept the quote" not in words


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": "  "}, "name"),
        ({"agree": ""}, "agree"),
        ({"option": ""}, "option"),
        ({"option": "C"}, "option"),
    ],
)
def test_what_is_missing_is_said_and_what_was_typed_is_kept(
    sent: Sent, philippa: Browser, changed: dict[str, str], field: str
) -> None:
    page = philippa.post(sent.address, sent.accepting(**changed))
    assert page.status_code == 422
    words = page.content.decode()
    assert f'href="#{field}"' in words and f'id="{field}"' in words
    assert not QuoteAnswer.objects.exists()


def test_another_document_than_was_read_is_not_accepted(sent: Sent, philippa: Browser) -> None:
    philippa.post(sent.address, sent.accepting(data_sha256="0" * 64))
    assert sent.quote.status == "issued"


def test_pressing_twice_and_two_browsers_accept_once(sent: Sent, philippa: Browser) -> None:
    for browser, name in ((philippa, "Philippa Quern"), (philippa, "Philippa Quern"), (Browser(), "Other")):
        assert browser.post(sent.address, sent.accepting(name=name)).status_code == 302
    assert QuoteAnswer.objects.get().name == "Philippa Quern"
    assert sent.quote.events.filter(kind="accepted").count() == 1
    philippa.post(sent.address, {"do": "decline", "name": "Philippa Quern"})
    assert sent.quote.status == "accepted"


def test_declining_and_asking(sent: Sent, philippa: Browser) -> None:
    asked = philippa.post(sent.address, {"do": "ask", "asker": "Philippa", "question": "Could it be green?"})
    assert "Your question has reached us" in philippa.get(asked["Location"]).content.decode()
    assert sent.quote.events.get(kind="asked").detail == "Philippa: Could it be green?"
    philippa.post(sent.address, {"do": "decline", "name": "Philippa Quern", "reason": "Too dear"})
    answer = QuoteAnswer.objects.get()
    assert (answer.kind, answer.note, sent.quote.status) == ("declined", "Too dear", "declined")


def test_questions_come_to_an_end(sent: Sent, philippa: Browser) -> None:
    for _ in range(20):
        philippa.post(sent.address, {"do": "ask", "question": "Really?"})
    assert philippa.post(sent.address, {"do": "ask", "question": "Really?"}).status_code == 422
    assert sent.quote.events.filter(kind="asked").count() == 20


def test_it_lapses_by_the_date_and_no_job_has_to_run(sent: Sent, philippa: Browser, clock: Clock) -> None:
    clock.now = NOON + timedelta(days=30)
    assert "Accept the quote" in philippa.get(sent.address).content.decode()
    clock.now = NOON + timedelta(days=31)
    words = philippa.get(sent.address).content.decode()
    assert "lapsed" in words and "Accept the quote" not in words
    philippa.post(sent.address, sent.accepting())
    assert sent.quote.status == "issued" and not QuoteAnswer.objects.exists()


def test_a_withdrawn_or_superseded_quote_says_so(sent: Sent, philippa: Browser) -> None:
    newer = issue_quote(revise_quote(sent.quote, on=TODAY), on=TODAY)
    assert "Another quote has taken the place" in philippa.get(sent.address).content.decode()
    _, token = create_link(newer.quote, now=NOON)
    withdraw_quote(newer.quote)
    assert "withdrawn this quote" in philippa.get(f"/q/{token}/").content.decode()
    philippa.post(f"/q/{token}/", sent.accepting(data_sha256=newer.data_sha256))
    assert not QuoteAnswer.objects.exists()


def test_the_address_expires_and_can_be_taken_back(sent: Sent, philippa: Browser, clock: Clock) -> None:
    link = ClientLink.objects.get()
    clock.now = link.expires_at
    assert philippa.get(sent.address).status_code == 404
    clock.now = NOON
    assert philippa.get(sent.address).status_code == 200
    assert revoke_links(sent.quote, now=NOON) == 1
    assert philippa.get(sent.address).status_code == 404
    assert philippa.get(f"{sent.address}quote.pdf").status_code == 404
    assert philippa.post(sent.address, sent.accepting()).status_code == 404
    assert not QuoteAnswer.objects.exists()


def test_guessing_is_slowed_down(sent: Sent, philippa: Browser, clock: Clock) -> None:
    for number in range(30):
        assert philippa.get(f"/q/{number:043d}/").status_code == 404
    refused = philippa.get(sent.address)
    assert (refused.status_code, refused["Retry-After"]) == (429, "900")
    assert Browser(REMOTE_ADDR="192.0.2.7").get(sent.address).status_code == 200
    clock.now = NOON + timedelta(minutes=16)
    assert philippa.get(sent.address).status_code == 200
    philippa.get("/q/nothing/")
    assert LinkAttempt.objects.count() == 1


@pytest.mark.parametrize("text", ["", "x" * 5000, "\x00", "%00", "<script>alert(1)</script>"])
def test_odd_bodies_are_no_failure(sent: Sent, philippa: Browser, text: str) -> None:
    for typed in (
        {"do": text},
        sent.accepting(name=text, agree=""),
        {"do": "ask", "question": text, "asker": text},
    ):
        page = philippa.post(sent.address, typed)
        assert page.status_code in {302, 422}
        assert "<script>alert" not in page.content.decode()
