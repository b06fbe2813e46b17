"""A newcomer's first own piece: terms looked at, a slab drawn, a new client, the paper in hand."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from quoting.models import Quote
from tests.browser.conftest import Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")


def first_piece(visit: Visit) -> None:
    page = visit.page
    visit.sign_in()
    page.get_by_role("link", name="Prices").click()
    page.get_by_role("link", name="Shop terms").click()
    page.get_by_role("link", name="Pieces").click()
    page.get_by_role("link", name="Draw a new piece").click()
    page.get_by_label("Name").fill("Window seat")
    page.get_by_label("Length or diameter").fill("1300")
    page.get_by_label("Width").fill("420")
    page.get_by_label("Thickness").fill("50")
    page.get_by_role("button", name="Draw it").click()
    page.get_by_role("button", name="Add reinforcement").click()
    expect(page.get_by_label("Mesh")).not_to_have_value("")
    page.get_by_role("button", name="Save the piece").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Window seat")
    page.get_by_role("link", name="The price by the number").click()
    visit.checked("outlook")
    page.go_back()
    page.get_by_role("link", name="Quote it").click()
    page.get_by_label("or somebody new, by name").fill("Guesthouse at the weir")
    page.get_by_label("How many").fill("2")
    expect(page.locator("#totals")).to_contain_text("2 × Window seat")
    page.get_by_role("button", name="Save and issue").click()
    page.get_by_role("button", name="Issue it").click()
    expect(page.get_by_role("link", name=re.compile("The paper"))).to_be_visible()


def test_a_newcomer_quotes_a_first_own_piece(walk: Doing) -> None:
    walk(first_piece, "phone")
    assert Quote.objects.get().items.get().quantity == 2
