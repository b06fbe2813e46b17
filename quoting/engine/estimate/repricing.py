"""One piece priced for a list of many: its price, or why it has none. Runs in any process."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from pydantic import TypeAdapter

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import estimate
from quoting.engine.spec.parse import parse_piece
from quoting.engine.values import PriceBook, ShopTerms


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one piece comes to; without a price the faults say why."""

    quantity: int
    unit_price: Decimal | None
    cost: Decimal | None
    faults: tuple[Fault, ...] = ()


def price_of(document: object, book: PriceBook, terms: ShopTerms) -> Outcome:
    """Price a specification document in its own quantity; what is refused becomes the outcome's faults.

    Amounts in the shop's currency, without tax. The same document, prices and terms give the same outcome in
    whichever process it is worked out.
    """
    try:
        piece = parse_piece(document, system=terms.unit_system)
        made = estimate(piece, book, terms)
    except Refused as refusal:
        return Outcome(0, None, None, refusal.faults)
    return Outcome(made.quantity, made.price.unit_price, made.price.cost)


@dataclass(frozen=True, slots=True)
class Prices:
    """What a piece is priced with, as it travels to another machine."""

    book: PriceBook
    terms: ShopTerms


PRICES = TypeAdapter(Prices)
OUTCOME = TypeAdapter(Outcome)


def price_text(document: str, prices: str) -> str:
    """`price_of` with text in and out: a JSON document and `Prices` as JSON give an `Outcome` as JSON."""
    told = _prices(prices)
    return OUTCOME.dump_json(price_of(json.loads(document), told.book, told.terms)).decode()


@lru_cache(maxsize=2)
def _prices(text: str) -> Prices:
    return PRICES.validate_json(text)
