"""Papers for the shop's own hands: traveller and buying list of a quote.

Of an issued quote they say what was frozen with it; of a draft, what it comes to now.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog import selectors as catalogue
from quoting.documents.buying_list import buying_pdf
from quoting.documents.client_quote import logo_of
from quoting.documents.traveller import Work, traveller_pdf
from quoting.documents.workshop import chosen_pieces, workshop_data
from quoting.engine.estimate.kept_terms import restore
from quoting.engine.values import ShopTerms
from quoting.models import IssuedQuote, Quote
from quoting.selectors.price_book import names_of, price_book, shop_terms
from quoting.selectors.quotes import price_quote


@dataclass(frozen=True)
class ShopSide:
    """What the papers are made of."""

    workshop: Mapping[str, Any]
    terms: ShopTerms
    choice: str
    """The option the client accepted; empty before there is one."""
    shop_name: str
    locale: str
    paper: str
    logo: catalogue.Logo | None

    @property
    def pieces(self) -> list[dict[str, Any]]:
        """The pieces to be made."""
        return chosen_pieces(self.workshop, self.choice)

    @property
    def undecided(self) -> bool:
        """Whether there are options, and none was taken."""
        return not self.choice and len(self.workshop["orders"]) > 1

    @property
    def orders(self) -> list[dict[str, Any]]:
        """What to order for them, by supplier."""
        found: list[dict[str, Any]] = self.workshop["orders"][self.choice]
        return found


def shop_side(quote: Quote) -> ShopSide:
    """What the papers of a quote are made of; raises Refused for a draft that cannot be priced."""
    issued: IssuedQuote | None = getattr(quote, "issued", None)
    if issued is None or issued.workshop is None:  # a draft, or issued before this was written down
        shop = catalogue.shop_terms()
        return ShopSide(
            _priced_now(quote),
            shop_terms(),
            _choice(quote),
            shop.name,
            shop.locale,
            shop.paper_size,
            catalogue.logo(shop),
        )
    said = issued.data
    return ShopSide(
        issued.workshop,
        restore(issued.basis["terms"]),
        _choice(quote),
        said["shop"]["name"],
        said["locale"],
        said["paper"],
        logo_of(said),
    )


def traveller(quote: Quote, *, pour: date, address: str) -> bytes:
    """The traveller of a quote's pieces, poured from a day on; its QR code leads to `address`."""
    side = shop_side(quote)
    return traveller_pdf(_work(quote, side, pour, address), side.pieces, side.terms)


def buying_paper(quote: Quote, *, pour: date) -> bytes:
    """The buying list of a quote as a paper."""
    side = shop_side(quote)
    work = _work(quote, side, pour, "")
    return buying_pdf(work, side.orders, quote.quoted_on, side.terms.currency, undecided=side.undecided)


def _priced_now(quote: Quote) -> dict[str, Any]:
    on = quote.quoted_on
    return workshop_data(price_quote(quote), price_book(on), names_of(on))


def _choice(quote: Quote) -> str:
    answer = getattr(quote, "answer", None)
    return answer.option if answer is not None else ""


def _work(quote: Quote, side: ShopSide, pour: date, address: str) -> Work:
    number = quote.number or "draft"
    return Work(quote.title, number, pour, address, side.shop_name, side.locale, side.paper, side.logo)
