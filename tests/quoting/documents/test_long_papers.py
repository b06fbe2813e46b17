"""Long texts, many pieces, other locales: every sheet headed and numbered, nothing cut off."""

from __future__ import annotations

from decimal import Decimal

import pytest

from catalog.services.terms import update_terms
from quoting.documents.client_quote import page, quote_pdf, sized
from quoting.models import QuoteLine
from tests.quoting.documents.conditions import opened
from tests.quoting.documents.papers import said
from tests.quoting.documents.words import words

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_many_lines_repeat_the_heads_of_the_table(starter: None, paper: str) -> None:
    lines = [QuoteLine(position=at, text=f"Item {at}", unit_price=Decimal(10)) for at in range(1, 91)]
    pdf = opened(quote_pdf(said(lines=lines, paper=paper)))
    text = words(pdf)
    assert len(pdf.pages) >= 4
    assert text.count("Quantity") >= 3
    assert "Item 1\n" in text and "Item 90" in text
    assert f"Sheet {len(pdf.pages)} of {len(pdf.pages)}" in text
    width, height = (float(side) for side in list(pdf.pages[0].mediabox)[2:])
    assert (round(width), round(height)) == ((595, 842) if paper == "A4" else (612, 792))


def test_long_words_and_texts_stay_on_the_sheet(starter: None) -> None:
    title = "Tisch" * 38
    text = words(opened(quote_pdf(said(title=title, note="A long note. " * 300, terms=["x" * 900]))))
    assert text.replace("\n", "").count("Tisch") >= 38
    assert text.count("note.") == 300
    assert text.replace("\n", "").count("x") >= 900


@pytest.mark.parametrize(("paper", "room"), [("A4", 253.0), ("Letter", 235.0)])
@pytest.mark.parametrize("heights", [(124.0, 139.0), (160.0, 150.0), (481.0, 65.0), (1922.0, 65.0)])
def test_no_drawing_is_taller_than_a_sheet(paper: str, room: float, heights: tuple[float, ...]) -> None:
    """The plan of a piece of sixty features once ran off the foot of the client's sheet."""
    made = sized([{"width_mm": 180.0, "height_mm": height} for height in heights], paper)
    printed = [one["printed_mm"] / one["width_mm"] * one["height_mm"] for one in made]
    assert max(printed) <= room + 1.0
    assert all(one["printed_mm"] >= 0.7 * 180 - 0.1 for one in made if one["height_mm"] < 200)


@pytest.mark.parametrize(
    ("locale", "currency", "amount", "day"),
    [
        ("en_GB", "GBP", "£120.00", "2 March 2026"),
        ("en_US", "USD", "$120.00", "March 2, 2026"),
        ("de_DE", "EUR", "120,00\u00a0€", "2. März 2026"),
    ],
)
def test_money_and_dates_by_locale(starter: None, locale: str, currency: str, amount: str, day: str) -> None:
    lines = [QuoteLine(position=1, text="Survey", unit_price=Decimal(120))]
    text = words(opened(quote_pdf(said(lines=lines, locale=locale, currency=currency))))
    assert "".join(amount.split()) in "".join(text.split()) and day in text


def test_pieces_of_several_rates_are_summed_up_by_rate(starter: None) -> None:
    """What is printed adds up: each rate on its base, pieces and lines of one category in one sum."""
    update_terms({"tax_rates": {"standard": "0.20", "reduced": "0.05", "exempt": "0"}, "tax_label": "VAT"})
    lines = [QuoteLine(position=1, text="Survey", unit_price=Decimal("120.10"), tax_category="reduced")]
    data = said("hearth", "bench", "round-table-top", taxed=("standard", "reduced", "exempt"), lines=lines)
    hearth, bench, top = (Decimal(item["net"]) for item in data["items"])
    assert [(tax["category"], Decimal(tax["base"])) for tax in data["tax"]] == [
        ("standard", hearth),
        ("reduced", bench + Decimal("120.10")),
        ("exempt", top),
    ]
    due = sum(Decimal(tax["tax"]) for tax in data["tax"])
    assert Decimal(data["gross"]) == hearth + bench + top + Decimal("120.10") + due
    printed = "".join(words(opened(quote_pdf(data))).split())
    for tax in page(data)["tax"]:
        assert "".join(f"{tax['label']} on {tax['base']}{tax['tax']}".split()) in printed
    assert [tax["label"] for tax in page(data)["tax"]] == ["VAT 20%", "VAT 5%", "VAT 0%"]
