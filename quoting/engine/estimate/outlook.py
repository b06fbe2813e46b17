"""Questions about an estimate that take longer: what it risks, and what more of the same would cost."""

from __future__ import annotations

from collections.abc import Sequence

from quoting.engine.estimate.build import Estimate, priced
from quoting.engine.pricing.build_up import Price
from quoting.engine.pricing.quantity import PriceBreak, price_breaks
from quoting.engine.pricing.risk import Risk, simulate
from quoting.engine.values import PriceBook, ShopTerms

QUANTITIES = (1, 2, 5, 10)


def risk(made: Estimate, terms: ShopTerms, *, seed: int = 1, draws: int = 10_000) -> Risk:
    """The cost of an estimate as a distribution: `draws` of hours and breakages, the same for one `seed`.

    `terms` are those the estimate was made on. Chances of the target margin and of a loss are at its price.
    """
    return simulate(
        made.labour, made.materials, made.price, terms=terms, moulds=made.moulds, seed=seed, draws=draws
    )


def breaks(
    made: Estimate, book: PriceBook, terms: ShopTerms, quantities: Sequence[int] = QUANTITIES
) -> tuple[PriceBreak, ...]:
    """What one piece costs when more are ordered together: mould and set-up shared, moulds renewed, learning
    applied, whole packs bought once for all. `book` and `terms` are those the estimate was made on.
    """
    known = {made.quantity: made.price}

    def at(quantity: int) -> Price:
        found = known.get(quantity)
        return found or priced(made.solid, made.geometry, book, terms, quantity).price

    return price_breaks(at, quantities)
