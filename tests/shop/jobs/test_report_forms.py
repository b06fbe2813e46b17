"""The cost report says the same on the page, on paper, as table and as object, at every moment of a job."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from babel.numbers import format_currency
from django.template.loader import render_to_string
from pikepdf import Pdf

from shop.jobs.documents.cost_report import report_page, report_pdf
from shop.jobs.documents.cost_table import report_csv
from shop.jobs.models import Job, PlannedMaterial, PlannedOperation
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.report_object import report_object
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.jobs import close_job
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import Work, add_minutes
from tests.quoting.documents.words import words
from tests.shop.jobs.conftest import NOW, TODAY

D = Decimal
LATER = datetime(2026, 3, 3, 16, tzinfo=UTC)
Stage = Callable[[Job, dict[str, Any]], object]


def empty(job: Job, people: dict[str, Any]) -> None:
    """Nothing happened yet."""


def partly(job: Job, people: dict[str, Any]) -> None:
    """Hours, a purchase, a recast, half an operation."""
    op = {one.code: one for one in PlannedOperation.objects.filter(piece__job=job)}
    bags = PlannedMaterial.objects.get(piece__job=job, code="BAG-GREY")
    add_minutes(job, Work(op["CUT"]), person=people["bench"], minutes=D(275), worked_on=TODAY, now=NOW)
    record_draw(job, Drawn(D(225), "bought", bags, amount=D("97.31")), on=TODAY, by=people["owner"], now=NOW)
    record_progress(op["CUT"], D(1), by=people["bench"], at=NOW, now=NOW)
    record_progress(op["CAST"], D("0.5"), by=people["bench"], at=NOW, now=NOW)
    told = Happened(op["TURN"], "Cracked", "recast", TODAY, minutes=D(25))
    record_mishap(told, by=people["bench"], now=NOW + timedelta(minutes=1))


def closed(job: Job, people: dict[str, Any]) -> None:
    """All that, and closed."""
    partly(job, people)
    close_job(job, on=TODAY)


@pytest.mark.parametrize("happened", [empty, partly, closed])
def test_four_forms_of_one_report(job: Job, pay: None, people: dict[str, Any], happened: Stage) -> None:
    happened(job, people)
    job.refresh_from_db()
    shown = report_object(job, report_of(job, now=LATER), pay=True)
    table = list(csv.DictReader(io.StringIO(report_csv(shown).removeprefix("\ufeff"))))
    paper = words(Pdf.open(BytesIO(report_pdf(shown))))
    page = render_to_string("jobs/_report.html", report_page(shown))
    by_code = {(row["part"], row["code"]): row for row in table}
    for line in shown["lines"]:
        row = by_code["cost", line["code"]]
        told = [row[name] for name in ("planned", "actual", "to come", "at completion")]
        assert told == [line[name] for name in ("planned", "actual", "to_come", "forecast")]
        for amount in told:
            written = format_currency(D(amount), "EUR", locale="en_GB")
            assert written in page
            assert written.replace("\xa0", " ") in paper.replace("\xa0", " ")
    for one in shown["earned_value"]["forecasts"]:
        assert by_code["forecast", one["method"]]["at completion"] == (one["at_completion"] or "")
    operations = [row for row in table if row["part"] in {"operation", "rework"} and row["unit"] == "h"]
    assert [row["actual quantity"] for row in operations] == [
        one["worked_hours"] for one in shown["operations"]
    ]
    assert [row["actual"] for row in table if row["part"] == "margin"] == [
        one["amount"] for one in shown["margin"].values() if one
    ]
    figures = [row[name] for row in table for name in row if name.endswith(("quantity", "come", "planned"))]
    assert all(text == "" or D(text).is_finite() for text in figures)


def test_totals_are_the_sums_of_their_lines_to_the_cent(job: Job, pay: None, people: dict[str, Any]) -> None:
    partly(job, people)
    shown = report_object(job, report_of(job, now=LATER), pay=True)
    *kinds, total = shown["lines"]
    for name in ("planned", "actual", "to_come", "forecast", "variance"):
        assert sum(D(line[name]) for line in kinds) == D(total[name])
    assert D(total["actual"]) + D(total["to_come"]) == D(total["forecast"])
