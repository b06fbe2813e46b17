"""Closed jobs teach: findings, suggestions taken into the catalogue, margins, months."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from rest_framework.test import APIClient

from catalog import selectors as catalogue_reads
from catalog.services.labour import set_standard
from quoting.engine.errors import Refused
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.planning import OperationPlan
from shop.jobs.selectors.lookback import finding
from shop.jobs.selectors.margins import closed_reports, margins, months, promises
from shop.jobs.services.jobs import PieceWanted, close_job, open_by_hand
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.standards import accept_finding
from shop.jobs.services.time import Work, add_minutes
from tests.shop.jobs.conftest import NOW, TODAY

D = Decimal
Made = Callable[..., Job]


@pytest.fixture
def made(people: dict[str, Any], catalogue: None) -> Made:
    """Open, work and close a job: ten hours planned for cutting, so many worked."""

    def make(hours: str, on: date = TODAY, kind: str = "slot") -> Job:
        plan = OperationPlan("CUT", "Cut the mould", "mould", "MAKER", 1, D(10), D(20), D(200), D(10))
        piece = PieceWanted("Bench", 1, kind, D(500), [plan])
        job = open_by_hand(title="Bench", on=on, price=D(500), overhead_rate=D(5), pieces=[piece], due_on=on)
        operation = PlannedOperation.objects.get(piece__job=job)
        minutes = D(hours) * 60
        add_minutes(job, Work(operation), person=people["bench"], minutes=minutes, worked_on=on, now=NOW)
        return close_job(job, on=on)

    return make


def test_nothing_is_suggested_from_two_jobs(made: Made) -> None:
    made("12", TODAY - timedelta(days=1))
    made("12")
    found = finding("CUT", TODAY)
    assert found is not None
    assert (found.hours.jobs, found.hours.factor) == (2, None)
    assert found.hours.bias == pytest.approx(0.2)
    with pytest.raises(Refused, match="Fewer than three"):
        accept_finding(found, hours=True, breakage=False, on=TODAY, who="rowan")


def test_accepting_writes_a_new_dated_standard_and_keeps_the_old(made: Made) -> None:
    for days, hours in enumerate(("12", "12.5", "11.5"), start=1):
        made(hours, TODAY - timedelta(days=days))
    found = finding("CUT", TODAY)
    assert found is not None
    factor = found.hours.factor
    assert factor == pytest.approx(1.15)  # prior 1 counts as one job, three jobs say 1.2
    accept_finding(found, hours=True, breakage=False, on=TODAY, who="rowan")
    history = list(catalogue_reads.standard_history("CUT"))
    assert [one.setup_hours for one in history] == [1.15, 1.0]
    assert [one.valid_from for one in history] == [TODAY, date(2026, 1, 1)]
    assert history[0].per_driver_hours == {"show_area_m2": 1.725}
    assert (history[0].entered_by, "3 jobs" in history[0].note) == ("rowan", True)


def test_jobs_by_hand_from_before_a_new_standard_say_nothing_about_it(made: Made) -> None:
    for days in (9, 8, 7):
        made("15", TODAY - timedelta(days=days))
    set_standard("CUT", {"setup_hours": 1.5}, valid_from=TODAY, today=TODAY)
    found = finding("CUT", TODAY)
    assert found is not None
    assert found.hours.jobs == 0


def test_rework_counts_as_breakage_not_as_hours(people: dict[str, Any], catalogue: None) -> None:
    for day in (3, 2, 1):
        on = TODAY - timedelta(days=day)
        plan = OperationPlan("CUT", "Cut", "mould", "MAKER", 1, D(10), D(20), D(200), D(10))
        job = open_by_hand(title="Bench", on=on, pieces=[PieceWanted("Bench", 1, operations=[plan])])
        operation = PlannedOperation.objects.get(piece__job=job)
        add_minutes(job, Work(operation), person=people["bench"], minutes=D(600), worked_on=on, now=NOW)
        if day == 1:
            mishap = record_mishap(Happened(operation, "Warped", "recast", on), by=people["bench"], now=NOW)
            again = mishap.operations.get()
            add_minutes(job, Work(again), person=people["bench"], minutes=D(300), worked_on=on, now=NOW)
        close_job(job, on=on)
    found = finding("CUT", TODAY)
    assert found is not None
    assert found.hours.bias == pytest.approx(0)
    assert (found.breakage.castings, found.breakage.breaks) == (4, 1)
    assert found.breakage.suggested == pytest.approx(1 / 24, abs=5e-5)


def test_margins_and_months(made: Made) -> None:
    made("10")
    made("12", kind="round")
    closed = closed_reports(now=NOW)
    rows = margins(closed)
    assert [(row.name, row.price, row.cost) for row in rows.by_kind] == [
        ("round", D(500), D(300)),
        ("slot", D(500), D(250)),
    ]
    assert rows.by_client[0].margin == D(450)
    assert rows.by_client[0].of_price == D("0.45")
    found = months(date(2026, 2, 1), TODAY, closed)
    assert [row.month for row in found] == ["2026-02", "2026-03"]
    assert (found[1].won, found[1].hours, found[1].closed, found[1].margin) == (2, D(22), 2, D(450))
    assert found[0].hours == 0


def test_promises_soonest_first(job: Job) -> None:
    Job.objects.update(due_on=date(2026, 2, 27))
    open_by_hand(title="Later", on=TODAY, pieces=[PieceWanted("Bench")], due_on=date(2026, 3, 9))
    assert [(one.title, days) for one, days in promises(TODAY)] == [("Table for a hall", -3), ("Later", 7)]


def test_page_and_api(made: Made, api: Callable[[str], APIClient], browser: Callable[[str], Client]) -> None:
    for days in (3, 2, 1):
        made("12", TODAY - timedelta(days=days))
    shown = api("owner").get("/api/v1/look-back").json()
    cut = next(one for one in shown["operations"] if one["operation"] == "CUT")
    assert (cut["jobs"], cut["suggested_factor"]) == (3, pytest.approx(1.15))
    page = browser("owner").get("/look-back/").content.decode()
    assert "1.150" in page
    assert "Accept" in page
    assert browser("estimator").get("/look-back/").status_code == 403
    assert browser("owner").post("/look-back/CUT", {"what": "hours"}).status_code == 302
    assert catalogue_reads.standard_history("CUT").count() == 2
    answer = api("owner").post("/api/v1/look-back/CAST/accept", {"hours": True})
    assert answer.status_code == 422
    assert api("owner").get("/api/v1/reports/periods?first=2026-01-01&last=2026-03-31").status_code == 200
    assert api("owner").get("/api/v1/reports/periods?first=tomorrow").status_code == 400
    for day in ("0001-01-01", "9999-12-31"):
        assert api("owner").get(f"/api/v1/reports/periods?first={day}&last={day}").status_code == 200


# --- the page's tables -----------------------------------------------------------------------------------
def table(client: Client, name: str, query: str = "") -> list[dict[str, str]]:
    answer = client.get(f"/look-back/{name}.csv{query}")
    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"] == f'attachment; filename="look-back-{name}.csv"'
    head, *rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    return [dict(zip(head, row, strict=True)) for row in rows]


def names(client: Client, query: str) -> list[str]:
    return [one.code for one in client.get(f"/look-back/?{query}").context["findings"]]


def test_hours_by_the_heads_and_as_a_table(made: Made, browser: Callable[[str], Client]) -> None:
    """Three jobs of nine hours against ten: cutting is ten per cent under, casting was never done."""
    for number in range(3):
        made("9", TODAY - timedelta(days=number))
    owner = browser("owner")
    assert names(owner, "") == names(owner, "sort=nonsense") == ["CUT", "CAST"]
    assert names(owner, "sort=operation") == names(owner, "sort=-worked") == ["CAST", "CUT"]
    for head in ("worked", "bias", "jobs", "suggested", "-operation"):
        assert names(owner, f"sort={head}") == ["CUT", "CAST"]
    page = owner.get("/look-back/?sort=worked").content.decode()
    assert 'aria-sort="descending"><a href="?sort=-worked#hours"' in page
    assert page.count("aria-sort") == 1
    cast, cut = table(owner, "hours", "?sort=operation")
    assert (cut["operation"], cut["jobs"], cut["worked_hours"]) == ("CUT", "3", "27.0")
    assert float(cut["bias"]) < 0
    assert float(cut["suggested_factor"]) < 1
    assert (cast["jobs"], cast["bias"], cast["suggested_factor"]) == ("0", "", "")


def test_breakage_margins_and_months_as_tables(made: Made, browser: Callable[[str], Client]) -> None:
    made("12", kind="=slab")
    owner = browser("owner")
    assert table(owner, "breakage") == []
    kind, client = table(owner, "margins")
    # 500 of price; 12 h at 20 of pay and 5 of overhead are 300.
    assert (kind["by"], kind["name"], kind["currency"]) == ("kind", "'=slab", "EUR")
    assert [D(kind[name]) for name in ("price", "cost", "margin", "of_price")] == [500, 300, 200, D("0.4")]
    assert (client["by"], client["name"]) == ("client", "No client named")
    rows = table(owner, "months")
    assert len(rows) == 12
    assert rows == sorted(rows, key=lambda row: row["month"])


def test_a_loss_stays_a_number(made: Made, browser: Callable[[str], Client]) -> None:
    made("24")  # 24 h at 20 and 5 are 600, against a price of 500
    (kind, _) = table(browser("owner"), "margins")
    assert D(kind["margin"]) == -100


@pytest.mark.parametrize("name", ["hours", "breakage", "margins", "months"])
@pytest.mark.parametrize("role", ["estimator", "bench"])
def test_the_tables_are_the_owners(
    catalogue: None, browser: Callable[[str], Client], name: str, role: str
) -> None:
    assert browser(role).get(f"/look-back/{name}.csv").status_code == 403
