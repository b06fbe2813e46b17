"""The tax category of a piece on the quote form: chosen, kept, told where it is wrong, compared."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.contrib.messages import get_messages
from django.test import Client as Browser

from catalog.services.terms import update_terms
from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, change_draft, draft_quote, issue_quote
from quoting.web.forms_quote import typed_from, typed_of
from tests.quoting.conftest import TODAY

RATES = {"exempt": "0", "reduced": "0.05", "standard": "0.20"}


@pytest.fixture
def filled(hearth: PieceRevision, library: Client) -> dict[str, str]:
    update_terms({"tax_rates": RATES})
    return {
        "client": str(library.pk),
        "title": "A hearth",
        "quoted_on": TODAY.isoformat(),
        "valid_days": "30",
        "discount": "0",
        "items[0].revision": str(hearth.pk),
        "items[0].quantity": "1",
        "items[0].tax_category": "reduced",
    }


def select(page: str, name: str) -> tuple[str, list[str], list[str]]:
    """The opening tag of a select, its choices, and which of them is chosen."""
    (tag, inside), *rest = re.findall(rf'(<select[^>]* name="{re.escape(name)}"[^>]*>)(.*?)</select>', page)
    assert not rest
    options = re.findall(r"<option( selected)?>(.*?)</option>", inside)
    return tag, [words for _, words in options], [words for chosen, words in options if chosen]


def test_a_piece_is_put_in_a_category_and_shown_in_it(owner: Browser, filled: dict[str, str]) -> None:
    totals = owner.post("/quotes/totals", filled).content.decode()
    assert "Tax, reduced 5% on" in totals
    assert "Tax, standard" not in totals
    assert owner.post("/quotes/new", filled | {"do": "save"}).status_code == 302
    draft = Quote.objects.get()
    assert draft.items.get().tax_category == "reduced"
    page = owner.get(f"/quotes/{draft.pk}/").content.decode()
    _, choices, chosen = select(page, "items[0].tax_category")
    assert (choices, chosen) == (sorted(RATES), ["reduced"])
    assert '<label for="q-items-0-tax_category">Tax</label>' in page


def test_a_new_piece_is_in_the_standard_one(owner: Browser, filled: dict[str, str]) -> None:
    page = owner.post("/quotes/new", filled | {"do": "add-item"}).content.decode()
    assert select(page, "items[0].tax_category")[2] == ["reduced"]
    assert select(page, "items[1].tax_category")[2] == ["standard"]
    started = owner.get(f"/quotes/new?piece={filled['items[0].revision']}").content.decode()
    assert select(started, "items[0].tax_category")[2] == ["standard"]


def test_a_form_that_names_none_means_the_standard_one(owner: Browser, filled: dict[str, str]) -> None:
    """A page opened before there was a choice, or a script."""
    silent = {name: text for name, text in filled.items() if "tax" not in name}
    owner.post("/quotes/new", silent | {"do": "save"})
    draft = Quote.objects.get()
    assert draft.items.get().tax_category == "standard"
    assert typed_from(silent).items == typed_of(draft).items


def test_a_category_without_a_rate_is_told_at_its_piece(owner: Browser, filled: dict[str, str]) -> None:
    answer = owner.post("/quotes/new", filled | {"items[0].tax_category": "luxury", "do": "save"})
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    assert "No tax rate 'luxury'; the shop has exempt, reduced, standard." in page
    tag, _, chosen = select(page, "items[0].tax_category")
    assert 'aria-invalid="true"' in tag and 'aria-describedby="q-items-0-fault"' in tag
    assert chosen == ["luxury"], "what was typed comes back"


def test_a_category_given_up_stays_chosen_until_somebody_chooses(
    owner: Browser, filled: dict[str, str]
) -> None:
    owner.post("/quotes/new", filled | {"do": "save"})
    update_terms({"tax_rates": {"exempt": "0", "standard": "0.20"}})
    page = unescape(owner.get(f"/quotes/{Quote.objects.get().pk}/").content.decode())
    assert select(page, "items[0].tax_category")[1:] == (["exempt", "reduced", "standard"], ["reduced"])
    assert "Piece 1, tax: no tax rate 'reduced'; the shop has exempt, standard" in page


def test_anothers_change_of_it_is_told(owner: Browser, filled: dict[str, str]) -> None:
    owner.post("/quotes/new", filled | {"do": "save"})
    draft = Quote.objects.get()
    change_draft(draft, items=[ItemWanted(draft.items.get().revision, 1, tax_category="exempt")])
    answer = owner.post(f"/quotes/{draft.pk}/", filled | {"upon": "1", "do": "save"})
    assert answer.status_code == 409
    assert "piece 1: tax “exempt” → “reduced”" in answer.content.decode()


@pytest.mark.parametrize("move", ["revise", "again"])
def test_an_old_quote_in_a_category_given_up_is_refused_in_words(
    owner: Browser, hearth: PieceRevision, library: Client, move: str
) -> None:
    update_terms({"tax_rates": RATES})
    items = [ItemWanted(hearth, 1, tax_category="reduced")]
    out = issue_quote(draft_quote(library, title="Hearth", quoted_on=TODAY, items=items), on=TODAY).quote
    update_terms({"tax_rates": {"standard": "0.20"}})
    answer = owner.post(f"/quotes/{out.pk}/{move}")
    assert answer.status_code == 302
    told = [str(message) for message in get_messages(answer.wsgi_request)]
    assert told == ["No tax rate 'reduced'; the shop has standard."]
    assert Quote.objects.count() == 1
