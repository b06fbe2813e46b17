"""What to buy for several quotes together, at today's prices, less what is on the shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import count, product
from string import ascii_uppercase

from django.db.models import QuerySet

from catalog import selectors as catalogue
from quoting.engine.cutting.values import Stock
from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.takeoff.boards_together import BoardsTogether, ToBuild, boards_together, lines_together
from quoting.engine.takeoff.buying import SupplierOrder, buying_list
from quoting.engine.values import PriceBook, ShopTerms
from quoting.models import Quote, QuoteItem
from quoting.selectors.estimates import parse_document
from quoting.selectors.price_book import price_book, shop_terms

MOST_QUOTES = 30
"""Quotes bought for together; each is taken off anew."""


@dataclass(frozen=True, slots=True)
class PieceToMake:
    """A piece of one of the quotes; `mark` goes before the names of its mould's parts."""

    mark: str
    quote: Quote
    name: str
    quantity: int


@dataclass(frozen=True, slots=True)
class ToBuy:
    """Orders by supplier for all quotes together, and how the boards are cut."""

    on: date
    terms: ShopTerms
    book: PriceBook
    pieces: tuple[PieceToMake, ...]
    orders: tuple[SupplierOrder, ...]
    boards: tuple[BoardsTogether, ...]

    @property
    def cost(self) -> Decimal:
        """Of all orders, without tax."""
        return sum((order.cost for order in self.orders), Decimal(0))


def candidates() -> QuerySet[Quote]:
    """Quotes that may have to be bought for: drafts, those that are out, those accepted; newest first."""
    states = (Quote.Status.DRAFT, Quote.Status.ISSUED, Quote.Status.ACCEPTED)
    found = Quote.objects.filter(status__in=states).select_related("client", "answer")
    return found.prefetch_related("items__revision__piece").order_by("-created_at", "-pk")


def to_buy(quotes: Sequence[Quote], *, on: date, shelf: bool) -> ToBuy:
    """What to buy for `quotes` at the prices of a day, with `shelf` less what is noted there.

    Of a quote that offers options the one the client took counts, all of them before there is one. Raises
    Refused with every piece that cannot be taken off with that day's catalogue, its quote named.
    """
    if len(quotes) > MOST_QUOTES:
        message = f"{len(quotes)} quotes are too many together; {MOST_QUOTES} at most"
        raise Refused([Fault("quote", message, "too_many")])
    book, terms = price_book(on), shop_terms()
    made = list(_taken_off(quotes, book, terms))
    marks = _marks()
    pieces = tuple(
        PieceToMake(next(marks), quote, item.revision.piece.name, item.quantity) for quote, item, _ in made
    )
    moulds = [
        ToBuild(piece.mark, one.mould, piece.quantity)
        for piece, (_, _, one) in zip(pieces, made, strict=True)
    ]
    offcuts, content = _on_shelf() if shelf else ({}, {})
    boards = boards_together(moulds, book, terms, offcuts)
    lines = lines_together((one.materials for _, _, one in made), boards, book, terms)
    return ToBuy(on, terms, book, pieces, buying_list(lines, book, terms, content), boards)


def _taken_off(
    quotes: Iterable[Quote], book: PriceBook, terms: ShopTerms
) -> Iterator[tuple[Quote, QuoteItem, Estimate]]:
    faults: list[Fault] = []
    for quote in quotes:
        chosen = quote.answer.option if hasattr(quote, "answer") else ""
        for item in quote.items.all():
            if chosen and item.option not in ("", chosen):
                continue
            try:
                piece = parse_document(item.revision.document, book=book, terms=terms)
                yield quote, item, estimate(piece, book, terms, quantity=item.quantity)
            except Refused as refused:
                where = f"{quote.number or quote.title}, {item.revision.piece.name}"
                faults += [
                    Fault(f"{where}: {fault.path}", fault.message, fault.code) for fault in refused.faults
                ]
    if faults:
        raise Refused(faults)


def _on_shelf() -> tuple[dict[str, list[Stock]], dict[str, float]]:
    """Offcuts by board, and content by material."""
    offcuts: dict[str, list[Stock]] = defaultdict(list)
    content: dict[str, float] = defaultdict(float)
    for row in catalogue.shelf():
        if row.is_offcut:
            size = (row.length_mm or 0.0, row.width_mm or 0.0)
            offcuts[row.material.code].append(
                Stock(row.label, *size, Decimal(0), count=row.count, on_hand=True)
            )
        else:
            content[row.material.code] += row.content or 0.0
    return offcuts, content


def _marks() -> Iterator[str]:
    """A, B … Z, AA, AB …"""
    return ("".join(letters) for long in count(1) for letters in product(ascii_uppercase, repeat=long))
