"""Papers made without the database: a catalogue row, a piece and a quote by hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from catalog import selectors as catalogue
from quoting.documents.client_quote import Sent, client_data, valid_until
from quoting.models import Client, Quote, QuoteItem, QuoteLine
from quoting.selectors.price_book import names_of
from quoting.selectors.quotes import price_offer
from quoting.services.pieces import save_piece
from tests.quoting.conftest import TODAY, specification


def said(
    *names: str,
    options: Sequence[str] = (),
    taxed: Sequence[str] = (),
    lines: Sequence[QuoteLine] = (),
    client: Client | None = None,
    **changed: Any,
) -> dict[str, Any]:
    """What a client is told of a quote of these example specifications; `changed` overrides its fields."""
    buyer = client or Client(name="Village library", address="1 Green\nVillage")
    fields = {"title": "For the reading room", "note": "As we talked it over."}
    quote = Quote(client=buyer, quoted_on=TODAY, valid_days=30, discount=changed.pop("discount", 0), **fields)
    revisions = [save_piece(specification(name)) for name in names]
    items = [
        QuoteItem(
            quote=quote,
            position=at,
            revision=revision,
            quantity=revision.document.get("quantity", 1),
            option=options[at - 1] if options else "",
            tax_category=taxed[at - 1] if taxed else "standard",
        )
        for at, revision in enumerate(revisions, start=1)
    ]
    sent = Sent("Q26-0001", TODAY, valid_until(TODAY, 30))
    priced = price_offer(quote, items, lines)
    data = client_data(priced, catalogue.shop_terms(), sent, names_of(TODAY))
    return data | changed


ISSUED = date(2026, 3, 2)
