"""The page of what to buy, its paper and its table; the same over the API."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from django.test import Client as Browser
from django.utils import timezone

from catalog.models import Material
from catalog.services.shelf import put_on_shelf
from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, accept_quote, draft_quote, issue_quote
from tests.quoting.documents.conditions import CONDITIONS, opened
from tests.quoting.documents.words import words


@pytest.fixture
def quotes(hearth: PieceRevision, library: Client) -> list[Quote]:
    """One accepted, one that is a draft."""
    today = timezone.localdate()
    made = [
        draft_quote(library, title=title, quoted_on=today, items=[ItemWanted(hearth, 1)])
        for title in ("For the snug", "For the hall")
    ]
    issued = issue_quote(made[0], on=today)
    accept_quote(issued.quote, name="A. Reader", data_sha256=issued.data_sha256, on=today)
    return made


def asked(quotes: list[Quote], **more: str) -> str:
    return urlencode({"asked": "1", "quote": [quote.pk for quote in quotes], **more}, doseq=True)


def test_at_first_what_is_being_made_is_ticked(owner: Browser, quotes: list[Quote]) -> None:
    page = owner.get("/quotes/to-buy").content.decode()
    assert f'value="{quotes[0].pk}" checked' in page
    assert f'value="{quotes[1].pk}" checked' not in page
    assert "7 × bag" in page
    assert f"asked=1&amp;shelf=1&amp;quote={quotes[0].pk}" in page


def test_more_quotes_and_the_shelf(owner: Browser, quotes: list[Quote]) -> None:
    put_on_shelf({"material": "BAG-GREY", "content": 50})
    both = owner.get(f"/quotes/to-buy?{asked(quotes)}").content.decode()
    assert "14 × bag" in both or "13 × bag" in both
    less = owner.get(f"/quotes/to-buy?{asked(quotes, shelf='1')}").content.decode()
    assert "− 50 kg on hand" in less
    assert "− 50 kg on hand" not in both
    assert "Boards, cut together" in both
    assert "B M1" in both


def test_nothing_ticked(owner: Browser, quotes: list[Quote]) -> None:
    assert "Nothing to buy" in owner.get("/quotes/to-buy?asked=1").content.decode()


def test_the_paper_and_the_table(owner: Browser, quotes: list[Quote]) -> None:
    paper = owner.get(f"/quotes/to-buy.pdf?{asked(quotes)}")
    assert paper["Content-Type"] == "application/pdf"
    written = opened(paper.content)
    assert [fault for condition in CONDITIONS.values() for fault in condition(written)] == []
    said = words(written)
    for text in ("To order, for all together", "For the hall", "Grey casting mix", "Boards, cut together"):
        assert text in said
    table = owner.get(f"/quotes/to-buy.csv?{asked(quotes)}").content.decode()
    assert "BAG-GREY" in table


def test_what_cannot_be_worked_out_is_said_and_the_ticks_stay(owner: Browser, quotes: list[Quote]) -> None:
    Material.objects.filter(code="BAR-8").update(retired_from=timezone.localdate())
    answer = owner.get(f"/quotes/to-buy?{asked(quotes)}")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "For the hall, Corner hearth: " in page
    assert page.count(" checked") == 2
    led = owner.get(f"/quotes/to-buy.pdf?{asked(quotes)}")
    assert (led.status_code, led["Location"]) == (302, f"/quotes/to-buy?{asked(quotes)}")


def test_by_api(owner: Browser, quotes: list[Quote]) -> None:
    put_on_shelf({"material": "BAG-GREY", "content": 50})
    address = "/api/v1/buying-list?" + urlencode({"quote": [quote.pk for quote in quotes]}, doseq=True)
    said = owner.get(address).json()
    (bags,) = [row for order in said["orders"] for row in order["lines"] if row["code"] == "BAG-GREY"]
    assert bags["on_hand"] == 50
    without = owner.get(f"{address}&shelf=false").json()
    (all_bags,) = [row for order in without["orders"] for row in order["lines"] if row["code"] == "BAG-GREY"]
    assert all_bags["packs"] == bags["packs"] + 2
    assert {sheet["code"] for layout in said["layouts"] for sheet in layout["sheets"]}
    refused = owner.get(f"{address}&quote=987654")
    assert (refused.status_code, refused.json()["errors"][0]["path"]) == (422, "quote[2]")
    assert owner.get("/api/v1/buying-list").status_code == 400
