"""A job opened from the demo's issued quote carries what was frozen, to the cent."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from quoting.errors import IllegalMove
from shop.demo import load_demo
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.selectors.costs import report_of
from shop.jobs.services.jobs import open_from_quote
from shop.jobs.services.mishaps import Happened, record_mishap
from tests.shop.jobs.conftest import NOW

D = Decimal
MONDAY = date(2026, 3, 2)


@pytest.mark.django_db
def test_job_of_the_issued_table() -> None:
    issued = load_demo("metric", on=MONDAY).issued
    job = open_from_quote(issued.quote, on=MONDAY)
    made = report_of(job, now=NOW)
    price = issued.basis["items"][0]["estimate"]["price"]
    assert made.line("total").planned == D(price["cost"])
    assert made.line("total").planned - made.line("mishaps").planned == D(price["works_cost"])
    assert job.price == D(issued.data["net"])
    assert made.quoted.of_price == D(price["achieved_margin"])
    assert made.forecast.amount == made.quoted.amount + D(price["breakage_allowance"])
    steps = {step.step: step.planned_on for step in job.pieces.get().dates.all()}
    assert MONDAY <= steps["pour"] < steps["turn"] < steps["deliver"] <= (job.due_on or MONDAY)
    with pytest.raises(IllegalMove, match="its job already"):
        open_from_quote(issued.quote, on=MONDAY)
    assert Job.objects.count() == 1
    turn = PlannedOperation.objects.filter(piece__job=job, breakage__gt=0).order_by("position")[:1].get()
    happened = Happened(turn, "Cracked", "recast", steps["turn"])
    mishap = record_mishap(happened, by=None, now=NOW.replace(month=4))
    assert mishap.operations.exists()
    moved = {step.step: step.planned_on for step in job.pieces.get().dates.all()}
    assert moved["pour"] > steps["turn"]
    assert moved["turn"] - moved["pour"] >= steps["turn"] - steps["pour"]
