"""The cost report as charts and paper, made from the plain object of the report alone."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, format_percent

from catalog import selectors as catalogue
from quoting.documents.render import pdf
from quoting.engine.drawing.charts import Bar, bars
from quoting.engine.drawing.values import Drawing
from shop.jobs.units import shop_unit
from shop.jobs.units import shown as in_shop_unit

FORECASTS = {
    "plan": "The rest as planned",
    "cost": "The rest as dear as so far",
    "both": "As dear and as slow as so far",
}
MOST_BARS = 12
"""In one chart, so that it stays on its sheet: those of a long name have two lines each."""
Row = Mapping[str, Any]


def charts(shown: Mapping[str, Any], *, compact: bool = False) -> tuple[Drawing, ...]:
    """Cost by kind and hours by operation, each against its plan; none where there is nothing to draw.

    `compact` letters them for a phone.
    """
    locale = catalogue.shop_terms().locale
    costs = [
        Bar(
            line["name"].split(" (")[0],
            float(line["forecast"]),
            f"{_plain(line['forecast'], locale)}, planned {_plain(line['planned'], locale)}",
            float(line["planned"]),
        )
        for line in shown["lines"][:-1]
    ]
    hours = [
        Bar(
            ", ".join(filter(None, (line["name"], _of(line, shown)))),
            float(line["worked_hours"]),
            f"{_plain(line['worked_hours'], locale)} h, planned {_plain(line['planned_hours'], locale)} h",
            float(line["planned_hours"]),
        )
        for line in shown["operations"]
        if not line["after_mishap"]
    ]
    drawn, small = [], "small-" * compact
    if any(row.value or row.expected for row in costs):
        title = f"Cost at completion against plan, {shown['currency']}"
        drawn.append(bars(costs, title=title, compact=compact, prefix=f"{small}costs"))
    reach = max((max(row.value, row.expected or 0.0) for row in hours), default=0.0)
    for start in range(0, len(hours), MOST_BARS):
        part, prefix = hours[start : start + MOST_BARS], f"{small}hours{start or ''}"
        title = "Hours worked against plan" + (", continued" if start else "")
        drawn.append(bars(part, title=title, compact=compact, prefix=prefix, reach=reach))
    return tuple(drawn)


def report_pdf(shown: Mapping[str, Any]) -> bytes:
    """The paper of a cost report, PDF/UA-1."""
    shop, page = catalogue.shop_terms(), report_page(shown)
    cells = (
        ("Workshop", shop.name),
        ("Document", f"Cost report {shown['number']}"),
        ("As of", page["on"]),
        ("Job", shown["status"].capitalize()),
    )
    context = page | {"shop": shop, "cells": cells}
    logo = catalogue.logo(shop)
    return pdf("jobs/papers/cost_report.html", context, paper=shop.paper_size, logo=logo)


def report_page(shown: Mapping[str, Any]) -> dict[str, Any]:
    """The report as a reader wants it: money, dates and shares in the shop's locale. Paper and page alike."""
    terms = catalogue.shop_terms()
    locale, system = terms.locale, terms.unit_system

    def money(amount: str | None) -> str:
        return (
            "not available"
            if amount is None
            else format_currency(Decimal(amount), shown["currency"], locale=locale)
        )

    def share(value: str | None) -> str:
        return (
            "not available"
            if value is None
            else format_percent(Decimal(value), format="#,##0.0 %", locale=locale)
        )

    amounts = ("planned", "actual", "to_come", "forecast", "variance")
    earned = shown["earned_value"]
    return {
        "report": shown,
        "language": locale.replace("_", "-"),
        "on": format_date(date.fromisoformat(shown["on"]), "long", locale=locale),
        "price": money(shown["price"]),
        "lines": [{**line, **{name: money(line[name]) for name in amounts}} for line in shown["lines"]],
        "operations": [
            {**_shown(line, money, share, locale), "of": _of(line, shown)} for line in shown["operations"]
        ],
        "materials": [
            {**_shown(_in_shop_units(line, system), money, share, locale), "of": _of(line, shown)}
            for line in shown["materials"]
        ],
        "mishaps": [_shown(line, money, share, locale) for line in shown["mishaps"]],
        "earned": {name: money(earned[name]) for name in ("budget", "planned", "earned", "spent")}
        | {name: money(earned[name]) for name in ("cost_variance", "schedule_variance")}
        | {
            name: _index(earned[name], locale)
            for name in ("cost_index", "schedule_index", "index_for_budget")
        }
        | {"share_done": share(earned["share_done"])},
        "forecasts": [
            {
                "name": FORECASTS[one["method"]],
                "at_completion": money(one["at_completion"]),
                "variance": money(one["variance"]),
            }
            for one in earned["forecasts"]
        ],
        "margins": [
            {
                "name": name.capitalize(),
                "amount": money(one["amount"]),
                "of_price": share(one["of_price"]),
                "of_cost": share(one["of_cost"]),
            }
            for name, one in shown["margin"].items()
            if one is not None
        ],
        "charts": charts(shown),
        "shows_pay": any("actual_cost" in line for line in shown["operations"]),
    }


def _of(line: Row, shown: Mapping[str, Any]) -> str:
    """The piece that a line belongs to, where the job has several."""
    pieces = {one["piece"] for one in (*shown["operations"], *shown["materials"])}
    return str(line["piece"]) if len(pieces) > 1 else ""


def _in_shop_units(line: Row, system: str) -> Row:
    """A material's line with its quantities and its unit as the shop counts."""
    names = [name for name in line if name.endswith("_quantity")]
    counted = {name: str(in_shop_unit(Decimal(line[name]), line["unit"], system)) for name in names}
    return {**line, **counted, "unit": shop_unit(line["unit"], system)}


def _shown(line: Row, money: Any, share: Any, locale: str) -> dict[str, Any]:
    said = dict(line)
    for name, value in line.items():
        if name.endswith(("_cost", "_variance", "cost_to_come")) or name in {"actual", "to_come"}:
            said[name] = money(value)
        elif name.endswith(("_hours", "_quantity", "hours_to_come")) or name == "hours":
            said[name] = _plain(value, locale)
        elif name == "done":
            said[name] = share(value)
    return said


def _plain(value: str, locale: str) -> str:
    return format_decimal(Decimal(value), format="#,##0.##", locale=locale)


def _index(value: str | None, locale: str) -> str:
    return "not available" if value is None else format_decimal(Decimal(value), format="0.00", locale=locale)
