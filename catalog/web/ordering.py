"""Tables in the order that their heads ask for, and as files for a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

from django.db.models import Model, OrderBy, QuerySet
from django.http import HttpResponse

M = TypeVar("M", bound=Model)
T = TypeVar("T")
Orders = Mapping[str, tuple[str | OrderBy, ...]]


def ordered(rows: QuerySet[M], asked: str, orders: Orders) -> tuple[QuerySet[M], str]:
    """The rows in the order asked for, and its name; the first of `orders` for one that is none of them.

    A name after a minus is that order the other way round.
    """
    order = asked if asked.removeprefix("-") in orders else next(iter(orders))
    found = rows.order_by(*orders[order.removeprefix("-")], "pk")
    return found.reverse() if order.startswith("-") else found, order


def arranged(rows: Iterable[T], asked: str, orders: Mapping[str, Callable[[T], Any]]) -> tuple[list[T], str]:
    """`ordered` for rows that no database orders: a row without the figure stands last, first the other way.

    Nothing asked, or none of `orders`: as they came, and no name.
    """
    found = list(rows)
    figure = orders.get(asked.removeprefix("-"))
    if figure is None:
        return found, ""
    found.sort(key=lambda row: (1, 0) if (value := figure(row)) is None else (0, value))
    return found[::-1] if asked.startswith("-") else found, asked


def csv_file(text: str, name: str) -> HttpResponse:
    """A table as a file to keep."""
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer
