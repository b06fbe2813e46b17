"""A published furniture shop replayed through the API.

Source: *Managerial Accounting* (open text, adapted 2012), figures 2.6, 2.8, 2.9, 2.10 [K2, K4, K7 of the
project's collection of check values]. Amounts exact; profit ÷ cost to the whole point, as printed. The
figures give overhead and labour apart, so hours are chosen to meet both at 20.00 of overhead the hour: the
split of hours is ours, every amount is the source's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

D = Decimal
Api = Callable[[str], APIClient]


@dataclass(frozen=True)
class Furniture:
    """One job of figure 2.10; hours × rate pairs give its labour, hours × 20.00 its overhead."""

    number: str
    price: int
    materials: tuple[int, int]
    planned: tuple[tuple[int, int], ...]
    worked: tuple[tuple[int, int], ...]
    costs: tuple[int, int]
    profits: tuple[int, int]
    points: tuple[int, int]


JOBS = (
    Furniture(
        *("40", 18_360, (1_500, 3_500), ((300, 11),), ((300, 12), (10, 20))),
        *((10_800, 13_500), (7_560, 4_860), (70, 36)),
    ),
    Furniture(
        *("44", 27_030, (2_800, 3_800), ((420, 10), (10, 30)), ((435, 10), (10, 35))),
        *((15_900, 17_400), (11_130, 9_630), (70, 55)),
    ),
    Furniture(
        *("45", 13_260, (1_100, 2_500), ((205, 10), (10, 35)), ((195, 10), (10, 35))),
        *((7_800, 8_900), (5_460, 4_360), (70, 49)),
    ),
)


BOOKS = {
    "opening_raw": 25_000,
    "opening_finished": 90_000,
    "purchases": 15_000,
    "indirect_materials": 3_000,
    "indirect_labour": 27_000,
    "other_overhead": 66_000,
    "sold": 129_000,
    "sales": 190_000,
    "selling": 18_000,
    "general": 26_000,
}
"""What K4 says of the month beside its jobs."""


def opened(owner: APIClient, title: str, overhead: int, **more: Any) -> dict[str, Any]:
    body = {"title": title, "overhead_rate": str(overhead), **more}
    answer = owner.post("/api/v1/jobs", body)
    assert answer.status_code == 201, answer.json()
    found: dict[str, Any] = answer.json()
    return found


def log(owner: APIClient, job: dict[str, Any], hours: int, rate: int, first_day: int, **work: Any) -> int:
    """Enter hours in days of up to 20; returns the days used."""
    days = 0
    while hours > 0:
        today = min(hours, 20)
        day = timezone.localdate() - timedelta(days=first_day + days)
        body = {"minutes": today * 60, "rate": str(rate), "worked_on": day.isoformat(), **work}
        answer = owner.post(f"/api/v1/jobs/{job['id']}/time", body)
        assert answer.status_code == 201, answer.json()
        hours, days = hours - today, days + 1
    return days


@pytest.mark.parametrize("source", JOBS, ids=lambda one: f"J{one.number}")
def test_k7_estimate_against_actual(api: Api, source: Furniture) -> None:
    owner = api("owner")
    operations = [
        {"code": f"WORK-{at}", "name": "Making", "stage": "mould", "hours": str(hours), "rate": str(rate)}
        for at, (hours, rate) in enumerate(source.planned)
    ]
    timber = {"name": "Timber", "stage": "mould", "cost": str(source.materials[0])}
    piece = {"name": "Furniture", "operations": operations, "materials": [timber]}
    job = opened(owner, f"Job {source.number}", 20, price=str(source.price), pieces=[piece])
    planned = job["pieces"][0]
    owner.post(
        f"/api/v1/jobs/{job['id']}/draws",
        {
            "kind": "bought",
            "material": planned["materials"][0]["id"],
            "quantity": "1",
            "amount": str(source.materials[1]),
        },
    )
    day = 0
    for (hours, rate), operation in zip(source.worked, planned["operations"] * 2, strict=False):
        day += log(owner, job, hours, rate, day, operation=operation["id"])
    assert owner.post(f"/api/v1/jobs/{job['id']}/close").status_code == 200
    report = owner.get(f"/api/v1/jobs/{job['id']}/report").json()
    total = report["lines"][-1]
    assert (int(D(total["planned"])), int(D(total["actual"]))) == source.costs
    assert not D(total["planned"]) % 1
    assert not D(total["actual"]) % 1
    quoted, made = report["margin"]["quoted"], report["margin"]["made"]
    assert (int(D(quoted["amount"])), int(D(made["amount"]))) == source.profits
    points = [round(D(margin["of_cost"]) * 100) for margin in (quoted, made)]
    assert tuple(points) == source.points
    shares = {"40": "26.47", "44": "35.63", "45": "32.88"}  # profit ÷ price, recomputed beside K7
    assert round(D(made["of_price"]) * 100, 2) == D(shares[source.number])
    assert round(D(quoted["of_price"]) * 100, 2) == D("41.18")
    by_line = [line["rate_variance"] for line in report["operations"]]
    by_line += [line["efficiency_variance"] for line in report["operations"]]
    labour = next(line for line in report["lines"] if line["code"] == "labour")
    assert sum(D(amount) for amount in by_line) == D(labour["variance"])


def test_k2_a_dining_table_in_hand(api: Api) -> None:
    owner = api("owner")
    piece = {
        "name": "Dining table",
        "operations": [{"code": "MAKE", "stage": "mould", "hours": "6", "rate": "15.00"}],
        "materials": [{"name": "Requisition 205", "cost": "370"}],
    }
    job = opened(owner, "Job 50", 30, pieces=[piece])
    planned = job["pieces"][0]
    body = {"material": planned["materials"][0]["id"], "quantity": "1", "amount": "370"}
    owner.post(f"/api/v1/jobs/{job['id']}/draws", body)
    log(owner, job, 6, 15, 0, operation=planned["operations"][0]["id"])
    report = owner.get(f"/api/v1/jobs/{job['id']}/report").json()
    actual = {line["code"]: D(line["actual"]) for line in report["lines"]}
    assert actual == {"materials": 370, "labour": 90, "overhead": 180, "mishaps": 0, "total": 640}


def test_k4_the_month_of_may(api: Api) -> None:
    figures = BOOKS | {
        "opening_in_hand": 35_000,
        "direct_materials": 18_000,
        "direct_labour": 40_000,
        "overhead_applied": 90_000,
        "completed": 155_000,
    }
    answer = api("owner").post("/api/v1/reports/month", figures)
    assert {name: D(amount) for name, amount in answer.json().items()} == {
        "raw": 19_000,
        "in_hand": 28_000,
        "finished": 116_000,
        "overhead": 96_000,
        "under_applied": 6_000,
        "cost_of_sales": 135_000,
        "gross_profit": 55_000,
        "operating_profit": 11_000,
    }


def test_k4_the_month_of_may_worked_entry_by_entry(api: Api, people: dict[str, Any]) -> None:
    """The same month, its direct costs from draws and hours of jobs: what is in hand follows from them.

    Two jobs are ours: 2,000 hours at 20.00 are the source's labour, at 45.00 its overhead applied; one job
    holds the opening balance and is finished, the other is left in hand.
    """
    owner, crew = api("owner"), [people[name].get_username() for name in sorted(people)]
    jobs = [
        opened(owner, title, 45, opened_on="2025-04-01", pieces=[{"name": title}])
        for title in ("Finished in May", "In hand")
    ]
    for job, amount, when in ((0, 2_500, "2025-04-10"), (0, 16_000, "2025-05-10"), (1, 2_000, "2025-05-20")):
        body = {"kind": "bought", "name": "Timber", "quantity": "1", "amount": str(amount), "drawn_on": when}
        assert owner.post(f"/api/v1/jobs/{jobs[job]['id']}/draws", body).status_code == 201
    person_days = iter((month, day, who) for month in (4, 5) for day in range(1, 26) for who in crew)
    for job, hours, month in ((0, 500, 4), (0, 1_600, 5), (1, 400, 5)):
        for _ in range(hours // 20):
            at, day, who = next(one for one in person_days if one[0] == month)
            hours_of_day = {"minutes": "1200", "rate": "20", "role": "x", "person": who}
            body = hours_of_day | {"worked_on": f"2025-{at:02d}-{day:02d}"}
            answer = owner.post(f"/api/v1/jobs/{jobs[job]['id']}/time", body)
            assert answer.status_code == 201, answer.json()
    closed = owner.post(f"/api/v1/jobs/{jobs[0]['id']}/close", {"closed_on": "2025-05-31"})
    assert closed.json()["closed_on"] == "2025-05-31"
    shown = owner.get("/api/v1/reports/periods?first=2025-04-01&last=2025-05-31").json()["months"]
    assert [D(row["in_hand"]) for row in shown] == [35_000, 28_000]
    may = shown[1]
    direct = {"direct_materials": may["materials"], "direct_labour": may["labour"]}
    assert [D(amount) for amount in direct.values()] == [18_000, 40_000]
    assert [D(may[name]) for name in ("overhead", "cost")] == [90_000, 155_000]
    books = {
        "opening_in_hand": shown[0]["in_hand"],
        "overhead_applied": may["overhead"],
        "completed": may["cost"],
        **direct,
        **{name: str(amount) for name, amount in BOOKS.items()},
    }
    result = owner.post("/api/v1/reports/month", books).json()
    assert D(result["in_hand"]) == D(may["in_hand"])
    assert [D(result[name]) for name in ("under_applied", "operating_profit")] == [6_000, 11_000]
