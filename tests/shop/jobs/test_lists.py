"""Lists of jobs and of hours: found, ordered, as tables; forms that are refused keep what was typed."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from quoting.services.clients import create_client
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.time import Work, add_minutes
from shop.jobs.services.time_corrections import strike_out_time

pytestmark = pytest.mark.django_db
Browser = Callable[[str], Client]
Op = Callable[[str], PlannedOperation]


def table(answer: Any) -> list[list[str]]:
    assert answer["Content-Type"].startswith("text/csv")
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_jobs_by_their_heads_and_as_a_table(browser: Browser, job: Job) -> None:
    other = open_by_hand(title="A bench", on=job.opened_on, price=Decimal(90), pieces=[PieceWanted("Bench")])
    owner = browser("owner")

    def shown(query: str) -> list[str]:
        return [one.title for one in owner.get(f"/jobs/?{query}").context["page"]]

    assert shown("sort=title") == shown("sort=-price") == ["A bench", "Table for a hall"]
    assert shown("sort=-title") == shown("sort=price") == ["Table for a hall", "A bench"]
    assert shown("search=bench") == ["A bench"]
    assert shown("status=closed") == []
    head, *rows = table(owner.get("/jobs/list.csv?sort=title"))
    assert head[-2:] == ["currency", "price"]
    assert [(row[0], Decimal(row[-1])) for row in rows] == [
        (other.number, Decimal(90)),
        (job.number, Decimal(700)),
    ]
    bench = browser("bench")
    assert "price" not in table(bench.get("/jobs/list.csv"))[0]
    as_always = [other.number, job.number]
    for order in ("price", "-price"):  # the order would tell which is dearer
        assert [one.number for one in bench.get(f"/jobs/?sort={order}").context["page"]] == as_always
        assert [row[0] for row in table(bench.get(f"/jobs/list.csv?sort={order}"))[1:]] == as_always


def test_hours_of_everybody_found_summed_and_as_a_table(
    browser: Browser, people: dict[str, Any], job: Job, op: Op
) -> None:
    now = timezone.now()
    today = timezone.localdate(now)
    for name, minutes, days in (("bench", 90, 0), ("other", 30, 0), ("other", 60, 9), ("other", 45, 0)):
        entry = add_minutes(
            job,
            Work(op("CUT")),
            person=people[name],
            minutes=Decimal(minutes),
            worked_on=today - timedelta(days=days),
            now=now,
            note="=saw" if name == "bench" else "",
        )
    strike_out_time(entry, by=people["owner"], now=now, reason="twice")
    page = browser("owner").get("/jobs/time").context
    assert (page["page"].paginator.count, page["hours"]) == (3, 3.0)
    found = browser("estimator").get(f"/jobs/time?person={people['other'].pk}&since={today}").context
    assert (found["page"].paginator.count, found["hours"]) == (1, 0.5)
    head, *rows = table(browser("owner").get("/jobs/time.csv?sort=minutes"))
    assert head == ["day", "person", "job", "title", "operation", "minutes", "note"]
    assert [row[5] for row in rows] == ["90.0", "60.0", "30.0"]
    assert rows[0][6] == "'=saw"
    assert table(browser("owner").get("/jobs/time.csv?search=nowhere")) == [head]
    assert browser("owner").get("/jobs/time?since=never&person=x").status_code == 200


def test_what_was_typed_stays_where_it_is_refused(browser: Browser, job: Job) -> None:
    owner = browser("owner")
    bought = {"name": "Trestle", "quantity": "many", "amount": "40", "supplier": "Yard", "invoice": "R-7"}
    answer = owner.post(f"/jobs/{job.number}/purchases", bought)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "<details open><summary>Book a purchase" in page
    assert all(f'value="{value}"' in page for value in bought.values())
    client = create_client(name="Quay kitchen")
    page = owner.post("/jobs/new", {"title": "", "client": client.pk, "piece": "Shelf"}).content.decode()
    assert f'<option value="{client.pk}" selected>' in page


def test_hours_of_others_are_not_for_the_bench(browser: Browser, job: Job) -> None:
    assert browser("bench").get("/jobs/time").status_code == 403
    assert browser("bench").get("/jobs/time.csv").status_code == 403
