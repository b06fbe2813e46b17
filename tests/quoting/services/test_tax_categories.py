"""Pieces in a tax category of their own: kept, copied, summed by category, refused without a rate."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from catalog.services.terms import update_terms
from quoting.engine.errors import Refused
from quoting.engine.money import to_minor
from quoting.models import Client, PieceRevision, Quote
from quoting.selectors.bridge import piece_bridge, quote_bridge
from quoting.selectors.quotes import price_quote
from quoting.services.pieces import save_piece
from quoting.services.quotes import (
    ItemWanted,
    LineWanted,
    change_draft,
    draft_quote,
    issue_quote,
    revise_quote,
)
from quoting.services.repeats import quote_again
from tests.quoting.conftest import TODAY, specification
from tests.quoting.services.conftest import run

D = Decimal
RATES = {"standard": "0.20", "reduced": "0.05", "exempt": "0"}


@pytest.fixture
def hearth(starter: None) -> PieceRevision:
    """In a shop with three rates, whose prices are rounded to the cent."""
    update_terms({"tax_rates": RATES, "price_step": "0.01"})
    return save_piece(specification("hearth"))


@pytest.fixture
def mixed(hearth: PieceRevision, library: Client) -> Quote:
    """Two hearths at the reduced rate in two rows, one exempt, a survey at the standard rate; less 5 %."""
    return draft_quote(
        library,
        title="Hearths",
        quoted_on=TODAY,
        items=[
            ItemWanted(hearth, 1, tax_category="reduced"),
            ItemWanted(hearth, 3, tax_category="reduced"),
            ItemWanted(hearth, 1, tax_category="exempt"),
        ],
        lines=[LineWanted("Survey on site", D("120.10"))],
        discount=D("0.05"),
    )


def categories(quote: Quote) -> list[str]:
    return list(quote.items.order_by("position").values_list("tax_category", flat=True))


def test_tax_is_worked_out_once_a_category_on_the_summed_base(mixed: Quote) -> None:
    """EN 16931-1: nets of a category are summed, its discount taken off, then the rate applied."""
    priced = price_quote(mixed)
    one, three, exempt = (item.net for item in priced.items)
    assert one == exempt != three
    reduced = one + three - to_minor((one + three) * D("0.05"), 2)
    free = exempt - to_minor(exempt * D("0.05"), 2)
    survey = D("120.10") - D("6.01")  # 6.005, half up
    assert [(line.category, line.base, line.tax) for line in priced.totals.tax_lines] == [
        ("standard", survey, D("22.82")),  # 114.09 × 0.20 = 22.818
        ("reduced", reduced, to_minor(reduced * D("0.05"), 2)),
        ("exempt", free, D("0.00")),
    ]
    assert priced.totals.gross == survey + reduced + free + D("22.82") + to_minor(reduced * D("0.05"), 2)
    own = [item.estimate.price for item in priced.items]
    assert [[line.category for line in price.tax_lines] for price in own] == [
        ["reduced"],
        ["reduced"],
        ["exempt"],
    ]
    assert own[2].gross == exempt


def test_the_category_touches_tax_alone(mixed: Quote, hearth: PieceRevision) -> None:
    before = price_quote(mixed)
    same = [ItemWanted(hearth, 1), ItemWanted(hearth, 3, tax_category="standard"), ItemWanted(hearth, 1)]
    after = price_quote(change_draft(mixed, items=same))
    assert categories(mixed) == ["standard"] * 3
    assert [item.net for item in after.items] == [item.net for item in before.items]
    assert after.cost == before.cost
    nets = sum(item.net for item in after.items) + D("120.10")
    base = nets - to_minor(nets * D("0.05"), 2)
    assert [(line.category, line.base, line.tax) for line in after.totals.tax_lines] == [
        ("standard", base, to_minor(base * D("0.20"), 2))
    ]


def test_a_category_without_a_rate_is_refused_at_its_piece(hearth: PieceRevision, library: Client) -> None:
    items = [ItemWanted(hearth, 1), ItemWanted(hearth, 1, tax_category="luxury")]
    with pytest.raises(ValidationError) as refused:
        draft_quote(library, title="Hearths", quoted_on=TODAY, items=items)
    assert refused.value.message_dict == {
        "items[1].tax_category": ["No tax rate 'luxury'; the shop has exempt, reduced, standard."]
    }
    assert not Quote.objects.exists()


def test_a_category_that_the_shop_gives_up_is_told_where_it_stands(mixed: Quote) -> None:
    update_terms({"tax_rates": {"standard": "0.20", "exempt": "0"}})
    with pytest.raises(Refused) as refused:
        price_quote(mixed)
    assert [fault.path for fault in refused.value.faults] == [
        "items[0].tax_category",
        "items[1].tax_category",
    ]
    with pytest.raises(Refused):
        issue_quote(mixed, on=TODAY)


def test_it_goes_with_a_revision_and_an_order_again(mixed: Quote) -> None:
    out = issue_quote(mixed, on=TODAY).quote
    kept = ["reduced", "reduced", "exempt"]
    again, revised = quote_again(out, on=TODAY), revise_quote(out, on=TODAY)
    assert categories(again) == categories(revised) == categories(out) == kept
    assert str(price_quote(again).totals.gross) == out.issued.data["gross"]


def test_then_and_now_are_taxed_alike(mixed: Quote, hearth: PieceRevision) -> None:
    out = issue_quote(mixed, on=TODAY).quote
    held = quote_bridge(out, on=TODAY)
    assert held.bridge.parts == () and str(held.bridge.start) == out.issued.data["gross"]
    assert quote_bridge(out, against=quote_again(out, on=TODAY)).bridge.parts == ()
    alone = piece_bridge(out, hearth, on=TODAY)
    assert alone.bridge.parts == ()
    assert str(alone.bridge.start) == out.issued.basis["items"][0]["estimate"]["price"]["gross"]


def test_another_category_shows_as_tax(mixed: Quote, hearth: PieceRevision) -> None:
    out = issue_quote(mixed, on=TODAY).quote
    draft = quote_again(out, on=TODAY)
    items = [ItemWanted(hearth, 1), ItemWanted(hearth, 3), ItemWanted(hearth, 1, tax_category="exempt")]
    held = quote_bridge(out, against=change_draft(draft, items=items))
    assert [part.name for part in held.bridge.parts] == ["Tax"]
    assert held.bridge.end == price_quote(draft).totals.gross > held.bridge.start


def test_the_new_column_comes_to_tables_with_issued_quotes_and_goes(place: dict[str, str]) -> None:
    """Every guard stands after it came, after it went and after it came again; the program before goes on."""
    assert run("tax_column_program", place) == {
        "before": ["standard", "standard"],
        "after": ["standard", "standard", "standard"],
        "missing": {"with it": [], "without it": [], "with it again": []},
        "refused": True,
    }
