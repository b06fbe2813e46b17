"""The cost report as a table for a spreadsheet, made from the plain object of the report alone."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any

from catalog.csv_cells import neutral

HEADER = (
    "part",
    "piece",
    "code",
    "name",
    "unit",
    "planned quantity",
    "actual quantity",
    "quantity to come",
    "planned",
    "actual",
    "to come",
    "at completion",
    "price or rate variance",
    "usage or efficiency variance",
)
EARNED = {
    "budget": "Budget",
    "planned": "Planned by now",
    "earned": "Earned",
    "spent": "Spent",
    "cost_variance": "Earned less spent",
    "schedule_variance": "Earned less planned",
    "cost_index": "Cost index",
    "schedule_index": "Schedule index",
    "index_for_budget": "Index needed for the budget",
    "share_done": "Share done",
}
_NOT_MONEY = {"cost_index", "schedule_index", "index_for_budget", "share_done"}
Row = Mapping[str, Any]


def report_csv(shown: Row) -> str:
    """The report as RFC 4180 text: a line for each figure of it, amounts in the currency of its first line.

    Texts are neutralised, so that no spreadsheet takes one for a formula; figures are plain numbers.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, HEADER, restval="", lineterminator="\r\n")
    writer.writeheader()
    for rows in (_job, _operations, _materials, _mishaps, _earned, _margins):
        writer.writerows(rows(shown))
    return "\ufeff" + out.getvalue()


def _job(shown: Row) -> Iterator[Row]:
    money = shown["currency"]
    named = {"code": neutral(shown["number"]), "name": neutral(shown["title"])}
    yield {"part": "job", **named, "unit": money, "planned": shown["price"]}
    for line in shown["lines"]:
        yield {
            "part": "cost",
            "code": line["code"],
            "name": line["name"],
            "unit": money,
            "planned": line["planned"],
            "actual": line["actual"],
            "to come": line["to_come"],
            "at completion": line["forecast"],
        }
    hours = shown["hours"]
    yield {
        "part": "hours",
        "name": "All operations",
        "unit": "h",
        "planned quantity": hours["planned"],
        "actual quantity": hours["worked"],
        "quantity to come": hours["to_come"],
    }


def _operations(shown: Row) -> Iterator[Row]:
    for line in shown["operations"]:
        yield {
            "part": "rework" if line["after_mishap"] else "operation",
            "piece": neutral(line["piece"]),
            "code": neutral(line["operation"]),
            "name": neutral(line["name"]),
            "unit": "h",
            "planned quantity": line["planned_hours"],
            "actual quantity": line["worked_hours"],
            "quantity to come": line["hours_to_come"],
            "planned": line.get("planned_cost", ""),
            "actual": line.get("actual_cost", ""),
            "price or rate variance": line.get("rate_variance", ""),
            "usage or efficiency variance": line.get("efficiency_variance", ""),
        }


def _materials(shown: Row) -> Iterator[Row]:
    for line in shown["materials"]:
        yield {
            "part": "rework" if line["after_mishap"] else "material",
            "piece": neutral(line["piece"]),
            "code": neutral(line["code"]),
            "name": neutral(line["name"]),
            "unit": neutral(line["unit"]),
            "planned quantity": line["planned_quantity"],
            "actual quantity": line["used_quantity"],
            "planned": line["planned_cost"],
            "actual": line["actual_cost"],
            "to come": line["cost_to_come"],
            "price or rate variance": line["price_variance"],
            "usage or efficiency variance": line["usage_variance"],
        }


def _mishaps(shown: Row) -> Iterator[Row]:
    for line in shown["mishaps"]:
        yield {
            "part": "mishap",
            "code": line["stage"],
            "name": neutral(line["what"]),
            "unit": "h",
            "actual quantity": line["hours"],
            "actual": line.get("actual", ""),
            "to come": line.get("to_come", ""),
        }


def _earned(shown: Row) -> Iterator[Row]:
    earned, money = shown["earned_value"], shown["currency"]
    for code, name in EARNED.items():
        unit = "" if code in _NOT_MONEY else money
        yield {"part": "earned value", "code": code, "name": name, "unit": unit, "actual": earned[code]}
    for one in earned["forecasts"]:
        yield {
            "part": "forecast",
            "code": one["method"],
            "unit": money,
            "to come": one["to_come"],
            "at completion": one["at_completion"],
        }


def _margins(shown: Row) -> Iterator[Row]:
    for name, margin in shown["margin"].items():
        if margin is not None:
            named = {"code": name, "name": f"Margin {name}", "unit": shown["currency"]}
            yield {"part": "margin", **named, "actual": margin["amount"]}
