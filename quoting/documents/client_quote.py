"""The client's quote: what is said to the client as plain data, and the paper made of it.

The data is all that page, paper and interface show a client: it carries no cost, margin, hours or working.
It is frozen at issue as canonical JSON; the paper is made from it alone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from hashlib import sha256
from typing import Any

from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, format_percent

from catalog.models import ShopTerms as ShopRow
from quoting.documents.render import pdf
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate
from quoting.engine.estimate.words import describe
from quoting.engine.units import format_length, format_mass
from quoting.selectors.quotes import PricedItem, PricedLine, PricedQuote

CARE = (
    "Wipe up spills soon, wine, oil, citrus and vinegar first: they can mark any concrete, sealed or not.",
    "Clean with a soft cloth and a neutral soap; no scouring pads, bleach or descaler.",
    "Use mats under hot pans and boards under knives. Lift what is heavy, do not drag it.",
    "Have the sealer renewed when water no longer beads on the surface.",
)


@dataclass(frozen=True)
class Sent:
    """The facts that a quote gets when it is sent."""

    number: str
    issued_on: date
    valid_until: date


def client_data(priced: PricedQuote, shop: ShopRow, sent: Sent, names: Mapping[str, str]) -> dict[str, Any]:
    """All that is said to the client, as JSON values; amounts as decimal strings, dates as ISO 8601."""
    quote, totals = priced.quote, priced.totals
    return {
        "format": 1,
        "number": sent.number,
        "title": quote.title,
        "issued_on": sent.issued_on.isoformat(),
        "valid_until": sent.valid_until.isoformat(),
        "currency": priced.terms.currency,
        "locale": shop.locale,
        "paper": shop.paper_size,
        "shop": {
            "name": shop.name,
            "address": shop.address.splitlines(),
            "email": shop.email,
            "phone": shop.phone,
            "website": shop.website,
            "tax_number": shop.tax_number,
            "tax_label": shop.tax_label,
        },
        "client": {
            "name": quote.client.name,
            "contact_name": quote.client.contact_name,
            "address": quote.client.address.splitlines(),
        },
        "note": quote.note,
        "items": [_item(item, names, priced.terms.unit_system) for item in priced.items],
        "lines": [_line(line) for line in priced.lines],
        "discount": str(priced.discount),
        "net": str(totals.net),
        "tax": [
            {"category": tax.category, "rate": str(tax.rate), "base": str(tax.base), "tax": str(tax.tax)}
            for tax in totals.tax_lines
        ],
        "gross": str(totals.gross),
        "payments": [
            {"name": payment.name, "share": str(payment.share), "amount": str(payment.amount)}
            for payment in priced.payments
        ],
        "terms": [line for line in shop.terms_text.splitlines() if line.strip()],
        "care": list(CARE),
    }


def canonical(data: Mapping[str, Any]) -> bytes:
    """One spelling of the data, to be hashed: UTF-8 JSON, keys sorted, no spaces."""
    return json.dumps(
        data, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
    ).encode()


def digest(content: bytes) -> str:
    """SHA-256 as 64 hexadecimal digits."""
    return sha256(content).hexdigest()


def quote_pdf(data: Mapping[str, Any]) -> bytes:
    """The paper of a client's quote, PDF/UA-1, made from the data alone."""
    return pdf("quoting/papers/client_quote.html", page(data), paper=data["paper"])


def page(data: Mapping[str, Any]) -> dict[str, Any]:
    """The data as a reader wants it: money and dates in the quote's locale. For paper and page alike."""
    locale, currency = data["locale"], data["currency"]

    def money(amount: str) -> str:
        return format_currency(Decimal(amount), currency, locale=locale)

    return {
        "quote": data,
        "language": locale.replace("_", "-"),
        "issued_on": format_date(date.fromisoformat(data["issued_on"]), "long", locale=locale),
        "valid_until": format_date(date.fromisoformat(data["valid_until"]), "long", locale=locale),
        "items": [_shown(item, money) | {"number": at} for at, item in enumerate(data["items"], start=1)],
        "lines": [
            _shown(line, money) | {"quantity": format_decimal(Decimal(line["quantity"]), locale=locale)}
            for line in data["lines"]
        ],
        "discount": money("-" + data["discount"]) if Decimal(data["discount"]) else "",
        "net": money(data["net"]),
        "tax": [
            {
                "label": f"{data['shop']['tax_label']} {_percent(tax['rate'], locale)}",
                "base": money(tax["base"]),
                "tax": money(tax["tax"]),
            }
            for tax in data["tax"]
        ],
        "gross": money(data["gross"]),
        "payments": [
            {
                "name": payment["name"][0].upper() + payment["name"][1:],
                "share": _percent(payment["share"], locale),
                "amount": money(payment["amount"]),
            }
            for payment in data["payments"]
        ],
    }


def valid_until(issued_on: date, days: int) -> date:
    """The last day on which the quote can be accepted."""
    return issued_on + timedelta(days=days)


def _percent(share: str, locale: str) -> str:
    return format_percent(Decimal(share), format="#,##0.##%", locale=locale)


def _shown(row: Mapping[str, Any], money: Any) -> dict[str, Any]:
    return {**row, "unit_price": money(row["unit_price"]), "net": money(row["net"])}


def _item(priced: PricedItem, names: Mapping[str, str], system: str) -> dict[str, Any]:
    made = priced.estimate
    length, width, height = made.geometry.envelope_mm
    return {
        "name": priced.item.revision.piece.name,
        "revision": priced.item.revision.number,
        "quantity": made.quantity,
        "size": " × ".join(format_length(side, system) for side in (length, width, height)),
        "mass": format_mass(made.weights.total_kg, system),
        "included": list(describe(made.piece, names, system=system)),
        "drawings": [
            {"kind": kind, "title": drawing.title, "svg": drawing.svg}
            for kind, drawing in _drawings(made, system)
        ],
        "unit_price": str(made.price.unit_price),
        "net": str(made.price.net),
    }


def _drawings(made: Estimate, system: str) -> Sequence[tuple[str, Drawing]]:
    return (
        ("plan", plan(made.solid, made.geometry, system=system)),
        ("section", section_view(made.solid, made.geometry, system=system)),
    )


def _line(priced: PricedLine) -> dict[str, Any]:
    return {
        "text": priced.line.text,
        "quantity": str(priced.line.quantity),
        "unit_price": str(priced.line.unit_price),
        "net": str(priced.net),
    }
