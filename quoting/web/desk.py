"""What a page about a piece needs at hand: today's catalogue, the shop's terms, its way of writing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from catalog import selectors as catalogue
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.spec.codes import KnownCodes
from quoting.engine.spec.parse import parse_piece
from quoting.engine.values import PriceBook, ShopTerms
from quoting.selectors.price_book import known_codes, price_book, shop_terms
from quoting.web.shown import Figures, figures


@dataclass(frozen=True)
class Desk:
    """Read once for a request, so that nothing on its page can be of another moment."""

    book: PriceBook
    terms: ShopTerms
    shown: Figures

    @cached_property
    def codes(self) -> KnownCodes:
        """Codes that a specification may name."""
        return known_codes(self.book)

    @cached_property
    def names(self) -> Mapping[str, str]:
        """Names that go with the codes of materials and mixes."""
        materials = {code: row.name for code, row in self.book.materials.items()}
        return materials | {code: row.name for code, row in self.book.mixes.items()}

    def estimate(self, document: object) -> Estimate:
        """Take off and price a document. Raises Refused with every fault."""
        piece = parse_piece(document, codes=self.codes, system=self.terms.unit_system)
        return estimate(piece, self.book, self.terms)


def desk() -> Desk:
    """The desk of this moment."""
    row = catalogue.shop_terms()
    return Desk(price_book(), shop_terms(row), figures(row))
