"""One buying list for several quotes: packs rounded once, boards cut together, the shelf taken off."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from catalog.models import Material
from catalog.services.shelf import put_on_shelf
from quoting.documents.to_buy import to_buy_object, to_buy_table
from quoting.engine.errors import Refused
from quoting.engine.takeoff.buying import BuyingLine
from quoting.models import Client, PieceRevision, Quote
from quoting.selectors.quotes import price_quote
from quoting.selectors.to_buy import MOST_QUOTES, ToBuy, candidates, to_buy
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, accept_quote, draft_quote, issue_quote
from tests.quoting.conftest import TODAY, specification

pytestmark = pytest.mark.usefixtures("starter")


@pytest.fixture
def hearth(starter: None) -> PieceRevision:
    return save_piece(specification("hearth"))


def quoted(library: Client, *items: ItemWanted, title: str = "A hearth") -> Quote:
    return draft_quote(library, title=title, quoted_on=TODAY, items=items)


def bought(quotes: list[Quote], *, shelf: bool = False) -> ToBuy:
    fresh = [candidates().get(pk=quote.pk) for quote in quotes]
    return to_buy(fresh, on=TODAY, shelf=shelf)


def line(found: ToBuy, code: str) -> BuyingLine:
    (only,) = [line for order in found.orders for line in order.lines if line.code == code]
    return only


def test_one_quote_alone_needs_what_its_estimate_says(hearth: PieceRevision, library: Client) -> None:
    quote = quoted(library, ItemWanted(hearth, 1))
    (item,) = price_quote(quote).items
    found = bought([quote])
    assert found.cost == sum(material.cost for material in item.estimate.materials)
    assert {code: packs for code, packs in packs_of(found).items() if packs} == {
        material.code: material.packs for material in item.estimate.materials if material.packs
    }


def packs_of(found: ToBuy) -> dict[str, int]:
    return {line.code: line.packs for order in found.orders for line in order.lines}


def test_packs_are_opened_once_for_all(hearth: PieceRevision, library: Client) -> None:
    quotes = [quoted(library, ItemWanted(hearth, 1)) for _ in range(3)]
    one, three = bought(quotes[:1]), bought(quotes)
    assert (line(one, "SEAL-PEN").packs, line(three, "SEAL-PEN").packs) == (1, 1)
    # 3 x 6.5 bags are 19.6: 20, not 3 x 7
    assert (line(one, "BAG-GREY").packs, line(three, "BAG-GREY").packs) == (7, 20)
    assert three.cost < 3 * one.cost
    assert [piece.mark for piece in three.pieces] == ["A", "B", "C"]
    names = {
        part.name.split()[0]
        for board in three.boards
        if board.plan
        for sheet in board.plan.sheets
        for part in sheet.placed
    }
    assert names == {"A", "B", "C"}


def test_the_shelf_is_taken_off(hearth: PieceRevision, library: Client) -> None:
    quote = quoted(library, ItemWanted(hearth, 1))
    put_on_shelf({"material": "BAG-GREY", "content": 60})
    put_on_shelf({"material": "BAG-GREY", "content": 15, "place": "Under the bench"})
    put_on_shelf({"material": "SEAL-PEN", "content": 0.5})
    put_on_shelf({"material": "BOARD-18-S", "length_mm": 1200, "width_mm": 1200, "place": "Rack"})
    without, given = bought([quote]), bought([quote], shelf=True)
    bags = line(given, "BAG-GREY")
    assert (line(without, "BAG-GREY").packs, bags.packs, bags.on_hand) == (7, 4, 75)
    assert "− 75 kg on hand" in bags.working
    assert (line(given, "SEAL-PEN").packs, line(given, "SEAL-PEN").cost) == (0, Decimal("0.00"))
    board = next(one for one in given.boards if one.code.startswith("BOARD-18"))
    assert len(board.offcuts) == 1
    assert given.cost < without.cost


def test_only_the_option_taken_counts(hearth: PieceRevision, library: Client) -> None:
    quote = quoted(library, ItemWanted(hearth, 1, "One"), ItemWanted(hearth, 3, "Three"))
    issued = issue_quote(quote, on=TODAY)
    assert [piece.quantity for piece in bought([quote]).pieces] == [1, 3]
    accept_quote(issued.quote, name="A. Reader", data_sha256=issued.data_sha256, on=TODAY, option="Three")
    assert [piece.quantity for piece in bought([quote]).pieces] == [3]


def test_what_nobody_has_to_buy_for_is_not_offered(hearth: PieceRevision, library: Client) -> None:
    kept, gone = quoted(library, ItemWanted(hearth, 1)), quoted(library, ItemWanted(hearth, 1))
    Quote.objects.filter(pk=gone.pk).update(status="declined", number="Q26-0099")
    assert [quote.pk for quote in candidates()] == [kept.pk]


def test_a_piece_that_cannot_be_taken_off_any_more_is_named(hearth: PieceRevision, library: Client) -> None:
    quote = quoted(library, ItemWanted(hearth, 1))
    Material.objects.filter(code="BAR-8").update(retired_from=TODAY)
    with pytest.raises(Refused) as refused:
        bought([quote])
    assert all(fault.path.startswith("A hearth, Corner hearth: ") for fault in refused.value.faults)


def test_too_many_quotes_are_refused(library: Client) -> None:
    with pytest.raises(Refused, match=f"{MOST_QUOTES} at most"):
        to_buy([Quote(client=library)] * (MOST_QUOTES + 1), on=TODAY, shelf=False)


def test_the_same_as_data_and_as_a_table(hearth: PieceRevision, library: Client) -> None:
    found = bought([quoted(library, ItemWanted(hearth, 2)), quoted(library, ItemWanted(hearth, 1))])
    said = to_buy_object(found)
    assert said["cost"] == str(sum(Decimal(order["cost"]) for order in said["orders"]))
    assert said["on"] == TODAY.isoformat()
    assert [(piece["mark"], piece["quantity"]) for piece in said["pieces"]] == [("A", 2), ("B", 1)]
    head, *rows = to_buy_table(found).splitlines()
    assert len(rows) == sum(len(order["lines"]) for order in said["orders"])
    assert head.count(",") == 11


def test_the_order_of_asking_changes_nothing_but_the_marks(hearth: PieceRevision, library: Client) -> None:
    bench = save_piece(specification("bench"))
    quotes = [quoted(library, ItemWanted(hearth, 1)), quoted(library, ItemWanted(bench, 2))]
    assert timezone.localdate() is not None
    assert bought(quotes).cost == bought(quotes[::-1]).cost
