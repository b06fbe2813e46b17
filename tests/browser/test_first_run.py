"""An empty shop's first hour in minutes: terms, a first catalogue, an example, an own piece quoted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from catalog import selectors
from quoting.models import Quote, SavedPiece
from shop.accounts.models import Role, User
from tests.browser.conftest import PASSWORD, Doing, Visit, emptied


@pytest.fixture
def empty_shop(live_server: Any) -> Iterator[None]:
    """An owner who has signed in to nothing yet."""
    User.objects.create_user("ottilie", PASSWORD, name="Ottilie Marram", role=Role.OWNER)
    yield
    emptied()


def push(visit: Visit, what: Locator) -> None:
    """Press a link or a button: with a finger on a phone, with the keyboard at a desk."""
    if visit.size == "phone":
        what.click()
        return
    what.focus()
    expect(what).to_be_focused()
    visit.page.keyboard.press("Enter")


def link(visit: Visit, words: str) -> None:
    push(visit, visit.page.get_by_role("link", name=words).first)


def button(visit: Visit, words: str) -> None:
    push(visit, visit.page.get_by_role("button", name=words))


def heading(visit: Visit, words: str) -> None:
    """Be on a page."""
    expect(visit.page.get_by_role("heading", level=1)).to_have_text(words)


def say_the_terms(visit: Visit) -> None:
    page = visit.page
    link(visit, "shop terms")
    heading(visit, "Shop terms")
    page.get_by_label("Name").fill("Weir Lane Castings")
    page.get_by_label("Currency").fill("GBP")
    page.get_by_label("Overhead per labour hour").fill("16.50")
    page.get_by_label("Tax rates").fill("standard 0.20")
    button(visit, "Save")
    expect(page.locator(".messages")).to_contain_text("The terms are changed.")
    expect(page.get_by_label("Currency")).to_have_value("GBP")
    visit.checked("first-terms")


def take_in_a_catalogue(visit: Visit) -> None:
    page = visit.page
    link(visit, "Pieces")
    link(visit, "first catalogue")
    heading(visit, "A first catalogue")
    visit.checked("first-catalogue")
    page.get_by_label("Metric packs").check()
    button(visit, "Take it in")
    expect(page.get_by_role("alert")).to_contain_text("EUR")
    page.get_by_label("Take the amounts as GBP").check()
    page.get_by_label("Metric packs").check()
    button(visit, "Take it in")
    expect(page.locator(".messages")).to_contain_text("rows are in")
    expect(page.get_by_role("table")).to_contain_text("BOARD")


def look_at_the_example(visit: Visit) -> None:
    page = visit.page
    link(visit, "Pieces")
    heading(visit, "Pieces")
    link(visit, "Draw a new piece")
    heading(visit, "A new piece")
    link(visit, "Reading-room table")
    expect(page.locator("#preview svg.setting-out")).to_be_visible()
    expect(page.locator("dt", has_text="Price of one").locator("+ dd")).to_contain_text("£")
    button(visit, "Save the piece")
    heading(visit, "Reading-room table")
    page.locator("#what-if").scroll_into_view_if_needed()
    expect(page.locator("#what-if table")).to_contain_text("10 mm thicker")
    page.get_by_label("Another thickness").fill("45")
    page.get_by_label("Another thickness").press("Tab")
    expect(page.locator("#what-if table")).to_contain_text("Thickness 45")
    visit.checked("first-example")


def draw_an_own_piece(visit: Visit) -> None:
    page = visit.page
    link(visit, "Pieces")
    heading(visit, "Pieces")
    link(visit, "Draw a new piece")
    heading(visit, "A new piece")
    page.get_by_label("Name").fill("Window seat")
    page.get_by_label("Length or diameter").fill("1300")
    page.get_by_label("Width").fill("420")
    page.get_by_label("Thickness").fill("50")
    button(visit, "Draw it")
    expect(page.locator("#preview")).to_contain_text("Weight of one")
    button(visit, "Add reinforcement")
    expect(page.get_by_label("Mesh")).not_to_have_value("")
    expect(page.get_by_label("Mesh")).to_be_focused()
    button(visit, "Save the piece")
    heading(visit, "Window seat")


def quote_it(visit: Visit) -> None:
    page = visit.page
    link(visit, "Quote it")
    heading(visit, "New quote")
    page.get_by_label("or somebody new, by name").fill("Guesthouse at the weir")
    button(visit, "Save and issue")
    button(visit, "Issue it")
    expect(page.locator(".status")).to_have_text("issued", timeout=30_000)  # the papers are printed first
    expect(page.get_by_role("link", name=re.compile("The paper"))).to_be_visible()
    visit.checked("first-quote")


def first_run(visit: Visit) -> None:
    visit.sign_in()
    expect(visit.page.get_by_text("No piece is saved yet")).to_be_visible()
    visit.checked("first-page")
    for step in (say_the_terms, take_in_a_catalogue, look_at_the_example, draw_an_own_piece, quote_it):
        step(visit)


@pytest.mark.parametrize("size", ["phone", "desk"])
@pytest.mark.usefixtures("empty_shop")
def test_a_newcomer_goes_from_an_empty_shop_to_a_quote(walk: Doing, size: str) -> None:
    walk(first_run, size)
    terms = selectors.shop_terms()
    assert (terms.name, terms.currency) == ("Weir Lane Castings", "GBP")
    assert set(SavedPiece.objects.values_list("name", flat=True)) == {"Reading-room table", "Window seat"}
    assert Quote.objects.get().status == "issued"
