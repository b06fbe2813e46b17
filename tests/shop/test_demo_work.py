"""The demo's shop has work to show: one job closed, one half done; loading it again adds nothing."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.models import Quote
from shop.demo import load_demo
from shop.jobs.models import Draw, Job, Mishap, Progress, TimeEntry
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.lookback import findings
from shop.jobs.selectors.margins import closed_reports, months

MONDAY = date(2026, 3, 2)
EACH = (Quote, Job, TimeEntry, Draw, Mishap, Progress)
pytestmark = pytest.mark.django_db


def test_a_fresh_shop_has_done_some_work_and_the_table_costs_what_it_did() -> None:
    demo = load_demo("metric", on=MONDAY, work=True)
    assert (demo.issued.data["net"], demo.issued.data["gross"]) == ("4330.00", "5196.00")
    hearth, counter = Job.objects.order_by("opened_on")
    assert [(job.status, job.quote and job.quote.status) for job in (hearth, counter)] == [
        ("closed", "accepted"),
        ("open", "accepted"),
    ]
    assert hearth.closed_on and hearth.closed_on < counter.opened_on < MONDAY
    for job in (hearth, counter):
        assert len(set(job.time.values_list("person__username", flat=True))) == 2
        assert job.mishaps.count() == 1
        assert job.draws.filter(kind="bought").exclude(invoice="").count() == 2
        assert max(job.time.values_list("worked_on", flat=True)) < MONDAY
    now = timezone.now()
    done, going = report_of(hearth, now=now), report_of(counter, now=now)
    assert done.made is not None and done.made.amount > 0
    assert going.made is None
    assert going.line("total").to_come > 0
    assert Decimal(0) < going.earned.earned < going.earned.budget
    assert {one.hours.jobs for one in findings(MONDAY)} == {0, 1}
    rows = months(date(2025, 12, 1), MONDAY, closed_reports(now=now))
    assert [sum(getattr(row, name) for row in rows) for name in ("quoted", "won", "closed")] == [3, 2, 1]
    assert rows[-1].taken.in_hand == going.line("total").actual
    taken = [row.taken.materials + row.taken.labour + row.taken.overhead for row in rows]
    assert sum(taken) == done.line("total").actual + going.line("total").actual
    before = [model._default_manager.count() for model in EACH]
    again = load_demo("metric", on=date(2026, 3, 9), work=True)
    assert [model._default_manager.count() for model in EACH] == before
    assert again.issued == demo.issued
