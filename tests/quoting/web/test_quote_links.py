"""The page of an issued quote: links to the client, e-mail, papers, the job, ordering again."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.core import mail
from django.test import Client as Browser
from django.utils import timezone

from quoting.models import Client, ClientLink, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, LineWanted, draft_quote, issue_quote

ADDRESS = re.compile(r'value="(http://testserver(/q/[\w-]{43}/))" readonly')


@pytest.fixture
def out(hearth: PieceRevision, library: Client) -> Quote:
    """A quote of a hearth that went out today."""
    today = timezone.localdate()
    draft = draft_quote(
        library,
        title="A hearth",
        quoted_on=date(2026, 2, 2),
        items=[ItemWanted(hearth)],
        lines=[LineWanted("Survey", Decimal(120))],
    )
    return issue_quote(draft, on=today).quote


def _page(browser: Browser, quote: Quote) -> str:
    return unescape(browser.get(f"/quotes/{quote.pk}/").content.decode())


def test_a_link_is_made_shown_once_and_taken_back(owner: Browser, out: Quote) -> None:
    page = _page(owner, out)
    assert "No link has been made yet" in page and "Take the links back" not in page
    made = owner.post(f"/quotes/{out.pk}/link")
    found = ADDRESS.search(made.content.decode())
    assert found is not None and "no-store" in made["Cache-Control"]
    assert Browser().get(found[2]).status_code == 200
    page = _page(owner, out)
    assert found[2] not in page and not ADDRESS.search(page)
    assert f"{ClientLink.objects.get().expires_at:%Y-%m-%d}" in page and "the-owner" in page
    page = unescape(owner.post(f"/quotes/{out.pk}/link/revoke", follow=True).content.decode())
    assert "Taken back: 1" in page and "taken back 2" in page and "Take the links back" not in page
    assert Browser().get(found[2]).status_code == 404


def test_it_is_sent_by_mail_and_faults_are_told(
    owner: Browser, out: Quote, django_capture_on_commit_callbacks: object
) -> None:
    page = owner.get(f"/quotes/{out.pk}/send").content.decode()
    assert 'value="library@example.org"' in page
    wrong = owner.post(f"/quotes/{out.pk}/send", {"to": "nobody", "message": "Here it is."})
    assert wrong.status_code == 422
    assert "Give the e-mail address" in wrong.content.decode() and "Here it is." in wrong.content.decode()
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        owner.post(f"/quotes/{out.pk}/send", {"to": "philippa@example.org", "message": "Here it is."})
    assert [one.to for one in mail.outbox] == [["philippa@example.org"]]
    assert "philippa@example.org" in _page(owner, out)


def test_a_draft_has_no_link_and_what_is_over_is_not_sent(
    owner: Browser, out: Quote, library: Client
) -> None:
    draft = draft_quote(library, title="Survey", quoted_on=date(2026, 2, 2))
    for tail in ("link", "again"):
        answer = owner.post(f"/quotes/{draft.pk}/{tail}", follow=True)
        assert answer.redirect_chain[-1][0] == f"/quotes/{draft.pk}/", tail
        assert 'class="error"' in answer.content.decode(), tail
    owner.post(f"/quotes/{out.pk}/withdraw")
    for quote in (draft, out):
        refused = owner.post(f"/quotes/{quote.pk}/send", {"to": "a@example.org", "message": "Here it is."})
        page = refused.content.decode()
        assert (refused.status_code, "Only a quote that is out" in page, "Here it is." in page) == (
            422,
            True,
            True,
        )
    assert owner.get(f"/quotes/{out.pk}/send").status_code == 302
    assert "Send it by e-mail" not in _page(owner, out)
    assert not ClientLink.objects.exists()


def test_papers_and_the_job_are_a_press_away(owner: Browser, bench: Browser, out: Quote) -> None:
    page = _page(owner, out)
    for paper in ("traveller", "buying-list"):
        assert f"/quotes/{out.pk}/{paper}.pdf" in page
    assert "opens when the client accepts" in page
    said = {"do": "accept", "name": "Philippa Quern", "data_sha256": out.issued.data_sha256}
    owner.post(f"/quotes/{out.pk}/answer", said)
    number = Quote.objects.get(pk=out.pk).job.number
    page = _page(owner, out)
    assert f'href="/jobs/{number}/"' in page
    assert "accepted by the-owner: Philippa Quern" in page
    for tail in ("link", "link/revoke", "send", "again"):
        assert bench.post(f"/quotes/{out.pk}/{tail}").status_code == 403, tail


def test_ordered_again_it_is_a_priced_draft_with_its_bridge(owner: Browser, out: Quote) -> None:
    page = owner.post(f"/quotes/{out.pk}/again", follow=True)
    draft = Quote.objects.get(status="draft")
    assert page.redirect_chain == [(f"/quotes/{out.pk}/bridge?against={draft.pk}", 302)]
    words = unescape(page.content.decode())
    assert f"A new draft of what {out.number} offered" in words and "In the draft, prices of" in words
    assert f'href="/quotes/{draft.pk}/"' in words
    assert draft.items.get().quantity == 1 and draft.lines.get().text == "Survey"
    assert "ordered again by the-owner" in _page(owner, draft)
    for against, status in (("999999", 404), ("nonsense", 200), (str(out.pk), 302)):
        assert owner.get(f"/quotes/{out.pk}/bridge?against={against}").status_code == status


def test_a_person_makes_replaces_and_revokes_the_address_of_the_calendar(bench: Browser) -> None:
    address = re.compile(r'value="http://testserver(/calendar/[\w-]{43}\.ics)" readonly')
    assert "no address yet" in bench.get("/calendar/").content.decode()
    made = bench.post("/calendar/new")
    first = address.search(made.content.decode())
    assert first is not None and "no-store" in made["Cache-Control"]
    assert Browser().get(first[1]).status_code == 200
    page = bench.get("/calendar/").content.decode()
    assert first[1] not in page and "a new one takes its place" in page
    second = address.search(bench.post("/calendar/new").content.decode())
    assert second is not None
    assert [Browser().get(one[1]).status_code for one in (first, second)] == [404, 200]
    assert "taken back" in bench.post("/calendar/revoke", follow=True).content.decode()
    assert Browser().get(second[1]).status_code == 404
