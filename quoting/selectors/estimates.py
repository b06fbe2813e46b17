"""Estimates from documents: the catalogue on a day, the shop's terms, and the engine's one entry."""

from __future__ import annotations

from datetime import date

from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.spec.parse import parse_piece
from quoting.engine.spec.types import Piece
from quoting.engine.values import PriceBook, ShopTerms
from quoting.selectors.price_book import known_codes, price_book, shop_terms


def parse_document(
    document: object, *, book: PriceBook | None = None, terms: ShopTerms | None = None
) -> Piece:
    """The piece of a specification document, its codes held against today's catalogue.

    Raises Refused with every fault. Lengths in messages are in the shop's own system.
    """
    return parse_piece(
        document,
        codes=known_codes(book if book is not None else price_book(None)),
        system=(terms or shop_terms()).unit_system,
    )


def estimate_document(document: object, *, on: date | None = None, quantity: int | None = None) -> Estimate:
    """Take off and price a specification document with the prices of a day (today by default).

    Raises Refused with every fault of the document, or with what the catalogue lacks for it.
    """
    book, terms = price_book(on), shop_terms()
    return estimate(parse_document(document, book=book, terms=terms), book, terms, quantity=quantity)
