"""The days of the work: of a job as they are planned there, of a quote without one as it was frozen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from quoting.engine.takeoff.calendar import add_working_days, on_calendar
from quoting.engine.takeoff.lines import CureStep
from quoting.engine.values import ShopTerms
from quoting.models import IssuedQuote, Quote
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
    written: datetime
    """When what it rests on was written, in UTC."""
    job: str = ""
    """Number of the job, once there is one."""


def planned_days(on: date) -> Iterator[PlannedDay]:
    """Steps of every accepted quote, and of every one that is out and still valid on a day.

    A job's days are those planned there, as mishaps and people have moved them; nothing is to come of a
    closed one. Without a job work starts on the working day after the answer, or after the issue where there
    is none yet; the first pour follows when the mould's hours are done.
    """
    terms = shop_terms()
    found = IssuedQuote.objects.select_related("quote", "quote__answer").defer("pdf", "workshop")
    found = found.prefetch_related("quote__job__pieces__dates", "quote__job__events")
    for issued in found.filter(quote__status__in=("issued", "accepted")).order_by("pk"):
        if (job := getattr(issued.quote, "job", None)) is not None:
            yield from _days_of_job(issued, job)
        elif issued.quote.state(on) == issued.quote.status:
            yield from _days(issued, terms)


def planned_pour(quote: Quote) -> date | None:
    """The first day that something is poured on in a quote's job, as it is planned there."""
    job = getattr(quote, "job", None)
    pieces = job.pieces.prefetch_related("dates") if job is not None else ()
    days = [one.planned_on for piece in pieces for one in piece.dates.all() if one.step == "pour"]
    return min(days, default=None)


def _days_of_job(issued: IssuedQuote, job: Any) -> Iterator[PlannedDay]:
    answer = getattr(issued.quote, "answer", None)
    taken = ("", answer.option if answer is not None else "")
    made = [at for at, said in enumerate(issued.data["items"], start=1) if said["option"] in taken]
    written = max((event.at for event in job.events.all()), default=job.created_at)
    for position, piece in zip(made, job.pieces.all(), strict=False):
        cure = issued.basis["items"][position - 1]["estimate"]["cure"]
        why = {row["step"]: row["why"] for row in cure}
        for one in piece.dates.all():
            if job.closed_on is None or one.planned_on <= job.closed_on:
                said = why.get(one.step, "")
                yield PlannedDay(
                    issued, position, one.step, one.name, one.planned_on, said, False, written, job.number
                )


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
            yield PlannedDay(
                issued, position, step.step, step.name, step.day, step.why, answer is None, issued.issued_at
            )


def _mould_days(estimate: Mapping[str, Any], terms: ShopTerms) -> int:
    hours = sum(float(line["elapsed_hours"]) for line in estimate["labour"] if line["stage"] == "mould")
    return int(-(-round(hours, 9) // terms.hours_per_day))


def _step(row: Mapping[str, Any]) -> CureStep:
    return CureStep(**row)
