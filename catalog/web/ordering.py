"""Tables in the order that their heads ask for, and as files for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from django.db.models import Model, OrderBy, QuerySet
from django.http import HttpResponse

M = TypeVar("M", bound=Model)
Orders = Mapping[str, tuple[str | OrderBy, ...]]


def ordered(rows: QuerySet[M], asked: str, orders: Orders) -> tuple[QuerySet[M], str]:
    """The rows in the order asked for, and its name; the first of `orders` for one that is none of them.

    A name after a minus is that order the other way round.
    """
    order = asked if asked.removeprefix("-") in orders else next(iter(orders))
    found = rows.order_by(*orders[order.removeprefix("-")], "pk")
    return found.reverse() if order.startswith("-") else found, order


def csv_file(text: str, name: str) -> HttpResponse:
    """A table as a file to keep."""
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer
