"""Totals of a commercial document: lines, allowances, charges, tax by category, what is due.

The order of sums and the places of rounding are those of EN 16931-1 (rules BR-CO-10 to BR-CO-17 and BR-S-08,
BR-S-09 of its validation artefacts): tax is worked out once a category on the summed base, not line by line.
Every amount has at most the currency's minor units; rounding is half up, ties away from zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import to_minor

Amount = tuple[Decimal, str]
"""A net amount and the tax category it falls under."""


@dataclass(frozen=True, slots=True)
class TaxLine:
    """Tax of one category: base × rate, rounded once."""

    category: str
    rate: Decimal
    base: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class Totals:
    """The totals a document prints; each is the exact sum of what stands above it."""

    lines: Decimal
    allowances: Decimal
    charges: Decimal
    net: Decimal
    tax_lines: tuple[TaxLine, ...]
    tax: Decimal
    gross: Decimal
    prepaid: Decimal
    rounding: Decimal
    due: Decimal


def document_totals(
    lines: Sequence[Amount],
    rates: Mapping[str, Decimal],
    *,
    allowances: Sequence[Amount] = (),
    charges: Sequence[Amount] = (),
    prepaid: Decimal = Decimal(0),
    rounding: Decimal = Decimal(0),
    minor_units: int = 2,
) -> Totals:
    """Totals of a document by EN 16931: net = lines − allowances + charges; tax by category; due = gross −
    prepaid.

    `lines`, `allowances`, `charges` are (net amount, category) in whole minor units of one currency;
    `rates` are fractions by category; `rounding` is an amount added to what is due (cash rounding,
    BT-114), outside the gross total. Refused for an amount finer than the minor unit and for a category
    without a rate.

    >>> document_totals([(Decimal("10.02"), "standard")] * 7, {"standard": Decimal("0.19")}).tax
    Decimal('13.33')
    """
    _refuse(lines, allowances, charges, rates, minor_units)
    bases: dict[str, Decimal] = {}
    for sign, amounts in ((1, lines), (-1, allowances), (1, charges)):
        for amount, category in amounts:
            bases[category] = bases.get(category, Decimal(0)) + sign * amount
    tax_lines = tuple(
        TaxLine(category, rates[category], base, to_minor(base * rates[category], minor_units))
        for category, base in sorted(bases.items(), key=lambda item: (-rates[item[0]], item[0]))
    )
    line_total, allowance_total, charge_total = (_total(amounts) for amounts in (lines, allowances, charges))
    net = line_total - allowance_total + charge_total
    tax = sum((line.tax for line in tax_lines), Decimal(0))
    return Totals(
        lines=line_total,
        allowances=allowance_total,
        charges=charge_total,
        net=net,
        tax_lines=tax_lines,
        tax=tax,
        gross=net + tax,
        prepaid=prepaid,
        rounding=rounding,
        due=net + tax - prepaid + rounding,
    )


def line_net(
    quantity: Decimal,
    unit_price: Decimal,
    *,
    per: Decimal = Decimal(1),
    allowance: Decimal = Decimal(0),
    charge: Decimal = Decimal(0),
    minor_units: int = 2,
) -> Decimal:
    """Net of one line: quantity × unit price ÷ `per` − allowance + charge, rounded once.

    `per` is the quantity the price is quoted for (a dozen: 12), above zero. Source: EN 16931-1, BT-131.

    >>> line_net(Decimal(132), Decimal("15.24"), per=Decimal(12))
    Decimal('167.64')
    """
    if per <= 0:
        raise ValueError("the quantity a price is quoted for must be above zero")
    return to_minor(quantity * unit_price / per, minor_units) - allowance + charge


def cash_rounding(due: Decimal, step: Decimal) -> Decimal:
    """What to add to an amount due so that it can be paid in coins of `step`, nearest, halves away from zero.

    Only for payment in cash, only on the total, after tax.

    >>> cash_rounding(Decimal("4.92"), Decimal("0.05"))
    Decimal('-0.02')
    """
    if step <= 0:
        raise ValueError("a coin must be worth more than nothing")
    return to_minor(due / step, 0) * step - due


def _total(amounts: Iterable[Amount]) -> Decimal:
    return sum((amount for amount, _ in amounts), Decimal(0))


def _refuse(
    lines: Sequence[Amount],
    allowances: Sequence[Amount],
    charges: Sequence[Amount],
    rates: Mapping[str, Decimal],
    minor_units: int,
) -> None:
    faults = []
    for name, amounts in (("lines", lines), ("allowances", allowances), ("charges", charges)):
        for index, (amount, category) in enumerate(amounts):
            if category not in rates:
                message = f"no tax rate is known for the category {category!r}; known: {', '.join(rates)}"
                faults.append(Fault(f"{name}[{index}].tax_category", message, "unknown_code", category))
            if not amount.is_finite() or to_minor(amount, minor_units) != amount:
                message = f"an amount has at most {minor_units} decimals in this currency"
                faults.append(Fault(f"{name}[{index}].net", message, "too_fine", str(amount)))
    if faults:
        raise Refused(faults)
