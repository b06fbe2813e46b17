"""What takes long says so, and a form is sent once however often its button is pressed."""

from __future__ import annotations

from functools import partial
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, draft_quote
from tests.browser.conftest import Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")
PRESS_THRICE = """() => new Promise((done) => {
  const said = document.getElementById("waiting"), button = document.querySelector("main form button");
  new MutationObserver(() => done([said.textContent, button.form.getAttribute("aria-busy")]))
    .observe(said, {childList: true});
  button.click(); button.click(); button.click();
})"""


def _hold(held: list[Any], route: Any) -> None:
    held.append(route)


def test_issuing_says_that_it_works_and_happens_once(walk: Doing) -> None:
    revision = PieceRevision.objects.get(piece__name="Corner hearth")
    today = timezone.localdate()
    draft = draft_quote(
        Client.objects.get(), title="Hearth", quoted_on=today, items=(ItemWanted(revision),), valid_days=20
    )

    def steps(visit: Visit) -> None:
        page, held = visit.page, list[Any]()
        visit.sign_in()
        visit.go(f"/quotes/{draft.pk}/issue")
        expect(page.locator("#waiting")).to_be_empty()
        page.route("**/issue", partial(_hold, held))
        assert page.evaluate(PRESS_THRICE) == ["Working …", "true"]
        assert len(held) == 1
        held[0].continue_()
        expect(page.locator(".status")).to_have_text("issued")
        expect(page.locator("#waiting")).to_be_empty()
        page.unroute_all()
        page.go_back()
        expect(page.locator("form[aria-busy]")).to_have_count(0)

    walk(steps)
    assert Quote.objects.get().events.filter(kind="issued").count() == 1
