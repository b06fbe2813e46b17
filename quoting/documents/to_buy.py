"""What to buy for several quotes: as plain data, as a table, as a paper with the boards' cutting diagrams."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from babel.dates import format_date
from babel.numbers import format_currency

from catalog import selectors as catalogue
from catalog.csv_cells import write_table
from catalog.models import ShopTerms as ShopRow
from quoting.documents.buying_list import buying_object
from quoting.documents.cut_sheets import one_by_one, stock_names
from quoting.documents.render import pdf
from quoting.engine.cutting.document import plan_document
from quoting.engine.drawing.values import Drawing
from quoting.selectors.to_buy import ToBuy

HEADER = (
    *("supplier", "code", "name", "packs", "pack", "needed", "on_hand", "unit", "cost", "currency"),
    *("lead_days", "working"),
)


def to_buy_object(found: ToBuy) -> dict[str, Any]:
    """JSON values; money as decimal strings, layouts as the cut list writes them."""
    orders = buying_object(found.orders)
    for order, said in zip(found.orders, orders, strict=True):
        for line, row in zip(order.lines, said["lines"], strict=True):
            row["on_hand"] = line.on_hand
    return {
        "on": found.on.isoformat(),
        "currency": found.terms.currency,
        "cost": str(found.cost),
        "pieces": [
            {"mark": one.mark, "quote": one.quote.pk, "number": one.quote.number or ""}
            | {"name": one.name, "quantity": one.quantity}
            for one in found.pieces
        ],
        "orders": orders,
        "layouts": [
            {"material": one.code} | plan_document(one.plan) for one in found.boards if one.plan is not None
        ],
    }


def to_buy_table(found: ToBuy) -> str:
    """The lines as RFC 4180 text."""
    return write_table(
        HEADER,
        (
            (
                *(order.supplier, line.code, line.name, line.packs, line.pack_name),
                *(f"{line.gross:.6g}", f"{line.on_hand:.6g}", line.unit, line.cost),
                *(found.terms.currency, line.lead_days, line.working),
            )
            for order in found.orders
            for line in order.lines
        ),
    )


def board_drawings(found: ToBuy) -> Iterator[Drawing]:
    """The cutting diagram of each board, parts under the marks of their pieces."""
    for number, one in enumerate(found.boards):
        if one.plan is not None:
            cut = [code for code, _ in one.bought] or [one.code]
            name = stock_names(found.book, cut, one.code)
            yield from one_by_one(one.plan, one.stock, found.terms.unit_system, name, f"together-{number}")


def orders_shown(found: ToBuy, locale: str) -> list[dict[str, Any]]:
    """The orders as a reader wants them; what has no supplier last."""

    def money(amount: Decimal) -> str:
        return str(format_currency(amount, found.terms.currency, locale=locale))

    return [
        {
            "supplier": order.supplier or "No supplier named",
            "lead_days": order.lead_days,
            "cost": money(order.cost),
            "lines": [(line, money(line.cost)) for line in order.lines],
        }
        for order in sorted(found.orders, key=lambda one: not one.supplier)
    ]


def to_buy_pdf(found: ToBuy, shop: ShopRow) -> bytes:
    """The paper, PDF/UA-1."""
    english = shop.locale.startswith("en")
    day = format_date(found.on, "long", locale=shop.locale if english else "en_GB")
    numbers = list(dict.fromkeys(one.quote.number or "a draft" for one in found.pieces))
    context = {
        "shop_name": shop.name,
        "language": shop.locale.replace("_", "-") if english else "en-GB",
        "cells": (
            ("Workshop", shop.name),
            ("Document", "Buying list"),
            ("Quotes", ", ".join(numbers[:3]) + (f" and {len(numbers) - 3} more" if numbers[3:] else "")),
            ("Prices of", day),
        ),
        "pieces": found.pieces,
        "orders": orders_shown(found, shop.locale),
        "total": format_currency(found.cost, found.terms.currency, locale=shop.locale),
        "drawings": list(board_drawings(found)),
    }
    logo = catalogue.logo(shop)
    return pdf("quoting/papers/to_buy.html", context, paper=shop.paper_size, logo=logo)
