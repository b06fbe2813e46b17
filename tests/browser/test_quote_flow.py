"""From a specification to a client's paper, at a desk and on a phone, as a maker would walk it."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from quoting.models import Quote
from quoting.web.examples import examples
from tests.browser.conftest import Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")


def quote_a_pasted_piece(visit: Visit) -> None:
    page = visit.page
    visit.go("/accounts/login/")
    visit.checked("sign-in")
    visit.sign_in()
    visit.checked("pieces")
    page.get_by_role("link", name="Draw a new piece").click()
    visit.checked("new-piece")
    page.get_by_label("Paste it").fill(json.dumps(examples()["feature-opening"]))
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#preview svg.setting-out")).to_be_visible()
    expect(page.locator("#preview")).to_contain_text("Weight of one")
    visit.checked("board")
    page.get_by_role("button", name="Save the piece").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(examples()["feature-opening"]["name"])
    visit.checked("piece")
    page.get_by_role("link", name="Quote it").click()
    visit.checked("new-quote")
    page.get_by_label("or somebody new, by name").fill("Café Lantern")
    page.get_by_role("button", name="Save and issue").click()
    expect(page.get_by_text("This can't be undone")).to_be_visible()
    visit.checked("issue")
    page.get_by_role("button", name="Issue it").click()
    expect(page.locator(".status")).to_have_text("issued")
    visit.checked("issued")
    paper = page.context.request.get(
        visit.address + str(page.get_by_role("link", name="The paper").get_attribute("href"))
    )
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.body().startswith(b"%PDF-")
    visit.go("/quotes/")
    expect(page.get_by_role("cell", name=re.compile("^Q[0-9]{2}-0001$"))).to_be_visible()
    visit.checked("quotes")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_quote_a_pasted_piece(walk: Doing, size: str) -> None:
    walk(quote_a_pasted_piece, size)
    quote = Quote.objects.get()
    assert (quote.client.name, quote.status) == ("Café Lantern", "issued")
