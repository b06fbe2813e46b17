"""Papers for the shop's own hands, made when asked for: traveller and buying list of a quote."""

from __future__ import annotations

from datetime import date

from catalog import selectors as catalogue
from quoting.documents.buying_list import buying_pdf
from quoting.documents.traveller import Work, traveller_pdf
from quoting.engine.takeoff.buying import SupplierOrder, buying_list
from quoting.models import Quote
from quoting.selectors.price_book import names_of, price_book, shop_terms
from quoting.selectors.quotes import PricedItem, price_quote


def wanted_items(quote: Quote) -> list[PricedItem]:
    """The pieces to be made: after an acceptance those of the option chosen.

    Raises Refused when they cannot be priced with the catalogue of the quote's day.
    """
    answer = getattr(quote, "answer", None)
    chosen = answer.option if answer is not None else ""
    items = price_quote(quote).items
    return [item for item in items if not chosen or item.item.option in ("", chosen)]


def traveller(quote: Quote, *, pour: date, address: str) -> bytes:
    """The traveller of a quote's pieces, poured from a day on; its QR code leads to `address`."""
    on = quote.quoted_on
    pieces = [item.estimate for item in wanted_items(quote)]
    return traveller_pdf(_work(quote, pour, address), pieces, price_book(on), shop_terms(), names_of(on))


def orders(quote: Quote) -> tuple[SupplierOrder, ...]:
    """What to order for a quote, by supplier."""
    lines = [item.estimate.materials for item in wanted_items(quote)]
    return buying_list(lines, price_book(quote.quoted_on), shop_terms())


def buying_paper(quote: Quote, *, pour: date) -> bytes:
    """The buying list of a quote as a paper."""
    return buying_pdf(_work(quote, pour, ""), orders(quote), quote.quoted_on, shop_terms().currency)


def _work(quote: Quote, pour: date, address: str) -> Work:
    shop = catalogue.shop_terms()
    number = quote.number or "draft"
    return Work(quote.title, number, pour, address, shop.name, shop.locale, shop.paper_size)
