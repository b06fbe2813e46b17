"""A piece ordered again after prices rose, through services and over the API."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from rest_framework.test import APIClient

from catalog.models import MaterialPrice, Mix, Operation, Role
from catalog.selectors import shop_terms
from catalog.services.labour import set_rate, set_standard
from catalog.services.materials import set_price
from quoting.engine.errors import Refused
from quoting.engine.estimate.offer_bridge import NOT_KEPT
from quoting.errors import IllegalMove
from quoting.models import Client, PieceRevision, Quote
from quoting.selectors.bridge import ThenNow, piece_bridge, quote_bridge
from quoting.selectors.quotes import price_quote
from quoting.services.pieces import revise_piece, save_piece
from quoting.services.quotes import ItemWanted, LineWanted, draft_quote, issue_quote
from quoting.services.repeats import quote_again
from tests.quoting.conftest import TODAY, specification

Api = Callable[[Any], APIClient]
LATER = TODAY + timedelta(days=400)


@pytest.fixture
def hearth(starter: None) -> PieceRevision:
    return save_piece(specification("hearth"))


@pytest.fixture
def issued(hearth: PieceRevision, library: Client) -> Quote:
    """One hearth and a survey, less 5 %."""
    draft = draft_quote(
        library,
        title="Hearth",
        quoted_on=TODAY,
        items=[ItemWanted(hearth, 1)],
        lines=[LineWanted("Survey on site", Decimal(120))],
        discount=Decimal("0.05"),
    )
    return issue_quote(draft, on=TODAY).quote


def prices_rise(on: date, *, by: Decimal = Decimal("1.10")) -> None:
    """Every material a tenth dearer from a day on, pay too, and mould making takes longer."""
    for row in MaterialPrice.objects.select_related("material"):
        set_price(row.material.code, round(row.price * by, 2), valid_from=on, today=on)
    for role in Role.objects.all():
        rate = role.rates.latest("valid_from")
        figures = {"pay_per_hour": round(rate.pay_per_hour * by, 2), "on_costs": rate.on_costs}
        set_rate(role.code, figures, valid_from=on, today=on)
    first = Operation.objects.order_by("position").first()
    assert first is not None
    set_standard(first.code, {"setup_hours": 3.0}, valid_from=on, today=on)


def parts(held: ThenNow) -> dict[str, Decimal]:
    """Every part by name; that they sum to the difference is asserted on the way."""
    changes = {part.name: part.change for part in held.bridge.parts}
    assert held.bridge.start + sum(changes.values()) == held.bridge.end
    return changes


def test_nothing_changed_is_a_bridge_of_no_parts(issued: Quote) -> None:
    held = quote_bridge(issued, on=TODAY)
    assert parts(held) == {}
    assert held.bridge.start == Decimal(issued.issued.data["gross"])


def test_ordered_again_after_prices_rose(issued: Quote, rowan: Any) -> None:
    prices_rise(LATER)
    draft = quote_again(issued, on=LATER, by=rowan)
    held = quote_bridge(issued, against=draft)
    changes = parts(held)
    assert held.bridge.start == Decimal(issued.issued.data["gross"])
    assert held.bridge.end == price_quote(draft).totals.gross
    assert set(changes) == {"Material prices", "Wage rates", "Standard hours"}
    assert all(change > 0 for change in changes.values())
    assert quote_bridge(issued, on=LATER).bridge == held.bridge, "today's prices are the draft's"
    assert Quote.objects.get(pk=issued.pk).status == "issued"
    assert [event.kind for event in draft.events.all()] == ["drafted", "ordered again"]


def test_the_piece_the_number_and_the_terms_change_too(issued: Quote, hearth: PieceRevision) -> None:
    prices_rise(LATER)
    revise_piece(hearth.piece, hearth.document | {"thickness": 8})
    terms = shop_terms()
    terms.target_margin, terms.overhead_per_labour_hour = Decimal("0.40"), Decimal("25")
    terms.tax_rates = dict.fromkeys(terms.tax_rates, "0.25")
    terms.save()
    draft = quote_again(issued, on=LATER, quantities={1: 3})
    draft.discount = Decimal(0)
    draft.save()
    held = quote_bridge(issued, against=draft)
    changes = parts(held)
    assert held.bridge.end == price_quote(draft).totals.gross
    for name in ("Quantity", "Changes to the piece", "Overhead", "Margin", "Discount", "Tax"):
        assert changes[name] != 0, name
    assert NOT_KEPT not in changes, "these terms the quote keeps"
    (piece,) = held.pieces
    assert (piece.quantity_then, piece.quantity_now) == (1, 3)
    assert piece.differences == ("thickness 60 → 80 mm",)


def test_every_term_is_kept_with_the_quote(issued: Quote) -> None:
    terms = shop_terms()
    terms.price_step = Decimal(50)
    terms.save()
    held = quote_bridge(issued, on=TODAY)
    assert set(parts(held)) == {"Rounding and least price"}
    assert len(held.notes) == 1


def test_what_has_no_date_is_a_part_of_its_own(issued: Quote) -> None:
    Mix.objects.update(allowance=0.6)
    held = quote_bridge(issued, on=TODAY)
    assert NOT_KEPT in parts(held)
    assert len(held.notes) == 2


def test_of_one_piece(issued: Quote, hearth: PieceRevision) -> None:
    prices_rise(LATER)
    held = piece_bridge(issued, hearth, quantity=4, on=LATER)
    changes = parts(held)
    assert held.bridge.start == Decimal(issued.issued.basis["items"][0]["estimate"]["price"]["gross"])
    assert list(changes) == ["Material prices", "Wage rates", "Standard hours", "Quantity"]
    other = save_piece(specification("bench"))
    with pytest.raises(Refused):
        piece_bridge(issued, other)


def test_alternatives_are_bridged_as_accepted_or_first(hearth: PieceRevision, library: Client) -> None:
    bench = save_piece(specification("bench"))
    draft = draft_quote(
        library,
        title="One or the other",
        quoted_on=TODAY,
        items=[ItemWanted(hearth, 1, "Hearth"), ItemWanted(bench, 1, "Bench"), ItemWanted(bench, 2)],
    )
    quote = issue_quote(draft, on=TODAY).quote
    held = quote_bridge(quote, on=TODAY)
    assert (held.option, parts(held), len(held.pieces)) == ("Hearth", {}, 2)
    assert held.bridge.start == Decimal(quote.issued.data["options"][0]["gross"])


def test_a_draft_has_no_price_of_then(hearth: PieceRevision, library: Client, issued: Quote) -> None:
    draft = draft_quote(library, title="Draft", quoted_on=TODAY, items=[ItemWanted(hearth)])
    with pytest.raises(Refused):
        quote_bridge(draft)
    with pytest.raises(Refused):
        quote_bridge(issued, against=issued)
    with pytest.raises(IllegalMove):
        quote_again(draft, on=LATER)
    with pytest.raises(ValidationError):
        quote_again(issued, on=LATER, quantities={2: 3})


def test_over_the_api(api: Api, rowan: Any, issued: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
    prices_rise(LATER)
    monkeypatch.setattr("quoting.api.repeats.timezone.localdate", lambda: LATER)
    client = api(rowan)
    again = client.post(
        f"/api/v1/quotes/{issued.pk}/again", {"quantities": [{"position": 1, "quantity": 2}]}, format="json"
    )
    assert again.status_code == 201, again.json()
    bridge = again.json()["bridge"]
    assert sum(Decimal(part["change"]) for part in bridge["parts"]) == Decimal(bridge["change"])
    priced = client.get(f"/api/v1/quotes/{again.json()['id']}").json()["priced"]
    assert bridge["now"] == {"prices_on": LATER.isoformat(), "total": priced["gross"]}
    assert [part["name"] for part in bridge["parts"]][-1] == "Quantity"

    read = client.get(f"/api/v1/quotes/{issued.pk}/bridge", {"against": again.json()["id"]}).json()
    assert read == bridge
    piece = issued.items.get().revision.piece_id
    alone = client.get(f"/api/v1/pieces/{piece}/bridge", {"quote": issued.pk}).json()
    assert [part["name"] for part in alone["parts"]] == ["Material prices", "Wage rates", "Standard hours"]
    refused = client.get(f"/api/v1/quotes/{again.json()['id']}/bridge")
    assert refused.status_code == 422
    assert client.post(f"/api/v1/quotes/{again.json()['id']}/again").status_code == 409


def test_copied_and_compared_over_the_api(api: Api, rowan: Any, hearth: PieceRevision) -> None:
    client = api(rowan)
    copied = client.post(
        f"/api/v1/pieces/{hearth.piece_id}/copy", {"name": "Longer hearth", "length_factor": 1.5}
    )
    assert copied.status_code == 201, copied.json()
    assert copied.json()["piece"] != hearth.piece_id
    assert "length × 1.5" in copied.json()["note"]
    refused = client.post(f"/api/v1/pieces/{hearth.piece_id}/copy", {"name": "Speck", "length_factor": 0.001})
    assert refused.status_code == 422
    revise_piece(hearth.piece, hearth.document | {"thickness": 8})
    said = client.get(f"/api/v1/pieces/{hearth.piece_id}/differences", {"before": 1}).json()
    assert said == {"before": 1, "after": 2, "differences": ["thickness 60 → 80 mm"]}


@pytest.mark.parametrize("tail", ["quotes/{quote}/again", "quotes/{quote}/bridge", "pieces/{piece}/copy"])
def test_not_for_the_bench(api: Api, sorrel: Any, issued: Quote, hearth: PieceRevision, tail: str) -> None:
    address = "/api/v1/" + tail.format(quote=issued.pk, piece=hearth.piece_id)
    send = api(sorrel).get if tail.endswith("bridge") else api(sorrel).post
    assert send(address).status_code == 403
    send = api(None).get if tail.endswith("bridge") else api(None).post
    assert send(address).status_code in (401, 403)
