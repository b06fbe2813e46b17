"""The three flows with no pointer, at a desk and on a phone: quote, work at the bench, order again."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.models import Material
from catalog.services.materials import set_price
from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, accept_quote, draft_quote, issue_quote
from shop.accounts.models import User
from shop.jobs.models import Draw, Job, Mishap, Progress, TimeEntry
from tests.browser.conftest import PASSWORD, Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")
MOST_STEPS = 200
MINUTES_MS = 600_000
FOCUS = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect(), style = getComputedStyle(one);
  const name = one.getAttribute('aria-label') || one.labels?.[0]?.innerText || one.innerText || '';
  return {
    called: name.replace(/\\s+/g, ' ').trim(),
    seen: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2
      && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""


def reach(page: Page, words: str) -> None:
    """Tab on until the focus stands on what is called so; there it can be seen."""
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        focus = page.evaluate(FOCUS)
        if focus["called"].startswith(words):
            assert focus["seen"], f"the focus on {words} is not seen"
            return
    raise AssertionError(f"the keyboard never reached {words}")


def press(page: Page, words: str) -> None:
    """Reach it, press it."""
    reach(page, words)
    page.keyboard.press("Enter")


def sign_in(visit: Visit, username: str) -> None:
    visit.go("/accounts/login/")
    reach(visit.page, "Username")
    visit.page.keyboard.type(username)
    visit.page.keyboard.press("Tab")
    visit.page.keyboard.type(PASSWORD)
    visit.page.keyboard.press("Enter")
    visit.page.wait_for_url(re.compile("/(pieces|bench)/"))


def quote_a_saved_piece(visit: Visit) -> None:
    page = visit.page
    sign_in(visit, "ottilie")
    press(page, "Skip to the content")
    expect(page.locator("main")).to_be_focused()
    press(page, "Corner hearth")
    page.wait_for_url(re.compile("/pieces/[0-9]+/"))
    press(page, "Quote it")
    page.wait_for_url(re.compile("/quotes/new"))
    reach(page, "Client")
    page.keyboard.type("Village")
    press(page, "Save and issue")
    page.wait_for_url(re.compile("/issue"))
    press(page, "Issue it")
    expect(page.locator(".status")).to_have_text("issued")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_a_quote(walk: Doing, size: str) -> None:
    walk(quote_a_saved_piece, size)
    assert Quote.objects.get().client.name == "Village library of Osmerley"


@pytest.fixture
def issued(workshop: None) -> Quote:
    """The hearth, out since today."""
    revision = PieceRevision.objects.get(piece__name="Corner hearth")
    draft = draft_quote(
        Client.objects.get(), title="Hearth", quoted_on=timezone.localdate(), items=(ItemWanted(revision),)
    )
    return issue_quote(draft, on=timezone.localdate()).quote


@pytest.fixture
def job(issued: Quote) -> Job:
    """The client accepts, the job opens."""
    accept_quote(issued, name="P. Quern", data_sha256=issued.issued.data_sha256, on=timezone.localdate())
    return Job.objects.get(quote=issued)


def work_at_the_bench(visit: Visit) -> None:
    page = visit.page
    running = page.locator("[data-running-text]")
    page.clock.install(time=timezone.now() - timedelta(hours=1))
    sign_in(visit, "bryony")
    press(page, "Hearth")
    page.wait_for_url(re.compile("/bench/J"))
    sent(page, "Start Cut the mould's parts", "/time/start")
    expect(running).to_contain_text("Running: Cut the mould's parts")
    page.clock.fast_forward(MINUTES_MS)
    sent(page, "Stop", "/time/stop")
    expect(running).to_contain_text("No timer")
    press(page, "Enter minutes")
    reach(page, "Minutes")
    page.keyboard.type("45")
    sent(page, "Enter", "/time")
    expect(page.locator("summary", has_text="Enter minutes")).to_be_focused()
    press(page, "Draw material")
    reach(page, "Quantity")
    page.keyboard.type("2")
    sent(page, "Book", "/draws")
    press(page, "Something went wrong")
    reach(page, "What happened")
    page.keyboard.type("Corner cracked")
    reach(page, "Repair")
    page.keyboard.press("Space")
    sent(page, "Note it", "/mishaps")
    sent(page, "Done Cut the mould's parts", "/progress")


def sent(page: Page, words: str, place: str) -> None:
    """Press it, and wait until the shop has it and the page has come again."""
    reach(page, words)
    with (
        page.expect_response(lambda one: one.url.endswith(place) and one.request.method == "POST"),
        page.expect_navigation(),
    ):
        page.keyboard.press("Enter")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_the_bench(walk: Doing, job: Job, size: str) -> None:
    walk(work_at_the_bench, size)
    assert [entry.seconds is not None for entry in TimeEntry.objects.filter(job=job)] == [True, True]
    assert Draw.objects.get(job=job).quantity == 2
    assert Mishap.objects.get(job=job).cause == "Corner cracked"
    assert Progress.objects.get(operation__code="CUT-MOULD").share == 1


def order_again(visit: Visit) -> None:
    page = visit.page
    sign_in(visit, "ottilie")
    press(page, "Quotes")
    page.wait_for_url(re.compile("/quotes/$"))
    press(page, "Hearth")
    page.wait_for_url(re.compile("/quotes/[0-9]+/"))
    press(page, "Quote again at today's prices")
    page.wait_for_url(re.compile("/bridge"))
    expect(page.get_by_role("heading", name="What made the difference")).to_be_visible()
    press(page, "On to the draft")
    page.wait_for_url(re.compile("/quotes/[0-9]+/$"))
    press(page, "Save and issue")
    page.wait_for_url(re.compile("/issue"))
    press(page, "Issue it")
    expect(page.locator(".status")).to_have_text("issued")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_an_order_again(walk: Doing, issued: Quote, size: str) -> None:
    bag = Material.objects.get(code="BAG-GREY")
    dearer = bag.prices.order_by("-valid_from")[0].price * 10
    today: date = timezone.localdate()
    set_price(bag.code, dearer, valid_from=today, today=today, who="test")
    walk(order_again, size)
    first, second = Quote.objects.order_by("pk")
    assert (first.pk, second.status) == (issued.pk, "issued")
    gross = [Decimal(one.issued.data["gross"]) for one in (first, second)]
    assert gross[1] > gross[0]
    assert User.objects.get(username="ottilie").pk == second.events.get(kind="issued").by_id
