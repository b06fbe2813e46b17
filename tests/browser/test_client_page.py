"""The client's page as a client walks it: on a phone and at a desk, by pointer and by keyboard alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from quoting.models import Client, PieceRevision, Quote, QuoteAnswer
from quoting.services.links import create_link, revoke_links
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.accounts.models import User
from tests.browser.conftest import Doing, Visit, session_of

SIZES = pytest.mark.parametrize("size", ["phone", "desk"])


@dataclass(frozen=True)
class Out:
    """A quote that is out with two options, and addresses of its page."""

    quote: Quote
    page: str
    other: str
    expired: str


@pytest.fixture
def out(workshop: None) -> Out:
    hearth = PieceRevision.objects.get(piece__name="Corner hearth")
    items = [ItemWanted(hearth, 1, "One hearth"), ItemWanted(hearth, 2, "A pair")]
    draft = draft_quote(
        Client.objects.get(), title="Hearths for the snug", quoted_on=date(2026, 2, 2), items=items
    )
    quote = issue_quote(draft, on=timezone.localdate()).quote
    now = timezone.now()
    first, second = (create_link(quote, now=now)[1] for _ in range(2))
    _, over = create_link(quote, now=now - timedelta(days=9), expires_at=now - timedelta(days=1))
    return Out(quote, *(f"/q/{token}/" for token in (first, second, over)))


def _answer() -> tuple[str, str, str]:
    answer = QuoteAnswer.objects.get()
    return answer.kind, answer.name, answer.option


@SIZES
def test_read_asked_about_and_accepted(walk: Doing, out: Out, size: str) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        visit.go(out.page)
        visit.checked("client-quote")
        assert page.locator("script").count() == 0, "the page needs no script"
        page.get_by_text("Drawing with all dimensions").first.click()
        expect(page.locator("details[open] svg").first).to_be_visible()
        drawn = page.locator("details[open] svg").first.bounding_box()
        assert drawn is not None and drawn["width"] > 500, "lettering of a sheet can be read on a phone"
        visit.checked("client-drawing")
        paper = page.context.request.get(f"{visit.address}{out.page}quote.pdf")
        assert paper.body().startswith(b"%PDF-")
        page.get_by_label("Your question").fill("May it be a little darker?")
        page.get_by_role("button", name="Send the question").click()
        expect(page.get_by_text("Your question has reached us")).to_be_visible()
        page.get_by_role("radio", name=re.compile("^A pair")).check()
        page.locator("#name").fill("   ")
        page.get_by_role("checkbox", name=re.compile("^I accept quote")).check()
        page.get_by_role("button", name="Accept the quote").click()
        expect(page.get_by_role("alert")).to_contain_text("Type your name to accept")
        expect(page.get_by_role("radio", name=re.compile("^A pair"))).to_be_checked()
        visit.checked("client-fault")
        page.locator("#name").fill("Philippa Quern")
        page.get_by_role("checkbox", name=re.compile("^I accept quote")).check()
        page.get_by_role("button", name="Accept the quote").dblclick()
        expect(page.get_by_text("Accepted by Philippa Quern")).to_be_visible()
        expect(page.get_by_role("button", name="Accept the quote")).to_have_count(0)
        visit.checked("client-accepted")

    walk(steps, size)
    assert _answer() == ("accepted", "Philippa Quern", "A pair")
    assert out.quote.events.filter(kind="accepted").count() == 1
    assert out.quote.events.get(kind="asked").detail == "May it be a little darker?"


def _reach(page: Page) -> Callable[[str], None]:
    """Tab on until the focus stands on what is called so."""

    def reach(words: str) -> None:
        for _ in range(60):
            page.keyboard.press("Tab")
            called = page.evaluate(
                "(e => (e.labels?.[0]?.innerText || e.getAttribute('aria-label') || e.innerText).trim())"
                "(document.activeElement)"
            )
            if called.startswith(words):
                return
        raise AssertionError(f"the keyboard never reached {words}")

    return reach


@SIZES
def test_accepted_by_keyboard_alone(walk: Doing, out: Out, size: str) -> None:
    def steps(visit: Visit) -> None:
        page, press, reach = visit.page, visit.page.keyboard.press, _reach(visit.page)
        visit.go(out.page)
        press("Tab")
        press("Enter")
        expect(page.locator("main")).to_be_focused()
        reach("Drawing with all dimensions")
        press("Enter")
        expect(page.locator("details[open] svg").first).to_be_visible()
        reach("One hearth")
        press("Space")
        reach("Your name")
        page.keyboard.type("Anselm Roke")
        reach("I accept quote")
        press("Space")
        reach("Accept the quote")
        press("Enter")
        expect(page.get_by_text("Accepted by Anselm Roke")).to_be_visible()

    walk(steps, size)
    assert _answer() == ("accepted", "Anselm Roke", "One hearth")


def test_two_windows_accept_and_the_first_one_counts(walk: Doing, out: Out) -> None:
    def steps(visit: Visit) -> None:
        windows = [visit.page, visit.page.context.new_page()]
        for page, path, name in zip(windows, (out.page, out.other), ("Philippa", "Anselm"), strict=True):
            page.goto(visit.address + path)
            page.get_by_role("radio", name=re.compile("^One hearth")).check()
            page.locator("#name").fill(name)
            page.get_by_role("checkbox", name=re.compile("^I accept quote")).check()
        for page in windows:
            page.get_by_role("button", name="Accept the quote").click()
            expect(page.get_by_text("Accepted by Philippa")).to_be_visible()

    walk(steps)
    assert _answer() == ("accepted", "Philippa", "One hearth")


def test_declined_on_a_phone(walk: Doing, out: Out) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        visit.go(out.page)
        page.get_by_text("Decline", exact=True).click()
        visit.checked("client-decline")
        page.locator("#decliner").fill("Philippa Quern")
        page.get_by_label("Reason, if you like to tell").fill("The stove goes.")
        page.get_by_role("button", name="Decline the quote").click()
        expect(page.get_by_text("Declined by Philippa Quern")).to_be_visible()
        visit.checked("client-declined")

    walk(steps, "phone", "dark")
    assert _answer() == ("declined", "Philippa Quern", "")


@SIZES
def test_the_maker_hands_a_link_on(walk: Doing, out: Out, size: str) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        visit.go(f"/quotes/{out.quote.pk}/")
        page.get_by_role("button", name="Make a link to hand on").click()
        address = page.get_by_label("Address of the client's page").input_value()
        page.get_by_role("button", name="Copy the address").click()
        expect(page.locator(".new-address [role=status]")).to_have_text(re.compile("Copied|Selected"))
        visit.checked("quote-link")
        page.goto(address)
        expect(page.get_by_role("heading", level=1)).to_have_text("Hearths for the snug")
        visit.go(f"/quotes/{out.quote.pk}/send")
        visit.checked("quote-send")
        visit.go("/calendar/")
        page.get_by_role("button", name="Make an address").click()
        expect(page.get_by_label("Address of your calendar")).to_have_value(
            re.compile(r"/calendar/.{43}\.ics")
        )
        visit.checked("calendar-address")

    walk(steps, size, session=session_of(User.objects.get(username="ottilie")))


@SIZES
def test_what_no_longer_opens_says_so_and_nothing_else(walk: Doing, out: Out, size: str) -> None:
    revoke_links(out.quote, now=timezone.now())

    def steps(visit: Visit) -> None:
        title = visit.page.get_by_role("heading", level=1)
        for path, name in ((out.expired, "expired"), (out.page, "revoked")):
            visit.go(path)
            expect(title).to_have_text("There is nothing at this address")
            assert "Hearths" not in visit.page.content()
            visit.checked(f"client-{name}")
        # the browser logs the answer 404 itself as an error of the console
        visit.faults = [fault for fault in visit.faults if "status of 404" not in fault]

    walk(steps, size)
    assert not QuoteAnswer.objects.exists()
