"""Then and now: an issued quote held against what it would come to today, or against a draft.

What a quote froze is taken as it stands: its pieces, quantities, lines, discount, totals, and of the shop's
terms those it carries (`KEPT`). The prices, pay and standards of its day are still in the catalogue, which
dates them. Whatever else may have changed since is not dated, and shows as a part of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.differences import differences
from quoting.engine.estimate.kept_terms import restore
from quoting.engine.estimate.offer_bridge import NOT_KEPT, Offer, Ordered, offer_bridge
from quoting.engine.pricing.bridge import Bridge
from quoting.engine.pricing.totals import line_net
from quoting.engine.spec.parse import parse_piece
from quoting.models import PieceRevision, Quote, QuoteItem, QuoteLine
from quoting.selectors.estimates import parse_document
from quoting.selectors.pieces import newest_revision
from quoting.selectors.price_book import price_book, shop_terms

KEPT = "Then by the terms of the shop that the quote was made with, now by today's."
NOT_DATED = (
    f"“{NOT_KEPT}”: how materials and mixes are described has no dates, and prices, rates and standards may "
    "have been set anew on the day of the quote; this is what that would have changed of its total."
)


@dataclass(frozen=True)
class PieceThenNow:
    """One piece of the quote and what became of it."""

    name: str
    quantity_then: int
    quantity_now: int
    differences: tuple[str, ...]


@dataclass(frozen=True)
class ThenNow:
    """A price bridge with what it stands on."""

    number: str
    option: str
    currency: str
    then_on: date
    now_on: date
    bridge: Bridge
    pieces: tuple[PieceThenNow, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        """What the reader has to know of the first parts."""
        return (KEPT, NOT_DATED) if any(part.name == NOT_KEPT for part in self.bridge.parts) else (KEPT,)


def quote_bridge(quote: Quote, *, against: Quote | None = None, on: date | None = None) -> ThenNow:
    """From the total asked in an issued quote to its newest revisions at the prices of a day (today: None).

    `against` is a draft to hold it against instead, with its own pieces, lines, discount and day. Of a quote
    that offered alternatives the accepted one is taken, else the first. Raises Refused for a quote never
    issued, for `against` that is no draft, and where either cannot be priced.
    """
    _refuse(quote, against)
    option = _option(quote)
    items = _of(quote.items.select_related("revision__piece").order_by("position"), option)
    indexes = [item.position - 1 for item in items]
    then = _then(quote, items, indexes, _of(quote.lines.order_by("position"), option))
    asked = _said(quote, option)
    if against is None:
        wanted = [(newest_revision(item.revision.piece), item.quantity, item.tax_category) for item in items]
        now = _now(wanted, _lines(_of(quote.lines.all(), option)), quote.discount, on)
    else:
        taken = _of(against.items.select_related("revision__piece").order_by("position"), option)
        lines = _lines(_of(against.lines.order_by("position"), option))
        wanted = [(item.revision, item.quantity, item.tax_category) for item in taken]
        now = _now(wanted, lines, against.discount, against.quoted_on)
    return _held(quote, option, then, now, Decimal(asked["gross"]))


def piece_bridge(
    quote: Quote, revision: PieceRevision, *, quantity: int | None = None, on: date | None = None
) -> ThenNow:
    """From the price of a piece in an issued quote to a revision of it, and a quantity, on a day.

    Without a quantity, the quote's. Raises Refused for a quote never issued or without this piece, and where
    either cannot be priced.
    """
    _refuse(quote, None)
    items = [item for item in quote.items.order_by("position") if item.revision.piece_id == revision.piece_id]
    if not items:
        message = f"{quote.number} has no piece {revision.piece.name}"
        raise Refused([Fault("quote", message, "not_there", str(quote.pk))])
    item = items[0]
    then = replace(_then(quote, [item], [item.position - 1], []), discount=Decimal(0))
    now = _now([(revision, quantity or item.quantity, item.tax_category)], (), Decimal(0), on)
    frozen = quote.issued.basis["items"][item.position - 1]["estimate"]["price"]
    return _held(quote, item.option, then, now, Decimal(frozen["gross"]))


def bridge_object(held: ThenNow) -> dict[str, Any]:
    """A bridge as the plain object of the API; amounts as decimal strings."""
    return {
        "quote": held.number,
        "option": held.option,
        "currency": held.currency,
        "then": {"prices_on": held.then_on.isoformat(), "total": str(held.bridge.start)},
        "now": {"prices_on": held.now_on.isoformat(), "total": str(held.bridge.end)},
        "change": str(held.bridge.end - held.bridge.start),
        "parts": [
            {"name": part.name, "change": str(part.change), "after": str(part.after)}
            for part in held.bridge.parts
        ],
        "pieces": [
            {
                "name": piece.name,
                "quantity_then": piece.quantity_then,
                "quantity_now": piece.quantity_now,
                "differences": list(piece.differences),
            }
            for piece in held.pieces
        ],
        "notes": list(held.notes),
    }


def _refuse(quote: Quote, against: Quote | None) -> None:
    if quote.status == Quote.Status.DRAFT:
        raise Refused([Fault("quote", "this quote was never issued; it has no price of then", "not_issued")])
    if against is not None and against.status != Quote.Status.DRAFT:
        raise Refused([Fault("against", "an issued quote is held against a draft", "not_a_draft")])


def _option(quote: Quote) -> str:
    answer = getattr(quote, "answer", None)
    options = quote.issued.data["options"]
    return answer.option if answer and answer.option else options[0]["name"] if options else ""


def _said(quote: Quote, option: str) -> Mapping[str, Any]:
    """The sums that the client was told."""
    data: dict[str, Any] = quote.issued.data
    return next((one for one in data["options"] if one["name"] == option), data)


def _of(rows: Any, option: str) -> list[Any]:
    return [row for row in rows if row.option in ("", option)]


def _lines(lines: Sequence[QuoteLine]) -> tuple[tuple[Decimal, str], ...]:
    units = shop_terms().minor_units
    return tuple(
        (line_net(line.quantity, line.unit_price, minor_units=units), line.tax_category) for line in lines
    )


def _then(
    quote: Quote, items: Sequence[QuoteItem], indexes: Sequence[int], lines: Sequence[QuoteLine]
) -> Offer:
    basis = [quote.issued.basis["items"][index] for index in indexes]
    return Offer(
        ordered=tuple(
            Ordered(parse_piece(frozen["document"]), item.quantity, item.tax_category)
            for frozen, item in zip(basis, items, strict=True)
        ),
        book=price_book(quote.quoted_on),
        terms=restore(quote.issued.basis["terms"]),
        lines=_lines(lines),
        discount=quote.discount,
    )


def _now(
    ordered: Sequence[tuple[PieceRevision, int, str]],
    lines: tuple[tuple[Decimal, str], ...],
    discount: Decimal,
    on: date | None,
) -> Offer:
    book, terms = price_book(on or timezone.localdate()), shop_terms()
    pieces = [
        Ordered(parse_document(revision.document, book=book, terms=terms), quantity, tax_category)
        for revision, quantity, tax_category in ordered
    ]
    return Offer(tuple(pieces), book, terms, lines, discount)


def _held(quote: Quote, option: str, then: Offer, now: Offer, asked: Decimal) -> ThenNow:
    system = now.terms.unit_system
    pairs = zip(then.ordered, now.ordered, strict=False)
    return ThenNow(
        number=quote.number or "",
        option=option,
        currency=now.terms.currency,
        then_on=then.book.on,
        now_on=now.book.on,
        bridge=offer_bridge(then, now, asked_then=asked),
        pieces=tuple(
            PieceThenNow(
                name=new.piece.name,
                quantity_then=old.quantity,
                quantity_now=new.quantity,
                differences=differences(old.piece, new.piece, system=system),
            )
            for old, new in pairs
        ),
    )
