"""The price of a commission from its take-off: cost build-up, breakage, margin, tax, payments.

Rounding, stated once: every line is rounded to the minor unit half up, once; totals are sums of rounded
lines. Hours arrive rounded to four decimals (`takeoff.labour`) and meet rates as exact decimals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import price_for_margin, round_up_to_step, to_minor
from quoting.engine.pricing.amounts import percent
from quoting.engine.pricing.payments import Payment, payments_of
from quoting.engine.pricing.totals import TaxLine, Totals, document_totals
from quoting.engine.pricing.works import Costs, PriceStep, cost_build_up
from quoting.engine.spec.types import Delivery
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.values import ShopTerms

_MARGIN_PLACES = 6


@dataclass(frozen=True, slots=True)
class Price(Costs):
    """What a quantity of one piece costs and sells for; only `unit_price` is for one piece."""

    target_margin: Decimal
    price_before_rounding: Decimal
    unit_price: Decimal
    net: Decimal
    """unit_price × quantity, before discount."""
    discount: Decimal
    net_after_discount: Decimal
    tax_lines: tuple[TaxLine, ...]
    tax: Decimal
    gross: Decimal
    deposit: Decimal
    """The first payment, due on order."""
    payments: tuple[Payment, ...]
    """Sum to `gross`."""
    margin: Decimal
    """net_after_discount − cost."""
    achieved_margin: Decimal
    """margin as a fraction of net_after_discount, to six decimals; 0 when nothing is asked."""


def price(
    materials: Sequence[MaterialLine],
    labour: Sequence[LabourLine],
    *,
    terms: ShopTerms,
    quantity: int = 1,
    moulds: int = 1,
    delivery: Delivery | None = None,
    discount: Decimal = Decimal(0),
    tax_category: str = "standard",
) -> Price:
    """Price of `quantity` identical pieces from their material and labour lines (both for the whole
    quantity).

    works cost = materials + wear + bought-in + labour + delivery + overhead; cost = works + breakage
    allowance; price = cost ÷ (1 − margin), a piece's share rounded up to the shop's step, and raised to
    the minimum job price; net = unit price × quantity; − discount (a fraction); + tax; payments by the
    shop's terms. `moulds` is how many moulds the quantity wears out. Refused for
    quantities below 1, discounts outside [0, 1), a margin of 100 % or more, and unknown choices in the terms.
    """
    _refuse_inputs(quantity, moulds, discount, terms.target_margin)
    costs = cost_build_up(materials, labour, terms=terms, quantity=quantity, moulds=moulds, delivery=delivery)
    units = terms.minor_units
    before = price_for_margin(costs.cost, terms.target_margin)
    unit_price = _unit_price(before, quantity, terms)
    net = unit_price * quantity
    off = to_minor(net * discount, units)
    totals = document_totals(
        [(net, tax_category)],
        terms.tax_rates,
        allowances=[(off, tax_category)] if off else (),
        minor_units=units,
    )
    payments = payments_of(totals.gross, terms)
    sold = Price(
        **_fields(costs),
        target_margin=terms.target_margin,
        price_before_rounding=before,
        unit_price=unit_price,
        net=net,
        discount=off,
        net_after_discount=totals.net,
        tax_lines=totals.tax_lines,
        tax=totals.tax,
        gross=totals.gross,
        deposit=payments[0].amount if terms.payment_stages or terms.deposit else Decimal(0),
        payments=payments,
        margin=totals.net - costs.cost,
        achieved_margin=achieved_margin(totals.net, costs.cost),
    )
    return replace(sold, steps=costs.steps + _selling_steps(sold, terms, discount, totals))


def achieved_margin(net: Decimal, cost: Decimal) -> Decimal:
    """Margin made as a fraction of the net price, (net − cost) ÷ net, to six decimals; 0 at a price of
    nothing.

    >>> achieved_margin(Decimal("1000"), Decimal("700"))
    Decimal('0.300000')
    """
    return to_minor((net - cost) / net, _MARGIN_PLACES) if net else to_minor(Decimal(0), _MARGIN_PLACES)


def _fields(costs: Costs) -> dict[str, Any]:
    return {field.name: getattr(costs, field.name) for field in fields(costs)}


def _unit_price(before: Decimal, quantity: int, terms: ShopTerms) -> Decimal:
    """A piece's share rounded up to the shop's step; a step finer than the minor unit is the minor unit."""
    step = max(terms.price_step, Decimal(1).scaleb(-terms.minor_units))
    wanted = max(before, terms.minimum_job_price) / quantity
    return to_minor(round_up_to_step(wanted, step), terms.minor_units)


def _selling_steps(sold: Price, terms: ShopTerms, discount: Decimal, totals: Totals) -> tuple[PriceStep, ...]:
    before = to_minor(sold.price_before_rounding, terms.minor_units)
    rounding = f"{before} ÷ {sold.quantity}, rounded up to a multiple of {terms.price_step}"
    if sold.price_before_rounding < terms.minimum_job_price:
        rounding = f"minimum job price {terms.minimum_job_price} ÷ {sold.quantity}, rounded up"
    margin = f"{sold.cost} ÷ (1 − {percent(terms.target_margin)}) = {before}"
    net = f"{sold.unit_price} × {sold.quantity} = {sold.net}"
    steps = [
        PriceStep("before_rounding", "Price at the target margin", before, margin),
        PriceStep("unit_price", "Price of one piece", sold.unit_price, rounding),
        PriceStep("net", "Net price", sold.net, net),
    ]
    if sold.discount:
        off = f"{sold.net} × {percent(discount)} = {sold.discount}"
        steps.append(PriceStep("discount", "Discount", -sold.discount, off))
    for line in totals.tax_lines:
        tax = f"{line.base} × {percent(line.rate)} = {line.tax}"
        steps.append(PriceStep("tax", f"Tax, {line.category}", line.tax, tax))
    steps.append(PriceStep("gross", "Total", sold.gross, f"{totals.net} + {totals.tax} = {sold.gross}"))
    return tuple(steps)


def _refuse_inputs(quantity: int, moulds: int, discount: Decimal, margin: Decimal) -> None:
    faults = []
    if quantity < 1:
        faults.append(Fault("quantity", "at least one piece", "out_of_range", str(quantity)))
    if moulds < 1:
        faults.append(Fault("moulds", "at least one mould", "out_of_range", str(moulds)))
    if not 0 <= discount < 1:
        message = "a discount is from 0 to less than 100 % of the price"
        faults.append(Fault("discount", message, "out_of_range", str(discount)))
    if not margin < 1:
        message = "a target margin is below 100 % of the price"
        faults.append(Fault("terms.target_margin", message, "out_of_range", str(margin)))
    if faults:
        raise Refused(faults)
