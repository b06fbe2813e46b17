"""Reading quotes, and what a draft comes to today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils import timezone

from catalog.search import words_of
from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.money import to_minor
from quoting.engine.pricing.payments import Payment, deposit_and_balance, staged_payments
from quoting.engine.pricing.totals import Totals, document_totals, line_net
from quoting.engine.values import ShopTerms
from quoting.models import LAPSED, Quote, QuoteItem, QuoteLine
from quoting.selectors.estimates import parse_document
from quoting.selectors.price_book import price_book, shop_terms


@dataclass(frozen=True)
class PricedItem:
    """One piece of a quote with its estimate."""

    item: QuoteItem
    estimate: Estimate

    @property
    def net(self) -> Decimal:
        return self.estimate.price.net


@dataclass(frozen=True)
class PricedLine:
    """One other line of a quote with its net."""

    line: QuoteLine
    net: Decimal


@dataclass(frozen=True)
class PricedOption:
    """One of the alternatives a quote offers, as a whole price: what is common to all, and its own."""

    name: str
    """Empty where the quote offers one thing."""
    totals: Totals
    payments: tuple[Payment, ...]
    cost: Decimal
    """Cost of the pieces, breakage allowance in; other lines carry none."""


@dataclass(frozen=True)
class PricedQuote:
    """A quote with every figure of its day; its sums are those of the first option."""

    quote: Quote
    terms: ShopTerms
    items: tuple[PricedItem, ...]
    lines: tuple[PricedLine, ...]
    options: tuple[PricedOption, ...]
    """At least one, in the order they first appear."""

    @property
    def totals(self) -> Totals:
        return self.options[0].totals

    @property
    def discount(self) -> Decimal:
        return self.totals.allowances

    @property
    def payments(self) -> tuple[Payment, ...]:
        return self.options[0].payments

    @property
    def cost(self) -> Decimal:
        return self.options[0].cost


STATES = (*Quote.Status.choices, (LAPSED, "Lapsed"))
"""Where a quote may stand on a day."""


def quotes(*, search: str = "", state: str = "", on: date | None = None) -> QuerySet[Quote]:
    """Quotes, newest first, with client and what was issued; `state` is where they stand on a day."""
    found = Quote.objects.select_related("client", "issued", "answer").defer(
        "issued__pdf", "issued__basis", "issued__workshop"
    )
    if state:
        found = found.filter(status=Quote.Status.ISSUED if state == LAPSED else state)
    if state in (LAPSED, Quote.Status.ISSUED):
        late = Q(issued__valid_until__lt=on or timezone.localdate())
        found = found.filter(late if state == LAPSED else ~late)
    for word in words_of(search):
        found = found.filter(
            Q(title__icontains=word) | Q(number__icontains=word) | Q(client__name__icontains=word)
        )
    return found.order_by("-created_at", "-pk")


def price_quote(quote: Quote) -> PricedQuote:
    """Price a draft with the prices of its day: every piece, every line, discount, tax, payments.

    Raises Refused when the catalogue of that day lacks something, with every fault and its item.
    """
    items = quote.items.select_related("revision__piece").order_by("position")
    return price_offer(quote, tuple(items), tuple(quote.lines.order_by("position")))


def price_offer(quote: Quote, wanted: Sequence[QuoteItem], other: Sequence[QuoteLine]) -> PricedQuote:
    """Price a quote of these items and lines, which need not be saved: what a change would come to.

    Raises Refused as `price_quote` does.
    """
    book, terms = price_book(quote.quoted_on), shop_terms()
    _refuse_untaxed(wanted, other, terms)
    items = tuple(
        PricedItem(
            item,
            estimate(
                parse_document(item.revision.document, book=book, terms=terms),
                book,
                terms,
                quantity=item.quantity,
                tax_category=item.tax_category,
            ),
        )
        for item in wanted
    )
    lines = tuple(
        PricedLine(line, line_net(line.quantity, line.unit_price, minor_units=terms.minor_units))
        for line in other
    )
    offered = [item.option for item in wanted] + [line.option for line in other]
    names = dict.fromkeys(name for name in offered if name)
    return PricedQuote(
        quote=quote,
        terms=terms,
        items=items,
        lines=lines,
        options=tuple(_option(name, quote, items, lines, terms) for name in names or ("",)),
    )


def _refuse_untaxed(items: Sequence[QuoteItem], lines: Sequence[QuoteLine], terms: ShopTerms) -> None:
    """Refuse categories that the shop has no rate for, or has none for any more."""
    named = [(f"items[{at}].tax_category", item.tax_category) for at, item in enumerate(items)]
    named += [(f"lines[{at}].tax_category", line.tax_category) for at, line in enumerate(lines)]
    known = ", ".join(terms.tax_rates)
    faults = [
        Fault(path, f"no tax rate {category!r}; the shop has {known}", "unknown_code", category)
        for path, category in named
        if category not in terms.tax_rates
    ]
    if faults:
        raise Refused(faults)


def _option(
    name: str,
    quote: Quote,
    items: Sequence[PricedItem],
    lines: Sequence[PricedLine],
    terms: ShopTerms,
) -> PricedOption:
    """The whole price of one alternative."""
    own = [item for item in items if item.item.option in ("", name)]
    nets = [(item.net, item.item.tax_category) for item in own]
    nets += [(priced.net, priced.line.tax_category) for priced in lines if priced.line.option in ("", name)]
    allowances = _discount(nets, quote.discount, terms)
    totals = document_totals(nets, terms.tax_rates, allowances=allowances, minor_units=terms.minor_units)
    return PricedOption(
        name=name,
        totals=totals,
        payments=_payments(totals.gross, terms),
        cost=sum((item.estimate.price.cost for item in own), Decimal(0)),
    )


def _payments(gross: Decimal, terms: ShopTerms) -> tuple[Payment, ...]:
    if terms.payment_stages:
        return staged_payments(gross, terms.payment_stages, terms.minor_units)
    return deposit_and_balance(gross, terms.deposit, terms.minor_units)


def _discount(nets: list[tuple[Decimal, str]], share: Decimal, terms: ShopTerms) -> list[tuple[Decimal, str]]:
    """The discount, taken off each tax category in its own share and rounded there once."""
    bases: dict[str, Decimal] = {}
    for net, category in nets:
        bases[category] = bases.get(category, Decimal(0)) + net
    off = [(to_minor(base * share, terms.minor_units), category) for category, base in sorted(bases.items())]
    return [(amount, category) for amount, category in off if amount]
