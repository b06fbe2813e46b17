"""The shop's logo at the head of every paper, with words for it, and frozen with what was issued."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser
from pikepdf import Pdf, Stream

from catalog import selectors as catalogue
from catalog.services.terms import remove_logo, set_logo
from quoting.documents.render import pdf
from quoting.errors import DocumentRefused
from quoting.models import Client, IssuedQuote, Quote
from quoting.services.links import create_link
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from quoting.services.shop_papers import buying_paper, traveller
from tests.catalog.pictures.samples import jpeg, png
from tests.clock import NOON
from tests.quoting.conftest import TODAY, specification
from tests.quoting.documents.conditions import CONDITIONS, elements, kind, opened

WORDS = "A table on two legs"
PAPERS: dict[str, Callable[[Quote], bytes]] = {
    "quote": lambda quote: bytes(quote.issued.pdf),
    "traveller": lambda quote: traveller(quote, pour=TODAY, address="https://shop.example/q"),
    "buying list": lambda quote: buying_paper(quote, pour=TODAY),
}


def issued(client: Client) -> IssuedQuote:
    items = [ItemWanted(save_piece(specification("hearth")), 1)]
    return issue_quote(draft_quote(client, title="A hearth", quoted_on=TODAY, items=items), on=TODAY)


def said_of_figures(paper: Pdf) -> list[str]:
    return [str(one.get("/Alt", "")) for one in elements(paper) if kind(one) == "Figure"]


SENT = {"png": png((240, 80)), "clear": png((240, 80), mode="RGBA"), "jpeg": jpeg((240, 80))}


@pytest.mark.parametrize(
    ("paper", "content"), [(paper, "clear") for paper in PAPERS] + [("quote", "png"), ("quote", "jpeg")]
)
def test_on_every_paper_with_words(starter: None, library: Client, paper: str, content: str) -> None:
    set_logo(SENT[content], WORDS)
    quote = Quote.objects.get(pk=issued(library).quote_id)
    made = opened(PAPERS[paper](quote))
    assert any(WORDS in said for said in said_of_figures(made))
    assert any(one.get("/Width") == 240 for one in made.objects if isinstance(one, Stream))
    assert {name: found for name, check in CONDITIONS.items() if (found := check(made))} == {}


def test_no_logo_no_picture(starter: None, library: Client) -> None:
    made = opened(bytes(issued(library).pdf))
    assert not any(WORDS in said for said in said_of_figures(made))
    assert "logo" not in issued(library).data["shop"]


def test_what_was_issued_keeps_its_logo(starter: None, library: Client) -> None:
    set_logo(png(), WORDS)
    before = issued(library)
    named = before.data["shop"]["logo"]
    set_logo(jpeg((100, 100)), "Another")
    remove_logo()
    after = IssuedQuote.objects.get(pk=before.pk)
    assert (bytes(after.pdf), after.data["shop"]["logo"]) == (bytes(before.pdf), named)
    travels = opened(
        traveller(Quote.objects.get(pk=before.quote_id), pour=TODAY, address="https://shop.example")
    )
    assert any(WORDS in said for said in said_of_figures(travels))


def test_on_the_clients_page(starter: None, library: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    set_logo(png(), WORDS)
    sent = issued(library)
    address = f"/q/{create_link(sent.quote, now=NOON)[1]}/"
    set_logo(jpeg(), "Another")
    stranger = Browser()
    assert f'src="logo" alt="{WORDS}"' in stranger.get(address).content.decode()
    shown = stranger.get(f"{address}logo")
    kept = catalogue.logo_named(sent.data["shop"]["logo"]["sha256"], "")
    assert kept is not None
    assert (shown["Content-Type"], shown.content) == ("image/png", kept.content)
    assert (shown["X-Content-Type-Options"], shown["Referrer-Policy"]) == ("nosniff", "no-referrer")
    assert stranger.get("/q/guess/logo").status_code == 404


def test_a_page_without_a_logo(starter: None, library: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    address = f"/q/{create_link(issued(library).quote, now=NOON)[1]}/"
    assert b"<img" not in Browser().get(address).content
    assert Browser().get(f"{address}logo").status_code == 404


@pytest.mark.parametrize("address", ["picture:logo", "picture:other", "picture:../logo"])
def test_only_what_was_given_is_fetched(monkeypatch: pytest.MonkeyPatch, address: str) -> None:
    def words(*_: Any) -> str:
        return f"<html lang=en><title>t</title><h1>h</h1><img src='{address}' alt='x'>"

    monkeypatch.setattr("quoting.documents.render.render_to_string", words)
    with pytest.raises(DocumentRefused, match="may not fetch"):
        pdf("any.html", {}, paper="A4")
