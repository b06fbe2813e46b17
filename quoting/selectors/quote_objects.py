"""A quote's figures as the plain object of the API: a draft priced now, an issued one as it was frozen."""

from __future__ import annotations

from typing import Any

from quoting.engine.estimate.report import report
from quoting.models import Quote
from quoting.selectors.quotes import PricedOption, PricedQuote, price_quote


def priced_object(quote: Quote, *, pay: bool) -> dict[str, Any]:
    """What the quote comes to; without `pay`, no pay rate and no single operation's cost.

    Raises Refused when a draft cannot be priced with the catalogue of its day.
    """
    if quote.status != Quote.Status.DRAFT:
        return _frozen(quote, pay)
    return _priced(price_quote(quote), pay)


def _priced(priced: PricedQuote, pay: bool) -> dict[str, Any]:
    return {
        "currency": priced.terms.currency,
        "items": [
            {
                "name": item.item.revision.piece.name,
                "option": item.item.option,
                "quantity": item.estimate.quantity,
                "unit_price": str(item.estimate.price.unit_price),
                "net": str(item.net),
                "estimate": report(item.estimate, pay=pay),
            }
            for item in priced.items
        ],
        "lines": [
            {"text": line.line.text, "option": line.line.option, "net": str(line.net)}
            for line in priced.lines
        ],
        **_sums(priced.options[0]),
        "options": [{"name": one.name, **_sums(one)} for one in priced.options if one.name],
    }


def _sums(option: PricedOption) -> dict[str, Any]:
    totals = option.totals
    return {
        "discount": str(totals.allowances),
        "net": str(totals.net),
        "tax": [
            {"category": tax.category, "rate": str(tax.rate), "base": str(tax.base), "tax": str(tax.tax)}
            for tax in totals.tax_lines
        ],
        "gross": str(totals.gross),
        "payments": [
            {"name": payment.name, "share": str(payment.share), "amount": str(payment.amount)}
            for payment in option.payments
        ],
        "cost": str(option.cost),
    }


def _frozen(quote: Quote, pay: bool) -> dict[str, Any]:
    issued = quote.issued
    said = issued.data
    items = [
        {
            "name": item["name"],
            "option": item.get("option", ""),
            "quantity": item["quantity"],
            "unit_price": item["unit_price"],
            "net": item["net"],
            "estimate": basis["estimate"] if pay else _without_pay(basis["estimate"]),
        }
        for item, basis in zip(said["items"], issued.basis["items"], strict=True)
    ]
    kept = ("currency", "discount", "net", "tax", "gross", "payments")
    costs = {one["name"]: one["cost"] for one in issued.basis.get("options", ())}
    return {name: said[name] for name in kept} | {
        "items": items,
        "lines": [
            {"text": line["text"], "option": line.get("option", ""), "net": line["net"]}
            for line in said["lines"]
        ],
        "options": [one | {"cost": costs[one["name"]]} for one in said.get("options", ())],
        "cost": issued.basis["cost"],
        "valid_until": said["valid_until"],
        "data_sha256": issued.data_sha256,
        "pdf_sha256": issued.pdf_sha256,
    }


def _without_pay(estimate: dict[str, Any]) -> dict[str, Any]:
    hidden = {"rate", "cost"}
    labour = [{key: line[key] for key in line if key not in hidden} for line in estimate["labour"]]
    return estimate | {"labour": labour}
