"""The cost report on paper meets PDF/UA-1 as far as a program can tell (check values K68 to K85)."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from shop.jobs.documents.cost_report import charts, report_pdf
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.planning import OperationPlan
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.report_object import report_object
from shop.jobs.services.jobs import PieceWanted, close_job, open_by_hand
from shop.jobs.services.mishaps import Happened, record_mishap
from tests.quoting.documents.conditions import CONDITIONS, opened
from tests.shop.jobs.conftest import MATERIALS, NOW, TODAY, D


def shown(job: Job) -> dict[str, Any]:
    return report_object(job, report_of(job, now=NOW + timedelta(hours=1)), pay=True)


def faults(content: bytes) -> list[str]:
    with opened(content) as pdf:
        return [fault for check in CONDITIONS.values() for fault in check(pdf)]


def test_a_job_with_a_mishap_open_and_closed(job: Job, people: dict[str, Any]) -> None:
    turn = PlannedOperation.objects.get(piece__job=job, code="TURN")
    record_mishap(Happened(turn, "<Cracked> & lost", "recast", TODAY), by=people["bench"], now=NOW)
    assert faults(report_pdf(shown(job))) == []
    assert faults(report_pdf(shown(close_job(job, on=TODAY)))) == []


@pytest.mark.django_db
def test_an_empty_job_has_a_paper_too() -> None:
    job = open_by_hand(title="Nothing yet", on=TODAY, pieces=[PieceWanted("Bench")])
    assert charts(shown(job)) == ()
    assert faults(report_pdf(shown(job))) == []


def test_the_bars_of_many_operations_stay_on_their_sheets(people: dict[str, Any]) -> None:
    """Thirty once ran through the foot of the sheet and over its edge; all are told, to one scale."""
    name = "Clean the mould, apply release agent, number"
    plans = [
        OperationPlan(
            f"OP-{n}", f"{name} {n}", "cast", "MAKER", 1, D(n), D(20), D(20 * n), D(n), planned_on=TODAY
        )
        for n in range(1, 31)
    ]
    pieces = [PieceWanted("A long table for the reading room", 1, "rectangle", D(700), plans, MATERIALS)]
    pieces.append(PieceWanted("Bench", 1, "rectangle", D(70), plans[:1], MATERIALS))
    job = open_by_hand(title="Hall", on=TODAY, price=D(700), pieces=pieces, by=people["owner"])
    _, *hours = charts(shown(job))
    assert len(hours) == 3
    text_width, text_height, caption = 186.0, 247.0, 12.0  # of Letter in mm
    for chart in hours:
        assert chart.height_mm * text_width / chart.width_mm < text_height - caption
    told = " ".join(chart.svg for chart in hours)
    assert all(f"number {n}, A long table" in told for n in range(1, 31))
    assert faults(report_pdf(shown(job))) == []


def test_the_same_report_is_the_same_bytes(job: Job) -> None:
    report = shown(job)
    assert report_pdf(report) == report_pdf(report)
    assert Decimal(report["lines"][-1]["planned"]) == Decimal("560.00")
