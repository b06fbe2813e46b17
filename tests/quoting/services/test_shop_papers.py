"""Traveller and buying list of an issued quote say what was frozen with it, whatever became of the prices."""

from __future__ import annotations

import json
import re
from datetime import date
from decimal import Decimal
from typing import Any, NoReturn

import pytest
from pikepdf import Pdf

from catalog.models import Material, MaterialPrice, OperationStandard
from catalog.services.terms import update_terms
from quoting.documents.client_quote import ROOM_MM
from quoting.documents.workshop import _batch
from quoting.models import Client, IssuedQuote, Quote
from quoting.selectors.estimates import estimate_document
from quoting.services import shop_papers
from quoting.services.pieces import revise_piece, save_piece
from quoting.services.quotes import ItemWanted, accept_quote, draft_quote, issue_quote
from quoting.services.shop_papers import buying_paper, shop_side, traveller
from tests.quoting.conftest import TODAY, specification
from tests.quoting.documents.conditions import opened
from tests.quoting.documents.words import words

POUR = date(2026, 3, 16)


@pytest.fixture
def draft(starter: None, library: Client) -> Quote:
    """Four tables, or six."""
    top = save_piece(specification("round-table-top"))
    items = [ItemWanted(top, 4, "Four"), ItemWanted(top, 6, "Six")]
    return draft_quote(library, title="Round tables", quoted_on=TODAY, items=items)


def _papers(quote: Quote) -> tuple[bytes, bytes]:
    fresh = Quote.objects.get(pk=quote.pk)
    return traveller(fresh, pour=POUR, address="https://shop.example/"), buying_paper(fresh, pour=POUR)


def _next_year() -> None:
    """Everything the papers were made from changes."""
    MaterialPrice.objects.update(price=Decimal("999.99"))
    Material.objects.update(name="Another name", supplier="Another supplier", lead_days=99)
    OperationStandard.objects.update(setup_hours=Decimal(77), crew=3)
    update_terms(
        {"name": "Another workshop", "working_days": [0], "unit_system": "us", "paper_size": "Letter"}
    )


@pytest.mark.parametrize(("system", "kg"), [("metric", 1.0), ("us", 0.45359237)])
def test_a_batch_is_told_as_fine_as_it_is_weighed(starter: None, system: str, kg: float) -> None:
    """A reducer of 16 g once read 0.0 kg, a pigment of 0.901 lb read 0.9 lb."""
    update_terms({"unit_system": system})
    tile = {"format": 1, "name": "Tile", "unit": "mm", "mix": "MIX-WHITE", "thickness": 38}
    shape = {"shape": "rectangle", "length": 305, "width": 305}
    (batch,) = estimate_document(tile | {"outline": shape}, on=TODAY).batches
    weights = [float(part["mass"].split()[0]) * kg for part in _batch(batch, 1, system)["parts"]]
    assert weights == pytest.approx([part.kg for part in batch.parts], abs=0.5e-4)
    assert min(weights) > 0


def test_one_person_and_one_day_are_told_as_one(starter: None, library: Client) -> None:
    """What one can carry was once said to take "1 people", its lifts to be at an age of "1 days"."""
    update_terms({"strip_mpa": 0.5, "strip_h": 1, "turn_mpa": 1})
    shape = {"shape": "rectangle", "length": 300, "width": 120}
    shelf = save_piece({"format": 1, "name": "Shelf", "unit": "mm", "thickness": 20, "outline": shape})
    (piece,) = shop_side(
        draft_quote(library, title="Shelf", quoted_on=TODAY, items=[ItemWanted(shelf, 1)])
    ).pieces
    assert piece["people"] == "1 person"
    assert piece["lifts"][0]["age"] == "1 day"


def test_after_the_issue_the_catalogue_may_change_and_the_papers_do_not(draft: Quote) -> None:
    piece = draft.items.order_by("position")[0].revision.piece
    issue_quote(draft, on=TODAY)
    before = _papers(draft)
    _next_year()
    revise_piece(piece, specification("round-table-top") | {"thickness": "3 in"})
    assert _papers(draft) == before


def test_nothing_is_reckoned_again(draft: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
    """With another program, nothing but what was frozen is read."""
    issue_quote(draft, on=TODAY)
    before = _papers(draft)

    def reckoned(*args: Any, **kwargs: Any) -> NoReturn:
        raise AssertionError("an issued quote is not reckoned again")

    for name in ("price_quote", "price_book", "shop_terms", "names_of", "workshop_data"):
        monkeypatch.setattr(shop_papers, name, reckoned)
    assert _papers(draft) == before


def test_a_draft_follows_the_catalogue(draft: Quote) -> None:
    before = shop_side(draft).orders
    MaterialPrice.objects.update(price=Decimal("999.99"))
    assert shop_side(draft).orders != before


def test_after_the_answer_they_are_of_the_option_chosen(draft: Quote) -> None:
    issued = issue_quote(draft, on=TODAY)
    warned = "the client has taken none yet"
    assert warned in words(opened(buying_paper(issued.quote, pour=POUR)))
    choices = shop_side(issued.quote).workshop["orders"]
    both = choices[""]
    assert [one["quantity"] for one in shop_side(issued.quote).pieces] == [4, 6]
    accept_quote(issued.quote, name="Ada", data_sha256=issued.data_sha256, on=TODAY, option="Six")
    side = shop_side(Quote.objects.get(pk=draft.pk))
    assert [one["quantity"] for one in side.pieces] == [6]
    assert side.orders == choices["Six"]
    assert not side.undecided
    assert choices["Four"] != choices["Six"] != both
    text = words(opened(_papers(draft)[0]))
    assert "6 × Round table top" in text and "4 × Round table top" not in text


def test_what_is_kept_is_what_was_reckoned_at_issue(draft: Quote) -> None:
    """Amounts of the buying list are those of the estimate that the price was made of."""
    reckoned = shop_side(draft)
    issue_quote(draft, on=TODAY)
    issued = IssuedQuote.objects.get()
    assert json.loads(json.dumps(reckoned.workshop)) == issued.workshop
    packs = {
        line["code"]: (line["packs"], Decimal(line["cost"]))
        for order in issued.workshop["orders"]["Six"]
        for line in order["lines"]
    }
    estimate = issued.basis["items"][1]["estimate"]
    assert packs == {line["code"]: (line["packs"], Decimal(line["cost"])) for line in estimate["materials"]}


def test_the_pieces_of_the_traveller_carry_no_money(draft: Quote) -> None:
    kept = json.dumps(shop_side(issue_quote(draft, on=TODAY).quote).pieces)
    assert not re.search(r'"(cost|price|rate|amount|cost_by_use)"|[€£$]', kept)


def test_every_cutting_diagram_fits_on_a_sheet_of_paper(starter: None, library: Client) -> None:
    """Many castings take many boards: each of the different ones has a diagram of its own."""
    counter = save_piece(specification("cafe-counter"))
    quote = draft_quote(library, title="Counters", quoted_on=TODAY, items=[ItemWanted(counter, 12)])
    (piece,) = shop_side(quote).pieces
    boards = [cut for cut in piece["cuts"] if cut["title"].startswith("Sheets of Melamine")]
    assert len(boards) >= 2
    assert boards[0]["title"].endswith(f", 1 of {len(boards)}")
    room = ROOM_MM["Letter"] - 12.0  # for the title above
    assert max(cut["height_mm"] for cut in piece["cuts"]) <= room < sum(cut["height_mm"] for cut in boards)


def test_a_part_names_the_sheet_that_it_is_cut_from(starter: None, library: Client) -> None:
    """The parts ask for any size of their board; what is bought is the size that costs least."""
    hearth = save_piece(specification("cafe-counter"))
    quote = draft_quote(library, title="Counter", quoted_on=TODAY, items=[ItemWanted(hearth, 1)])
    (piece,) = shop_side(quote).pieces
    lines = {line["code"] for order in shop_side(quote).orders for line in order["lines"]}
    names = {material.code: material.name for material in Material.objects.filter(kind="board")}
    asked = {part["material"] for part in piece["parts"]} & set(names.values())
    assert asked
    assert asked <= {names[code] for code in lines if code in names}


def test_the_traveller_draws_how_lengths_are_cut(starter: None, library: Client) -> None:
    """Tube of sleeves and the former of a groove, beside the sheets; each on the printed paper too."""
    counter = save_piece(specification("cafe-counter"))
    quote = draft_quote(library, title="Counters", quoted_on=TODAY, items=[ItemWanted(counter, 1)])
    (piece,) = shop_side(quote).pieces
    lengths = [cut["title"] for cut in piece["cuts"] if cut["title"].startswith("Lengths of ")]
    mould = estimate_document(specification("cafe-counter"), on=TODAY).mould
    assert len(lengths) == len(mould.bars) == 2
    printed = words(opened(_papers(quote)[0]))
    assert all(title in printed for title in lengths)


def test_each_part_names_its_own_sheet_where_two_sizes_are_bought(starter: None, library: Client) -> None:
    """Every part once named both, though a base of 1700 mm can come from one of them only."""
    shape = {"shape": "ell", "length": 2600, "width": 1700, "corner_radius": 40}
    shape |= {"notch": "back-left", "notch_length": 1900, "notch_width": 1000}
    ell = {"format": 1, "name": "Ell", "unit": "mm", "thickness": 50, "outline": shape}
    ell["drop_edge"] = {"depth": 100, "thickness": 40}
    quote = draft_quote(library, title="L", quoted_on=TODAY, items=[ItemWanted(save_piece(ell), 1)])
    (piece,) = shop_side(quote).pieces
    boards = {part["mark"]: part["material"] for part in piece["parts"] if part["material"][:8] == "Melamine"}
    assert boards["M1"] == "Melamine-faced board 18 mm, 2800 × 2070"
    assert set(boards.values()) == {boards["M1"], "Melamine-faced board 18 mm, 2440 × 1220"}
    assert piece["mould"]["svg"].count("2440 × 1220") < len(boards)


def test_the_mould_stands_below_its_heading(starter: None, library: Client) -> None:
    """The drawing of a mould of many parts once left its heading alone on a sheet."""
    update_terms({"paper_size": "Letter"})
    counter = save_piece(specification("cafe-counter"))
    quote = draft_quote(library, title="Counter", quoted_on=TODAY, items=[ItemWanted(counter, 1)])
    (sheet,) = [text for text in _sheets(traveller(quote, pour=POUR, address="x")) if "\nMould\n" in text]
    assert "M21" in "".join(sheet.split())


def test_the_traveller_says_how_the_steel_is_cut(starter: None, library: Client) -> None:
    """The mats and bars to crop once stood on no paper at all."""
    counter = save_piece(specification("cafe-counter"))
    quote = draft_quote(library, title="Counters", quoted_on=TODAY, items=[ItemWanted(counter, 2)])
    (sheet,) = [text for text in _sheets(traveller(quote, pour=POUR, address="x")) if "Batch sheet" in text]
    said = " ".join(sheet.split())
    assert "Steel, for all 2" in said
    assert "Welded mesh 50 mm, wire 2 mm: 4 mats of 2368 mm × 784 mm, lapping 100 mm" in said
    assert "Ribbed bar 8 mm: 2 × 2953 mm (drop edge, 1 bend, 0 laps a row)" in said
    plain = save_piece(specification("shape-rectangle"))
    quote = draft_quote(library, title="Slab", quoted_on=TODAY, items=[ItemWanted(plain, 1)])
    assert "Steel" not in words(opened(traveller(quote, pour=POUR, address="x")))


def _sheets(paper: bytes) -> list[str]:
    """What is lettered on each sheet."""
    found = []
    for page in opened(paper).pages:
        one = Pdf.new()
        one.pages.append(page)
        found.append(f"\n{words(one)}\n")
    return found
