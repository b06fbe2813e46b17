"""The price bridge from an offer of then to the same offer, or another, now.

One input is changed at a time, in the order of `CHANGES`, and the whole offer priced again after each. Every
part is what its change did on top of those before it, so the parts sum to the difference exactly; what two
changes do together falls to the later one (`pricing.bridge`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import priced, with_defaults
from quoting.engine.money import to_minor
from quoting.engine.pricing.bridge import Bridge, bridge
from quoting.engine.pricing.totals import document_totals
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.types import Piece
from quoting.engine.values import Material, Operation, PriceBook, ShopTerms

NOT_KEPT: Final = "What the old quote did not keep"


@dataclass(frozen=True, slots=True)
class Ordered:
    """A piece, how many of it, and the tax category it falls under."""

    piece: Piece
    quantity: int
    tax_category: str = "standard"


@dataclass(frozen=True, slots=True)
class Offer:
    """Everything that an offer's total follows from."""

    ordered: tuple[Ordered, ...]
    book: PriceBook
    terms: ShopTerms
    lines: tuple[tuple[Decimal, str], ...] = ()
    """Other lines: net amount and tax category."""
    discount: Decimal = Decimal(0)
    """Share of the net, from 0 to less than 1."""


def offer_total(offer: Offer) -> Decimal:
    """Total of an offer with tax: pieces and lines, less discount in each tax category, plus tax.

    Amounts in the shop's currency, rounded as `pricing.totals` does. Raises Refused when the price book lacks
    something that a piece needs.
    """
    terms = offer.terms
    nets = [(_net(each, offer.book, terms), each.tax_category) for each in offer.ordered]
    nets += offer.lines
    bases: dict[str, Decimal] = {}
    for net, category in nets:
        bases[category] = bases.get(category, Decimal(0)) + net
    off = [(to_minor(base * offer.discount, terms.minor_units), name) for name, base in sorted(bases.items())]
    taken_off = [(amount, category) for amount, category in off if amount]
    return document_totals(nets, terms.tax_rates, allowances=taken_off, minor_units=terms.minor_units).gross


def _net(each: Ordered, book: PriceBook, terms: ShopTerms) -> Decimal:
    solid, geometry = _measured(with_defaults(each.piece, terms))
    return priced(solid, geometry, book, terms, each.quantity).price.net


@lru_cache(maxsize=64)
def _measured(piece: Piece) -> tuple[Solid, Geometry]:
    solid = build(piece)
    return solid, measure(solid)


def offer_bridge(then: Offer, now: Offer, *, asked_then: Decimal | None = None) -> Bridge:
    """The way from the total of `then` to that of `now`, change by change; what is unchanged has no part.

    `asked_then` is the total that was really asked, where it is known: what it differs from the total of
    `then` comes first, as `NOT_KEPT`. Raises Refused when the currencies differ or either cannot be priced.
    """
    if then.terms.currency != now.terms.currency:
        message = f"prices in {then.terms.currency} and {now.terms.currency} cannot be bridged"
        raise Refused([Fault("currency", message, "currency_differs", now.terms.currency)])
    total = offer_total(then)
    start = total if asked_then is None else asked_then
    parts = [] if start == total else [(NOT_KEPT, total)]
    parts += [(name, offer_total(offer)) for name, offer in stages(then, now)]
    return bridge(start, parts)


def stages(then: Offer, now: Offer) -> Iterator[tuple[str, Offer]]:
    """The offers on the way from `then` to `now`, each with the name of what changed; the last is `now`."""
    here = _on_the_day(then, now)
    for name, change in CHANGES:
        following = change(here, now)
        if following != here:
            yield name, following
        here = following


def _on_the_day(then: Offer, now: Offer) -> Offer:
    """The old offer dated now: that a price has grown old is no change of it."""
    rows = dict(then.book.materials)
    for code, row in rows.items():
        today = now.book.materials.get(code)
        if today is not None and today.price == row.price:
            rows[code] = _priced_as(row, today)
    return _with_book(then, materials=rows, on=now.book.on)


# --- one input at a time ---------------------------------------------------------------------------------
def _materials_taken_up(here: Offer, now: Offer) -> Offer:
    """Today's descriptions and recipes at the old prices; what is new at today's; what is gone is kept."""
    old = here.book.materials

    def at_old_price(row: Material) -> Material:
        was = old.get(row.code)
        return row if was is None else _priced_as(row, was)

    fresh = {code: at_old_price(row) for code, row in now.book.materials.items()}
    return _with_book(here, materials={**old, **fresh}, mixes={**here.book.mixes, **now.book.mixes})


def _material_prices(here: Offer, now: Offer) -> Offer:
    rows = {
        code: _priced_as(row, now.book.materials[code]) if code in now.book.materials else row
        for code, row in here.book.materials.items()
    }
    return _with_book(here, materials=rows)


def _wages(here: Offer, now: Offer) -> Offer:
    return _with_book(here, roles={**here.book.roles, **now.book.roles})


def _standards(here: Offer, now: Offer) -> Offer:
    """Today's operations at the old chances of breakage."""
    old = {operation.code: operation for operation in here.book.operations}
    codes = {operation.code for operation in now.book.operations}

    def as_risky(new: Operation) -> Operation:
        was = old.get(new.code)
        if was is None:
            return new
        back_to = was.back_to if was.back_to in codes else new.back_to
        return replace(new, breakage=was.breakage, back_to=back_to)

    operations = tuple(as_risky(operation) for operation in now.book.operations)
    return _with_book(here, operations=operations, roles=now.book.roles)


def _quantity(here: Offer, now: Offer) -> Offer:
    """Quantities of the pieces that stand at the same place in both."""
    counts = [each.quantity for each in now.ordered]
    counts += [each.quantity for each in here.ordered[len(counts) :]]
    pairs = zip(here.ordered, counts, strict=False)
    return replace(here, ordered=tuple(replace(each, quantity=count) for each, count in pairs))


def _pieces(here: Offer, now: Offer) -> Offer:
    """Today's pieces; each is taxed as the one that stood at its place until the tax is changed."""
    categories = [each.tax_category for each in here.ordered]
    categories += [each.tax_category for each in now.ordered[len(categories) :]]
    pairs = zip(now.ordered, categories, strict=False)
    ordered = tuple(replace(each, tax_category=category) for each, category in pairs)
    rates = {name: now.terms.tax_rates[name] for name in categories if name in now.terms.tax_rates}
    terms = replace(here.terms, tax_rates={**rates, **here.terms.tax_rates})
    return replace(here, ordered=ordered, terms=terms)


def _materials_given_up(here: Offer, now: Offer) -> Offer:
    return _with_book(here, materials=now.book.materials, mixes=now.book.mixes)


def _breakage(here: Offer, now: Offer) -> Offer:
    risky = replace(here, book=now.book)
    return _terms("breakage_method", "breakage_flat")(risky, now)


def _terms(*names: str) -> Callable[[Offer, Offer], Offer]:
    def change(here: Offer, now: Offer) -> Offer:
        return replace(here, terms=replace(here.terms, **{name: getattr(now.terms, name) for name in names}))

    return change


def _other_terms(here: Offer, now: Offer) -> Offer:
    return replace(here, terms=replace(now.terms, tax_rates=_rates_of_both(here, now)))


def _rates_of_both(here: Offer, now: Offer) -> Mapping[str, Decimal]:
    """The old rates, and today's of categories that were not there: a new line may be in one."""
    return {**now.terms.tax_rates, **here.terms.tax_rates}


def _lines(here: Offer, now: Offer) -> Offer:
    return replace(here, lines=now.lines)


def _discount(here: Offer, now: Offer) -> Offer:
    return replace(here, discount=now.discount)


def _tax(here: Offer, now: Offer) -> Offer:
    return now


CHANGES: Final[tuple[tuple[str, Callable[[Offer, Offer], Offer]], ...]] = (
    ("Materials and mixes as described", _materials_taken_up),
    ("Material prices", _material_prices),
    ("Wage rates", _wages),
    ("Standard hours", _standards),
    ("Quantity", _quantity),
    ("Changes to the piece", _pieces),
    ("Materials given up", _materials_given_up),
    ("Overhead", _terms("overhead_per_labour_hour")),
    ("Breakage", _breakage),
    ("Delivery charges", _terms("delivery_per_km", "delivery_per_step", "delivery_fixed")),
    ("Margin", _terms("target_margin")),
    ("Rounding and least price", _terms("price_step", "minimum_job_price", "minor_units")),
    ("Other terms of the shop", _other_terms),
    ("Other lines", _lines),
    ("Discount", _discount),
    ("Tax", _tax),
)


def _with_book(offer: Offer, **changes: Any) -> Offer:
    return replace(offer, book=replace(offer.book, **changes))


def _priced_as(row: Material, other: Material) -> Material:
    return replace(row, price=other.price, price_date=other.price_date, stale=other.stale)
