"""Quotes by page: draft, totals, issue, paper, withdraw."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.test import Client as Browser
from django.utils import timezone

from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import LineWanted, draft_quote, issue_quote


@pytest.fixture
def filled(hearth: PieceRevision, library: Client) -> dict[str, str]:
    return {
        "client": str(library.pk),
        "title": "A hearth",
        "quoted_on": "2026-02-02",
        "valid_days": "30",
        "discount": "5",
        "note": "As talked over.",
        "items[0].revision": str(hearth.pk),
        "items[0].quantity": "2",
        "lines[0].text": "Survey on site",
        "lines[0].quantity": "1",
        "lines[0].unit_price": "120",
        "lines[0].tax_category": "standard",
    }


@pytest.fixture
def draft(owner: Browser, filled: dict[str, str]) -> Quote:
    owner.post("/quotes/new", filled | {"do": "save"})
    return Quote.objects.get()


def test_a_quote_starts_from_a_piece(owner: Browser, hearth: PieceRevision) -> None:
    page = owner.get(f"/quotes/new?piece={hearth.pk}").content.decode()
    assert f'value="{hearth.pk}" selected' in page
    assert 'value="Corner hearth"' in page
    assert "Margin at this price" in page


def test_a_draft_is_saved_as_typed(draft: Quote) -> None:
    item, line = draft.items.get(), draft.lines.get()
    assert (draft.title, str(draft.discount), item.quantity, line.text) == (
        "A hearth",
        "0.0500",
        2,
        "Survey on site",
    )


def test_totals_follow_the_form_without_saving(owner: Browser, filled: dict[str, str]) -> None:
    one = owner.post("/quotes/totals", filled | {"items[0].quantity": "1"}).content.decode()
    two = owner.post("/quotes/totals", filled).content.decode()
    assert "1 × Corner hearth" in one
    assert "2 × Corner hearth" in two
    assert "Survey on site" in two
    assert not Quote.objects.exists()


def test_a_new_client_is_made_with_the_quote(owner: Browser, filled: dict[str, str]) -> None:
    owner.post("/quotes/new", filled | {"client": "", "new_client": "Café Lantern", "do": "save"})
    assert Quote.objects.get().client.name == "Café Lantern"


def test_no_client_is_left_behind_by_a_refused_quote(owner: Browser, filled: dict[str, str]) -> None:
    sent = filled | {"client": "", "new_client": "Nobody", "title": "t" * 500, "do": "save"}
    assert owner.post("/quotes/new", sent).status_code == 422
    assert not Client.objects.filter(name="Nobody").exists()


def test_everything_wrong_is_told_and_kept(owner: Browser, filled: dict[str, str]) -> None:
    wrong = {
        "client": ("9" * 30, "Client"),
        "title": (" ", "Title"),
        "quoted_on": ("someday", "Prices of"),
        "valid_days": ("0", "Valid for, days"),
        "discount": ("much", "Discount, %"),
        "items[0].quantity": ("two", "Piece 1, how many"),
        "items[0].revision": ("999", "Piece 1, piece"),
        "lines[0].unit_price": ("NaN", "Line 1, each, without tax"),
        "lines[0].quantity": ("1e999", "Line 1, how many"),
        "lines[0].text": ("", "Line 1, words"),
    }
    typed = {path: text for path, (text, _) in wrong.items()}
    answer = owner.post("/quotes/new", filled | typed | {"do": "save"})
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    for _, label in wrong.values():
        assert f"<code>{label}</code>" in page, label
    for kept in ("someday", "much", "two", "As talked over."):
        assert kept in page
    assert not Quote.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("discount", "95"),
        ("discount", "-1"),
        ("discount", "0.00001"),
        ("lines[0].unit_price", "99999999999"),
        ("lines[0].tax_category", "luxury"),
        ("quoted_on", "0001-01-01"),
        ("quoted_on", "9999-12-31"),
        ("title", "\x00"),
        ("new_client", "x" * 300),
    ],
)
def test_what_only_the_services_refuse_is_told_too(
    owner: Browser, filled: dict[str, str], field: str, value: str
) -> None:
    answer = owner.post("/quotes/new", filled | {field: value, "do": "save"}, follow=True)
    assert answer.status_code in (200, 422)
    page = unescape(answer.content.decode())
    assert "<code>" in page or "No total yet" in page or Quote.objects.exists()


def test_rows_are_added_and_taken_out(owner: Browser, filled: dict[str, str]) -> None:
    page = owner.post("/quotes/new", filled | {"do": "add-line"}).content.decode()
    assert 'name="lines[1].text"' in page
    page = owner.post("/quotes/new", filled | {"do": "remove:items[0]"}).content.decode()
    assert 'name="items[0].revision"' not in page
    assert 'value="Survey on site"' in page


def test_issuing_asks_first_then_freezes(owner: Browser, draft: Quote) -> None:
    page = owner.get(f"/quotes/{draft.pk}/issue").content.decode()
    assert "can't be undone" in unescape(page)
    assert Quote.objects.get().status == "draft"
    page = owner.post(f"/quotes/{draft.pk}/issue", follow=True).content.decode()
    issued = Quote.objects.get()
    assert issued.status == "issued"
    for shown in (issued.number, issued.issued.pdf_sha256, "2 × Corner hearth", "Margin at this price"):
        assert str(shown) in page
    paper = owner.get(f"/quotes/{draft.pk}/paper.pdf")
    assert (paper["Content-Type"], paper.content) == ("application/pdf", bytes(issued.issued.pdf))


def test_a_draft_has_a_paper_marked_as_one(owner: Browser, draft: Quote) -> None:
    paper = owner.get(f"/quotes/{draft.pk}/paper.pdf")
    assert paper.content.startswith(b"%PDF-")
    assert "quote-draft.pdf" in paper["Content-Disposition"]
    assert Quote.objects.get().number is None


def test_an_issued_quote_is_withdrawn_after_asking(owner: Browser, draft: Quote) -> None:
    owner.post(f"/quotes/{draft.pk}/issue")
    assert "can no longer accept" in owner.get(f"/quotes/{draft.pk}/withdraw").content.decode()
    page = owner.post(f"/quotes/{draft.pk}/withdraw", {"reason": "measured again"}, follow=True)
    assert "measured again" in page.content.decode()
    assert Quote.objects.get().status == "withdrawn"


def test_moves_out_of_turn_are_told(owner: Browser, draft: Quote, filled: dict[str, str]) -> None:
    page = owner.post(f"/quotes/{draft.pk}/withdraw", follow=True).content.decode()
    assert "Only a quote that is out" in page
    owner.post(f"/quotes/{draft.pk}/issue")
    page = owner.post(f"/quotes/{draft.pk}/issue", follow=True).content.decode()
    assert "issued already" in page
    page = owner.post(f"/quotes/{draft.pk}/delete", follow=True).content.decode()
    assert "withdraw it instead" in page
    owner.post(f"/quotes/{draft.pk}/", filled | {"title": "Changed", "do": "save"})
    assert Quote.objects.get().title == "A hearth"


def test_a_quote_below_nought_cannot_go_out(owner: Browser, library: Client, filled: dict[str, str]) -> None:
    """A line may take something off, the whole may not owe the client money."""
    credit = {key: text for key, text in filled.items() if not key.startswith("items")}
    owner.post("/quotes/new", credit | {"do": "save", "lines[0].unit_price": "-10"})
    quote = Quote.objects.get()
    page = unescape(owner.post(f"/quotes/{quote.pk}/issue", follow=True).content.decode())
    assert "This quote comes to less than nothing" in page
    quote.refresh_from_db()
    assert (quote.status, quote.number) == ("draft", None)


def test_an_empty_quote_cannot_go_out(owner: Browser, library: Client, filled: dict[str, str]) -> None:
    sent = {key: value for key, value in filled.items() if "[" not in key}
    owner.post("/quotes/new", sent | {"do": "save"})
    page = owner.post(f"/quotes/{Quote.objects.get().pk}/issue", follow=True).content.decode()
    assert "nothing in this quote yet" in page


def test_a_draft_is_thrown_away_after_asking(owner: Browser, draft: Quote) -> None:
    assert "Throw the draft" in owner.get(f"/quotes/{draft.pk}/delete").content.decode()
    owner.post(f"/quotes/{draft.pk}/delete")
    assert not Quote.objects.exists()


def test_the_list_is_searched_and_filtered(owner: Browser, draft: Quote) -> None:
    assert "A hearth" in owner.get("/quotes/?search=library+hearth&status=draft").content.decode()
    assert "No quote fits" in owner.get("/quotes/?status=issued").content.decode()
    assert "No quote fits" in owner.get("/quotes/?search=chimney").content.decode()


def test_clients_are_listed_made_and_changed(owner: Browser, library: Client) -> None:
    assert library.name in owner.get("/clients/").content.decode()
    answer = owner.post("/clients/new", {"name": "", "email": "nonsense", "note": "keep me"})
    page = answer.content.decode()
    assert (answer.status_code, page.count('aria-invalid="true"')) == (422, 2)
    assert "keep me" in page
    owner.post(f"/clients/{library.pk}/", {"name": "Library of Osmerley"})
    assert Client.objects.get().name == "Library of Osmerley"


def test_the_list_shows_what_was_asked_and_goes_out_as_a_table(owner: Browser, draft: Quote) -> None:
    assert owner.get("/quotes/").context["rows"] == [(draft, "draft", "")]
    owner.post(f"/quotes/{draft.pk}/issue")
    gross = Quote.objects.get().issued.data["gross"]
    ((_, _, total),) = owner.get("/quotes/?sort=client").context["rows"]
    assert total.replace(",", "") == f"€{gross}"
    table = owner.get("/quotes/list.csv").content.decode("utf-8-sig").splitlines()
    assert table[0] == "number,title,client,state,issued_on,valid_until,currency,net,gross"
    assert table[1].endswith(f",EUR,{Quote.objects.get().issued.data['net']},{gross}")


def test_no_cell_of_the_table_is_a_formula(owner: Browser, filled: dict[str, str]) -> None:
    owner.post("/quotes/new", filled | {"title": "=1+1", "do": "save"})
    assert "'=1+1" in owner.get("/quotes/list.csv").content.decode()


def test_options_are_offered_and_one_is_accepted(owner: Browser, filled: dict[str, str]) -> None:
    row = {"items[1].revision": filled["items[0].revision"], "items[1].quantity": "1"}
    named = {"items[0].option": "A pair", "items[1].option": "Only one"}
    totals = owner.post("/quotes/totals", filled | row | named).content.decode()
    assert totals.count("with all that is common") == 2
    owner.post("/quotes/new", filled | row | named | {"do": "save"})
    quote = Quote.objects.get()
    assert 'value="Only one"' in owner.get(f"/quotes/{quote.pk}/").content.decode()
    owner.post(f"/quotes/{quote.pk}/issue")
    said = {"name": "Philippa Quern", "data_sha256": Quote.objects.get().issued.data_sha256, "do": "accept"}
    refused = owner.post(f"/quotes/{quote.pk}/answer", said | {"note": "by telephone"})
    page = unescape(refused.content.decode())
    assert refused.status_code == 422
    assert "Choose one of the options" in page
    assert "by telephone" in page
    assert Quote.objects.get().status == "issued"
    out = owner.get(f"/quotes/{quote.pk}/").content.decode()
    assert "<dt>Total, A pair</dt>" in out and "<dt>Total, Only one</dt>" in out
    assert re.search(r"2 × [^<]+, option A pair<", out) and re.search(r"1 × [^<]+, option Only one<", out)
    owner.post(f"/quotes/{quote.pk}/answer", said | {"option": "Only one"})
    page = owner.get(f"/quotes/{quote.pk}/").content.decode()
    assert "accepted" in page
    assert "<dt>Total, Only one</dt>" in page and "Total, A pair" not in page
    asked = {one["name"]: one for one in Quote.objects.get().issued.data["options"]}
    rows = owner.get("/quotes/list.csv").content.decode().splitlines()
    assert rows[1].endswith(f",{asked['Only one']['net']},{asked['Only one']['gross']}")
    assert asked["Only one"]["gross"] != asked["A pair"]["gross"]
    assert "Philippa Quern, option Only one" in page


def test_an_answer_needs_a_name_and_is_given_once(owner: Browser, draft: Quote) -> None:
    owner.post(f"/quotes/{draft.pk}/issue")
    answer = f"/quotes/{draft.pk}/answer"
    assert owner.post(answer, {"do": "decline", "name": " "}).status_code == 422
    owner.post(answer, {"do": "decline", "name": "Anselm Roke", "note": "too dear"})
    page = owner.get(f"/quotes/{draft.pk}/").content.decode()
    assert "too dear" in page
    assert answer not in page
    assert (
        "declined already" in owner.post(answer, {"do": "decline", "name": "x"}, follow=True).content.decode()
    )


def test_a_revision_takes_the_place_of_what_is_out(owner: Browser, draft: Quote) -> None:
    assert "changed as it is" in owner.post(f"/quotes/{draft.pk}/revise", follow=True).content.decode()
    owner.post(f"/quotes/{draft.pk}/issue")
    number = Quote.objects.get().number
    page = owner.post(f"/quotes/{draft.pk}/revise", follow=True).content.decode()
    assert f"in place of {number}" in page
    revision = Quote.objects.get(revises=draft.pk)
    owner.post(f"/quotes/{revision.pk}/issue")
    assert Quote.objects.get(pk=draft.pk).status == "superseded"
    assert "superseded" in owner.get(f"/quotes/{draft.pk}/").content.decode()


def test_what_is_typed_to_a_draft_that_was_issued_meanwhile_becomes_another(
    owner: Browser, draft: Quote, filled: dict[str, str]
) -> None:
    owner.post(f"/quotes/{draft.pk}/issue")
    late = filled | {"title": "A hearth and a bench", "do": "save"}
    answer = owner.post(f"/quotes/{draft.pk}/", late)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert 'value="A hearth and a bench"' in page
    assert 'action="/quotes/new"' in page
    owner.post("/quotes/new", late)
    assert list(Quote.objects.order_by("pk").values_list("title", "status")) == [
        ("A hearth", "issued"),
        ("A hearth and a bench", "draft"),
    ]


def test_a_quote_that_has_lapsed_is_listed_as_such(owner: Browser, library: Client) -> None:
    long_ago = timezone.localdate() - timedelta(days=90)
    lines = [LineWanted("Survey", Decimal(120))]
    issue_quote(
        draft_quote(library, title="Old one", quoted_on=long_ago, valid_days=30, lines=lines), on=long_ago
    )
    page = owner.get("/quotes/?status=lapsed").content.decode()
    assert "Old one" in page
    assert '<span class="status lapsed">lapsed</span>' in page
    assert "Old one" not in owner.get("/quotes/?status=issued").content.decode()
    assert ",lapsed," in owner.get("/quotes/list.csv").content.decode()
