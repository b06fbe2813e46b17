"""Tags, conditions, pages and filters of the API of jobs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from shop.jobs.models import Draw, Job, PlannedMaterial, PlannedOperation, TimeEntry

Api = Callable[[str], APIClient]
Op = Callable[[str], PlannedOperation]


@pytest.fixture
def entry(api: Api, job: Job, op: Op) -> str:
    """Half an hour of the bench's; the address of the entry."""
    base = f"/api/v1/jobs/{job.pk}/time"
    return f"{base}/{api('bench').post(base, {'operation': op('CUT').pk, 'minutes': '30'}).json()['id']}"


@pytest.fixture
def draw(api: Api, job: Job, bags: PlannedMaterial) -> str:
    """Two bags; the address of the draw."""
    base = f"/api/v1/jobs/{job.pk}/draws"
    return f"{base}/{api('bench').post(base, {'material': bags.pk, 'quantity': '50'}).json()['id']}"


def test_an_entry_is_corrected_by_its_tag(api: Api, entry: str) -> None:
    bench, change = api("bench"), {"minutes": "40", "reason": "Longer"}
    assert bench.patch(entry, change).status_code == 428
    read = bench.get(entry)["ETag"]
    changed = bench.patch(entry, change, headers={"if-match": read})
    assert (changed.status_code, changed.json()["hours"]) == (200, "0.6667")
    assert changed["ETag"] == bench.get(entry)["ETag"] != read
    stale = bench.patch(entry, change | {"minutes": "50"}, headers={"if-match": read})
    assert (stale.status_code, stale.json()["code"]) == (412, "stale")
    assert bench.post(entry, {"reason": "Out"}, headers={"if-match": read}).status_code == 412
    assert TimeEntry.objects.get().seconds == 2400
    assert bench.get(entry, headers={"if-none-match": changed["ETag"]}).status_code == 304


def test_a_draw_is_corrected_by_its_tag(api: Api, draw: str) -> None:
    owner, change = api("owner"), {"quantity": "75", "reason": "Three bags"}
    assert owner.patch(draw, change).status_code == 428
    assert owner.patch(draw, change, headers={"if-match": '"x"'}).status_code == 412
    assert owner.patch(draw, change, headers={"if-match": owner.get(draw)["ETag"]}).status_code == 200
    assert [int(Draw.objects.get().quantity), Draw.objects.get().corrections.count()] == [75, 1]
    assert "amount" in owner.get(draw).json()
    assert "amount" not in api("bench").get(draw).json()


def test_entries_of_others_are_not_for_the_bench(api: Api, entry: str, draw: str) -> None:
    for address in (entry, draw):
        assert api("other").get(address).status_code == 403
        assert api("estimator").get(address).status_code == 200
        assert api("owner").get(address.replace("/jobs/", "/jobs/9")).status_code == 404


def test_the_tag_of_a_running_timer_stands_until_it_is_stopped(api: Api, job: Job, op: Op) -> None:
    bench, base, now = api("bench"), f"/api/v1/jobs/{job.pk}/time", timezone.now()
    begun = (now - timedelta(hours=1)).isoformat()
    made = bench.post(f"{base}/start", {"operation": op("CUT").pk, "at": begun, "key": "k"}).json()
    assert (made["running"], made["hours"]) == (True, None)
    read = bench.get(f"{base}/{made['id']}")["ETag"]
    assert bench.get(f"{base}/{made['id']}")["ETag"] == read
    bench.post(f"{base}/stop", {"at": now.isoformat(), "key": "k"})
    assert bench.get(f"{base}/{made['id']}")["ETag"] != read


def test_a_job_is_changed_and_closed_by_its_tag(api: Api, job: Job) -> None:
    estimator, at = api("estimator"), f"/api/v1/jobs/{job.pk}"
    assert estimator.patch(at, {"due_on": "2026-04-01"}).status_code == 428
    read = estimator.get(at)["ETag"]
    changed = estimator.patch(at, {"due_on": "2026-04-01"}, headers={"if-match": read})
    assert changed.json()["due_on"] == "2026-04-01"
    assert changed.json()["events"][-1]["detail"] == "due_on was empty"
    assert estimator.post(f"{at}/close", headers={"if-match": read}).status_code == 412
    assert estimator.post(f"{at}/close", headers={"if-match": changed["ETag"]}).status_code == 200
    refused = estimator.patch(at, {"note": "Late"}, headers={"if-match": "*"})
    assert (refused.status_code, refused.json()["code"]) == (409, "illegal_move")
    assert api("bench").patch(at, {"note": "x"}, headers={"if-match": "*"}).status_code == 403


def test_the_list_in_pages_narrowed_and_in_order(api: Api, job: Job) -> None:
    owner = api("owner")
    for title in ("Anvil plinth", "Bench"):
        owner.post("/api/v1/jobs", {"title": title, "pieces": [{"name": title}], "due_on": "2026-04-01"})

    def titles(asked: str) -> list[str]:
        return [one["title"] for one in owner.get(f"/api/v1/jobs?{asked}").json()["results"]]

    assert titles("ordering=title") == ["Anvil plinth", "Bench", "Table for a hall"]
    assert titles("ordering=-title&limit=1&offset=1") == ["Bench"]
    assert titles("due_until=2026-04-01&ordering=title") == ["Anvil plinth", "Bench"]
    assert titles("opened_until=2026-03-02") == ["Table for a hall"]
    page = owner.get("/api/v1/jobs?limit=1&offset=1")
    assert page.json()["count"] == 3
    assert {part.split("; ")[1] for part in page["Link"].split(", ")} == {
        'rel="first"',
        'rel="prev"',
        'rel="next"',
        'rel="last"',
    }


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("", 3),
        ("person=ida", 1),
        ("worked_until=2026-03-01", 1),
        ("running=true", 0),
        ("running=false&limit=2", 2),
        ("struck_out=true", 1),
    ],
)
def test_time_narrowed(api: Api, job: Job, op: Op, asked: str, found: int) -> None:
    base = f"/api/v1/jobs/{job.pk}/time"
    body = {"operation": op("CUT").pk, "minutes": "30"}
    api("other").post(base, body | {"worked_on": "2026-03-02"})
    api("bench").post(base, body | {"worked_on": "2026-03-01"})
    out = api("bench").post(base, body | {"worked_on": "2026-03-02"}).json()
    api("bench").post(f"{base}/{out['id']}", {"reason": "Twice"})
    answer = api("owner").get(f"{base}?{asked}")
    assert len(answer.json()["results"]) == found
    assert 'rel="first"' in answer["Link"]


@pytest.mark.parametrize(
    ("path", "parameter"),
    [
        ("", "status=lost"),
        ("", "ordering=price"),
        ("", "colour=red"),
        ("", "limit=0"),
        ("/{}/time", "worked_from=soon"),
        ("/{}/draws", "kind=stolen"),
        ("/{}/mishaps", "outcome=none"),
        ("/{}/progress", "operation=x"),
    ],
)
def test_a_parameter_that_makes_no_sense_is_named(api: Api, job: Job, path: str, parameter: str) -> None:
    answer: Any = api("owner").get(f"/api/v1/jobs{path.format(job.pk)}?{parameter}")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["errors"][0]["path"] == parameter.partition("=")[0]


def test_draws_mishaps_and_progress_narrowed(api: Api, job: Job, op: Op, draw: str) -> None:
    owner, base = api("owner"), f"/api/v1/jobs/{job.pk}"
    owner.post(f"{base}/draws", {"kind": "bought", "name": "Van", "quantity": "1", "amount": "45"})
    told = {"operation": op("TURN").pk, "cause": "Corner cracked", "outcome": "repair"}
    owner.post(f"{base}/mishaps", told)
    owner.post(f"{base}/progress", {"operation": op("CUT").pk, "share": "0.5"})
    counts = {
        asked: owner.get(f"{base}/{asked}").json()["count"]
        for asked in (
            "draws?kind=bought",
            "draws?kind=return",
            "mishaps?outcome=repair",
            "mishaps?outcome=recast",
            f"progress?operation={op('CUT').pk}",
            f"progress?operation={op('TURN').pk}",
        )
    }
    assert list(counts.values()) == [1, 0, 1, 0, 1, 0]
