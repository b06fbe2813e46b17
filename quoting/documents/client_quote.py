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

from catalog import selectors as catalogue
from catalog.models import ShopTerms as ShopRow
from quoting.documents.quoted_piece import quoted_piece
from quoting.documents.render import pdf
from quoting.selectors.price_book import names_of
from quoting.selectors.quotes import PricedLine, PricedOption, PricedQuote

CARE = (
    "Wipe up spills soon, wine, oil, citrus and vinegar first: they can mark any concrete, sealed or not.",
    "Clean with a soft cloth and a neutral soap; no scouring pads, bleach or descaler.",
    "Use mats under hot pans and boards under knives. Lift what is heavy, do not drag it.",
    "Have the sealer renewed when water no longer beads on the surface.",
)
ROOM_MM = {"A4": 265.0, "Letter": 247.0}
"""Height that the margins of print.css leave for text."""
LEAST_SHARE = 0.7
"""Drawings of a piece are made smaller to share a sheet, down to this: they must stay legible."""


@dataclass(frozen=True)
class Sent:
    """The facts that a quote gets when it is sent."""

    number: str
    issued_on: date
    valid_until: date


def client_data(priced: PricedQuote, shop: ShopRow, sent: Sent, names: Mapping[str, str]) -> dict[str, Any]:
    """All that is said to the client, as JSON values; amounts as decimal strings, dates as ISO 8601.

    Where the quote offers alternatives, each is in `options`, and the sums beside them are the first one's.
    """
    quote = priced.quote
    return {
        "format": 1,
        "number": sent.number,
        "title": quote.title,
        "replaces": quote.revises.number if quote.revises else "",
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
            **_logo_named(shop),
        },
        "client": {
            "name": quote.client.name,
            "contact_name": quote.client.contact_name,
            "address": quote.client.address.splitlines(),
        },
        "note": quote.note,
        "items": [
            quoted_piece(item, names, priced.terms.unit_system, position)
            for position, item in enumerate(priced.items, start=1)
        ],
        "lines": [_line(line) for line in priced.lines],
        **_sums(priced.options[0]),
        "options": [{"name": option.name, **_sums(option)} for option in priced.options if option.name],
        "terms": [line for line in shop.terms_text.splitlines() if line.strip()],
        "care": list(CARE),
    }


def draft_data(priced: PricedQuote, on: date) -> dict[str, Any]:
    """What a draft would say to the client if it were issued on a day; its number is still "Draft"."""
    quote = priced.quote
    sent = Sent("Draft", on, valid_until(on, quote.valid_days))
    return client_data(priced, catalogue.shop_terms(), sent, names_of(quote.quoted_on))


def canonical(data: Mapping[str, Any]) -> bytes:
    """One spelling of the data, to be hashed: UTF-8 JSON, keys sorted, no spaces."""
    return json.dumps(
        data, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
    ).encode()


def digest(content: bytes) -> str:
    """SHA-256 as 64 hexadecimal digits."""
    return sha256(content).hexdigest()


def quote_pdf(data: Mapping[str, Any]) -> bytes:
    """The paper of a client's quote, PDF/UA-1, made from the data alone, and the logo that it names."""
    shown = page(data)
    cells = (
        ("Workshop", data["shop"]["name"]),
        ("Document", f"Quote {data['number']}"),
        ("Date of issue", shown["issued_on"]),
        ("Valid until", shown["valid_until"]),
    )
    context = shown | {"cells": cells, "sums": shown}
    return pdf("quoting/papers/client_quote.html", context, paper=data["paper"], logo=logo_of(data))


def logo_of(data: Mapping[str, Any]) -> catalogue.Logo | None:
    """The logo that the data names by its hash; None where they name none."""
    named = data["shop"].get("logo")
    return catalogue.logo_named(named["sha256"], named["text"]) if named else None


def page(data: Mapping[str, Any]) -> dict[str, Any]:
    """The data as a reader wants it: money and dates in the quote's locale. For paper and page alike."""
    locale, currency = data["locale"], data["currency"]

    def money(amount: str) -> str:
        return format_currency(Decimal(amount), currency, locale=locale)

    items = [_shown(item, money) | _read(item, at, data) for at, item in enumerate(data["items"], start=1)]
    return {
        "quote": data,
        # the words are English; the locale spells money and dates
        "language": locale.replace("_", "-") if locale.startswith("en") else "en-GB",
        "issued_on": format_date(date.fromisoformat(data["issued_on"]), "long", locale=locale),
        "valid_until": format_date(date.fromisoformat(data["valid_until"]), "long", locale=locale),
        "items": items,
        "one_piece": len(items) == 1,
        "lines": [
            _shown(line, money) | {"quantity": format_decimal(Decimal(line["quantity"]), locale=locale)}
            for line in data["lines"]
        ],
        **_shown_sums(data, data, money),
        "options": [
            _shown_sums(option, data, money) | {"name": option["name"]} for option in data["options"]
        ],
    }


def sized(drawings: Sequence[Mapping[str, Any]], paper: str) -> list[dict[str, Any]]:
    """Drawings with the width they are printed at: smaller together where they would not fit on one sheet
    with their heading, and no drawing taller than a sheet, which would cut it off."""
    room = ROOM_MM[paper] - 12.0 * len(drawings)
    share = max(min(1.0, room / sum(one["height_mm"] for one in drawings)), LEAST_SHARE)
    highest = ROOM_MM[paper] - 12.0
    return [
        {**one, "printed_mm": round(one["width_mm"] * min(share, highest / one["height_mm"]), 1)}
        for one in drawings
    ]


def valid_until(issued_on: date, days: int) -> date:
    """The last day on which the quote can be accepted."""
    return issued_on + timedelta(days=days)


def _logo_named(shop: ShopRow) -> dict[str, Any]:
    logo = catalogue.logo(shop)
    return {"logo": {"sha256": logo.sha256, "text": logo.text}} if logo else {}


def _read(item: Mapping[str, Any], number: int, data: Mapping[str, Any]) -> dict[str, Any]:
    """What a page needs besides: the item's number, its sentences in one run, its drawings by use."""
    sheets = [drawing for drawing in item["drawings"] if drawing["kind"] != "isometric"]
    return {
        "number": number,
        "headed": len(data["items"]) > 1 or item["name"] != data["title"],
        "subjects": item["included"],
        "included": [sentence for subject in item["included"] for sentence in subject["sentences"]],
        "view": next(drawing for drawing in item["drawings"] if drawing["kind"] == "isometric"),
        "sheets": sized(sheets, data["paper"]),
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
    }


def _shown_sums(sums: Mapping[str, Any], data: Mapping[str, Any], money: Any) -> dict[str, Any]:
    locale, label = data["locale"], data["shop"]["tax_label"]
    return {
        "discount": money("-" + sums["discount"]) if Decimal(sums["discount"]) else "",
        "net": money(sums["net"]),
        "tax": [
            {
                "label": f"{label} {_percent(tax['rate'], locale)}",
                "base": money(tax["base"]),
                "tax": money(tax["tax"]),
            }
            for tax in sums["tax"]
        ],
        "gross": money(sums["gross"]),
        "payments": [
            {
                "name": payment["name"][0].upper() + payment["name"][1:],
                "share": _percent(payment["share"], locale),
                "amount": money(payment["amount"]),
            }
            for payment in sums["payments"]
        ],
    }


def _percent(share: str, locale: str) -> str:
    """A rate or share with all its decimals: 8.875 % is not 8.88 %."""
    return format_percent(Decimal(share), format="#,##0.######%", locale=locale)


def _shown(row: Mapping[str, Any], money: Any) -> dict[str, Any]:
    return {**row, "unit_price": money(row["unit_price"]), "net": money(row["net"])}


def _line(priced: PricedLine) -> dict[str, Any]:
    return {
        "text": priced.line.text,
        "option": priced.line.option,
        "quantity": str(priced.line.quantity),
        "unit_price": str(priced.line.unit_price),
        "net": str(priced.net),
    }
