"""The buying list: what to order from whom for a quote, as a paper and as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from babel.dates import format_date
from babel.numbers import format_currency

from quoting.documents.render import pdf
from quoting.documents.traveller import Work
from quoting.engine.takeoff.buying import SupplierOrder


def buying_object(orders: Sequence[SupplierOrder]) -> list[dict[str, Any]]:
    """The orders as JSON values; money as decimal strings."""
    return [
        {
            "supplier": order.supplier,
            "lead_days": order.lead_days,
            "cost": str(order.cost),
            "lines": [
                {
                    "code": line.code,
                    "name": line.name,
                    "packs": line.packs,
                    "pack_name": line.pack_name,
                    "gross": line.gross,
                    "unit": line.unit,
                    "cost": str(line.cost),
                    "lead_days": line.lead_days,
                    "stale": line.stale,
                    "working": line.working,
                }
                for line in order.lines
            ],
        }
        for order in orders
    ]


def buying_pdf(
    work: Work, orders: Sequence[Mapping[str, Any]], on: date, currency: str, *, undecided: bool = False
) -> bytes:
    """What `buying_object` wrote as a paper, PDF/UA-1; prices are those of the day `on`.

    `undecided` where the orders are for options of which the client has taken none yet.
    """

    def money(amount: str | Decimal) -> str:
        return str(format_currency(Decimal(amount), currency, locale=work.locale))

    def day(of: date) -> str:
        return str(format_date(of, "long", locale=work.locale if english else "en_GB"))

    english = work.locale.startswith("en")
    context = {
        "work": work,
        "undecided": undecided,
        "pour": day(work.pour),
        "language": work.locale.replace("_", "-") if english else "en-GB",
        "cells": (
            ("Workshop", work.shop_name),
            ("Document", f"Buying list {work.number}"),
            ("Commission", work.title),
            ("Prices of", day(on)),
        ),
        "orders": [
            {
                "supplier": order["supplier"] or "No supplier named",
                "lead_days": order["lead_days"],
                "cost": money(order["cost"]),
                "lines": [(line, money(line["cost"])) for line in order["lines"]],
            }
            for order in sorted(orders, key=lambda one: not one["supplier"])  # what has no supplier, last
        ],
        "total": money(sum((Decimal(order["cost"]) for order in orders), Decimal(0))),
    }
    return pdf("quoting/papers/buying_list.html", context, paper=work.paper, logo=work.logo)
