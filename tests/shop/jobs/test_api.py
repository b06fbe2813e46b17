"""Jobs over the API: what works, who may, what is refused."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from shop.jobs.models import Draw, Job, PlannedMaterial, PlannedOperation, TimeEntry

Api = Callable[[str], APIClient]
ANY = {"if-match": "*"}
Op = Callable[[str], PlannedOperation]
MONEY = {
    "price",
    "amount",
    "cost",
    "rate",
    "overhead_rate",
    "breakage_allowance",
    "supplier",
    "invoice",
    "currency",
}


def keys_in(value: Any) -> set[str]:
    """Every key anywhere in a JSON value."""
    if isinstance(value, dict):
        return set(value) | {key for inner in value.values() for key in keys_in(inner)}
    if isinstance(value, list):
        return {key for inner in value for key in keys_in(inner)}
    return set()


def test_a_day_at_the_bench(api: Api, job: Job, op: Op, bags: PlannedMaterial) -> None:
    bench, base = api("bench"), f"/api/v1/jobs/{job.pk}"
    begun = timezone.now() - timedelta(hours=2)
    start = {"operation": op("CUT").pk, "at": begun.isoformat(), "key": "a1"}
    assert bench.post(f"{base}/time/start", start).status_code == 201
    assert bench.post(f"{base}/time/start", start).status_code == 201  # sent again
    stop = {"at": (begun + timedelta(hours=1)).isoformat(), "key": "a1"}
    assert bench.post(f"{base}/time/stop", stop).json()["hours"] == "1.0000"
    assert bench.post(f"{base}/time/stop", stop).status_code == 200
    assert bench.post(f"{base}/draws", {"material": bags.pk, "quantity": "50"}).status_code == 201
    told = {"operation": op("TURN").pk, "cause": "Corner cracked", "outcome": "recast", "minutes": "20"}
    assert len(bench.post(f"{base}/mishaps", told).json()["again"]) == 2
    assert bench.post(f"{base}/progress", {"operation": op("CUT").pk, "share": "1"}).status_code == 201
    assert TimeEntry.objects.count() == 2
    shown = bench.get(base).json()
    assert shown["pieces"][0]["operations"][0]["done"] == "1.0000"


def test_the_idempotency_key_header_does_as_well(api: Api, job: Job, op: Op) -> None:
    bench = api("bench")
    body = {"operation": op("CUT").pk, "minutes": "30"}
    for _ in range(2):
        answer = bench.post(f"/api/v1/jobs/{job.pk}/time", body, headers={"Idempotency-Key": '"8e03978e"'})
        assert answer.status_code == 201
    assert TimeEntry.objects.get().key == "8e03978e"


def test_the_bench_sees_its_own_and_no_money(api: Api, job: Job, op: Op, bags: PlannedMaterial) -> None:
    owner, bench, other, base = api("owner"), api("bench"), api("other"), f"/api/v1/jobs/{job.pk}"
    mine = bench.post(f"{base}/time", {"operation": op("CUT").pk, "minutes": "30"}).json()
    bench.patch(f"{base}/time/{mine['id']}", {"minutes": "40", "reason": "Longer"}, headers=ANY)
    other.post(f"{base}/time", {"operation": op("CUT").pk, "minutes": "45"})
    bench.post(f"{base}/draws", {"material": bags.pk, "quantity": "25"})
    owner.post(f"{base}/draws", {"kind": "bought", "name": "Van", "quantity": "1", "amount": "45"})
    answers = [
        bench.get(base),
        *(bench.get(f"{base}/{part}") for part in ("time", "draws", "mishaps", "progress")),
    ]
    assert all(answer.status_code == 200 for answer in answers)
    assert not MONEY & {key for answer in answers for key in keys_in(answer.json())}
    assert [one["person"] for one in bench.get(f"{base}/time").json()["results"]] == ["wilf"]
    assert len(bench.get(f"{base}/draws").json()["results"]) == 1
    assert not MONEY & keys_in(bench.get("/api/v1/jobs").json())
    assert len(owner.get(f"{base}/time").json()["results"]) == 2


def test_estimators_see_cost_but_no_pay(api: Api, job: Job, op: Op) -> None:
    estimator, base = api("estimator"), f"/api/v1/jobs/{job.pk}"
    api("bench").post(f"{base}/time", {"operation": op("CUT").pk, "minutes": "30"})
    report = estimator.get(f"{base}/report").json()
    assert report["lines"][-1]["code"] == "total"
    hidden = {"planned_rate", "rate_variance", "efficiency_variance", "actual_cost", "planned_cost"}
    assert not hidden & keys_in(report["operations"])
    assert hidden <= keys_in(api("owner").get(f"{base}/report").json()["operations"])
    broken = {"operation": op("CUT").pk, "cause": "Corner", "outcome": "repair", "minutes": "50"}
    assert api("bench").post(f"{base}/mishaps", broken | {"happened_on": "2026-03-02"}).status_code == 201
    (mishap,) = estimator.get(f"{base}/report").json()["mishaps"]
    assert mishap.keys() == {"what", "stage", "outcome", "hours"}, "hours and amount would tell the rate"
    assert "mishap" in estimator.get(f"{base}/report.csv").content.decode()
    (told,) = api("owner").get(f"{base}/report").json()["mishaps"]
    assert told["actual"] != "0.00"
    assert "rate" not in keys_in(estimator.get(f"{base}/time").json())
    assert "rate" not in keys_in(estimator.get(base).json()["pieces"][0]["operations"])


@pytest.mark.parametrize(
    ("method", "path", "codes"),
    [
        ("get", "", (401, 200, 200, 200)),
        ("get", "/time", (401, 200, 200, 200)),
        ("get", "/draws", (401, 200, 200, 200)),
        ("get", "/mishaps", (401, 200, 200, 200)),
        ("get", "/progress", (401, 200, 200, 200)),
        ("get", "/report", (401, 403, 200, 200)),
        ("get", "/report.csv", (401, 403, 200, 200)),
        ("post", "/close", (401, 403, 200, 200)),
    ],
)
def test_roles(api: Api, job: Job, method: str, path: str, codes: tuple[int, ...]) -> None:
    found = []
    for name in ("", "bench", "estimator", "owner"):
        Job.objects.update(status="open", closed_on=None)
        found.append(getattr(api(name), method)(f"/api/v1/jobs/{job.pk}{path}").status_code)
    assert tuple(found[1:]) == codes[1:]
    assert found[0] in {401, 403}


@pytest.mark.parametrize(
    ("method", "path", "allowed"),
    [
        ("get", "/api/v1/look-back", {"owner"}),
        ("get", "/api/v1/reports/periods", {"owner"}),
        ("post", "/api/v1/reports/month", {"owner"}),
        ("post", "/api/v1/look-back/CUT/accept", {"owner"}),
        ("post", "/api/v1/jobs", {"estimator", "owner"}),
    ],
)
def test_roles_of_the_shop_wide_addresses(api: Api, method: str, path: str, allowed: set[str]) -> None:
    let_in = {
        name
        for name in ("bench", "estimator", "owner")
        if getattr(api(name), method)(path).status_code not in {401, 403}
    }
    assert let_in == allowed


def test_bench_says_no_amount_and_no_rate(api: Api, job: Job, op: Op, bags: PlannedMaterial) -> None:
    bench, base = api("bench"), f"/api/v1/jobs/{job.pk}"
    draw = {"material": bags.pk, "quantity": "25", "amount": "1"}
    assert bench.post(f"{base}/draws", draw).status_code == 403
    time = {"operation": op("CUT").pk, "minutes": "30"}
    assert bench.post(f"{base}/time", time | {"rate": "1"}).status_code == 403
    assert bench.post(f"{base}/time", time | {"person": "ida"}).status_code == 403
    assert (Draw.objects.count(), TimeEntry.objects.count()) == (0, 0)


def test_nobody_touches_the_time_of_others_but_owners(api: Api, job: Job, op: Op) -> None:
    base = f"/api/v1/jobs/{job.pk}/time"
    made = api("bench").post(base, {"operation": op("CUT").pk, "minutes": "30"}).json()
    change = {"minutes": "10", "reason": "Less"}
    assert api("other").patch(f"{base}/{made['id']}", change, headers=ANY).status_code == 403
    assert api("other").post(f"{base}/{made['id']}", {"reason": "Out"}).status_code == 403
    assert (
        api("owner").patch(f"{base}/{made['id']}", change, headers=ANY).json()["corrections"][0]["by"]
        == "rowan"
    )


@pytest.mark.parametrize(
    ("path", "body", "code"),
    [
        ("/time", {}, 422),
        ("/time", {"minutes": "x"}, 400),
        ("/time", {"minutes": "-5", "role": "MAKER"}, 422),
        ("/time", {"minutes": "30", "operation": 999999}, 422),
        ("/time/stop", {}, 409),
        ("/draws", {"quantity": "0", "name": "x", "amount": "1"}, 422),
        ("/progress", {"operation": 999999, "share": "1"}, 422),
        ("/mishaps", {"operation": 999999, "cause": "x", "outcome": "recast"}, 422),
        ("/mishaps", {"cause": "x"}, 400),
        ("/draws", {"quantity": "1", "name": "x", "amount": "1", "kind": "stolen"}, 400),
    ],
)
def test_bad_input_is_told_never_a_fault_of_ours(
    api: Api, job: Job, path: str, body: dict[str, Any], code: int
) -> None:
    answer = api("owner").post(f"/api/v1/jobs/{job.pk}{path}", body)
    assert answer.status_code == code
    assert answer["Content-Type"] == "application/problem+json"


def test_a_job_that_is_not_there(api: Api, people: dict[str, Any]) -> None:
    for path in ("", "/time", "/report", "/draws"):
        assert api("owner").get(f"/api/v1/jobs/424242{path}").status_code == 404


def test_an_empty_job_by_hand(api: Api, people: dict[str, Any]) -> None:
    owner = api("owner")
    assert owner.post("/api/v1/jobs", {"title": "Nothing"}).status_code == 422
    made = owner.post("/api/v1/jobs", {"title": "One", "pieces": [{"name": "Bench"}]})
    report = owner.get(f"/api/v1/jobs/{made.json()['id']}/report").json()
    assert report["lines"][-1]["forecast"] == "0.00"
    assert report["earned_value"]["cost_index"] is None
    assert report["earned_value"]["forecasts"][1]["at_completion"] is None


def test_the_report_as_table_and_paper(api: Api, job: Job, op: Op) -> None:
    owner = api("owner")
    Job.objects.update(title="=SUM(A1)")
    table = owner.get(f"/api/v1/jobs/{job.pk}/report.csv")
    assert table["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.reader(io.StringIO(table.content.decode("utf-8-sig"))))
    assert rows[1][3] == "'=SUM(A1)"
    assert {len(row) for row in rows} == {14}
    assert [row[9] for row in rows if row[:3] == ["margin", "", "quoted"]] == ["140.00"]
    paper = owner.get(f"/api/v1/jobs/{job.pk}/report.pdf")
    assert paper.content.startswith(b"%PDF-1.")
    assert len(paper.content) > 5000


def test_a_state_that_jobs_have_not(api: Api, job: Job) -> None:
    assert api("owner").get("/api/v1/jobs?status=lost").status_code == 400
    assert api("owner").get("/api/v1/jobs?status=open&search=hall").json()["count"] == 1


def test_a_stop_sent_again_by_a_phone_whose_clock_is_ahead(api: Api, job: Job, op: Op) -> None:
    bench, base, now = api("bench"), f"/api/v1/jobs/{job.pk}/time", timezone.now()
    start = {"operation": op("CUT").pk, "at": (now - timedelta(hours=1)).isoformat(), "key": "k"}
    bench.post(f"{base}/start", start)
    stop = {"at": (now + timedelta(minutes=3)).isoformat(), "key": "k"}
    assert [bench.post(f"{base}/stop", stop).status_code for _ in range(2)] == [200, 200]
