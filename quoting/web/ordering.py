"""Tables in the order that their heads ask for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from django.db.models import Model, QuerySet

M = TypeVar("M", bound=Model)


def ordered(rows: QuerySet[M], asked: str, orders: Mapping[str, tuple[str, ...]]) -> tuple[QuerySet[M], str]:
    """The rows in the order asked for, and its name; the first of `orders` for one that is none of them."""
    order = asked if asked in orders else next(iter(orders))
    return rows.order_by(*orders[order], "pk"), order
