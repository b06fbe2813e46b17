"""The days of the work on quotes that are out or accepted, from what was frozen at issue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from quoting.engine.takeoff.calendar import add_working_days, on_calendar
from quoting.engine.takeoff.lines import CureStep
from quoting.engine.values import ShopTerms
from quoting.models import IssuedQuote
from quoting.selectors.price_book import shop_terms


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """One step of one piece of a quote."""

    quote: IssuedQuote
    item: int
    step: str
    name: str
    day: date
    why: str
    provisional: bool
    """The quote has not been accepted yet: the days are those if it were today it was issued on."""


def planned_days(on: date) -> Iterator[PlannedDay]:
    """Steps of every accepted quote, and of every one that is out and still valid on a day.

    Work starts on the working day after the answer, or after the issue where there is none yet; the first
    pour follows when the mould's hours are done.
    """
    terms = shop_terms()
    found = IssuedQuote.objects.select_related("quote", "quote__answer").defer("pdf", "workshop")
    for issued in found.filter(quote__status__in=("issued", "accepted")).order_by("pk"):
        if issued.quote.state(on) == issued.quote.status:
            yield from _days(issued, terms)


def _days(issued: IssuedQuote, terms: ShopTerms) -> Iterator[PlannedDay]:
    answer = getattr(issued.quote, "answer", None)
    began: datetime = answer.at if answer is not None else issued.issued_at
    start = timezone.localdate(began)
    chosen = answer.option if answer is not None else ""
    sides = zip(issued.data["items"], issued.basis["items"], strict=True)
    for position, (said, basis) in enumerate(sides, start=1):
        if chosen and said["option"] not in ("", chosen):
            continue
        estimate = basis["estimate"]
        pour = add_working_days(start, 1 + _mould_days(estimate, terms), terms)
        for step in on_calendar([_step(row) for row in estimate["cure"]], pour, terms):
            yield PlannedDay(issued, position, step.step, step.name, step.day, step.why, answer is None)


def _mould_days(estimate: Mapping[str, Any], terms: ShopTerms) -> int:
    hours = sum(float(line["elapsed_hours"]) for line in estimate["labour"] if line["stage"] == "mould")
    return int(-(-round(hours, 9) // terms.hours_per_day))


def _step(row: Mapping[str, Any]) -> CureStep:
    return CureStep(**row)
