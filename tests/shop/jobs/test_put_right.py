"""What was entered wrongly is put right where it was entered, and a job's own particulars are changed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation, Progress, TimeEntry
from shop.jobs.selectors.costs import report_of
from shop.jobs.services.mishaps import Happened, record_mishap
from tests.shop.jobs.conftest import D

Browser = Callable[[str], Client]
Op = Callable[[str], PlannedOperation]


def said(answer: Any) -> str:
    return str(answer.content.decode())


@pytest.fixture
def chip(job: Job, op: Op, people: dict[str, Any]) -> Mishap:
    """A chipped corner that is mended."""
    now = timezone.now()
    told = Happened(op("TURN"), "A corner chipped", "repair", on=timezone.localdate(now))
    return record_mishap(told, by=people["bench"], now=now)


def test_title_promise_and_note_of_a_job_are_changed_on_its_page(browser: Browser, job: Job) -> None:
    page, typed = f"/jobs/{job.number}/", {"title": "Table for the hall", "due_on": "2026-05-04"}
    answer = browser("estimator").post(f"{page}details", typed | {"note": "Ring before\r\ndelivery"})
    assert answer.status_code == 302
    job.refresh_from_db()
    assert (job.title, job.due_on, job.note) == (
        "Table for the hall",
        date(2026, 5, 4),
        "Ring before\ndelivery",
    )
    assert "Ring before<br>delivery" in said(browser("owner").get(page))
    assert "Ring before<br>delivery" in said(browser("bench").get(f"/bench/{job.number}/"))
    assert "title was Table for a hall" in said(browser("owner").get(page))
    browser("owner").post(f"{page}details", {"title": job.title, "due_on": "", "note": ""})
    job.refresh_from_db()
    assert (job.due_on, job.note) == (None, "")


def test_a_job_by_hand_takes_a_note(browser: Browser, people: dict[str, Any], catalogue: None) -> None:
    form = {"title": "Shelf", "piece": "Shelf", "quantity": "1", "note": "Dark grey"}
    assert browser("owner").post("/jobs/new", form).status_code == 302
    assert Job.objects.get().note == "Dark grey"


def test_done_is_taken_back_and_a_share_is_said(browser: Browser, job: Job, op: Op) -> None:
    bench, page = browser("bench"), f"/bench/{job.number}/"
    bench.post(page, {"do": "progress", "operation": op("CUT").pk, "share": "1"})
    assert "Done: 1 of 4" in said(bench.get(page))
    for share in ("0", "0.25"):
        bench.post(page, {"do": "share", "operation": op("CUT").pk, "share": share})
        assert "Done: 1 of 4" not in said(bench.get(page))
    assert [one.share for one in Progress.objects.order_by("pk")] == [D(1), D(0), D("0.25")]


def test_one_strikes_out_ones_own_draw_at_the_bench(
    browser: Browser, job: Job, bags: PlannedMaterial
) -> None:
    bench, page = browser("bench"), f"/bench/{job.number}/"
    bench.post(page, {"do": "draw", "material": bags.pk, "quantity": "500"})
    draw, shown = Draw.objects.get(), said(bench.get(page))
    assert f'action="/jobs/{job.number}/draws/{draw.pk}"' in shown
    assert "80.00" not in shown, "no money at the bench"
    assert "Your draws" not in said(browser("other").get(page))
    answer = bench.post(
        f"/jobs/{job.number}/draws/{draw.pk}", {"from": "bench", "reason": "Fifty, not five hundred"}
    )
    assert answer["Location"] == page
    assert "(struck out)" in said(bench.get(page))


def test_mending_is_booked_on_its_mishap(
    browser: Browser, job: Job, op: Op, bags: PlannedMaterial, chip: Mishap, pay: None
) -> None:
    bench, page = browser("bench"), f"/bench/{job.number}/"
    bench.post(page, {"do": "start", "mishap": chip.pk})
    assert "mending (A corner chipped)" in said(bench.get(page))
    TimeEntry.objects.update(started_at=timezone.now() - timedelta(hours=1))
    bench.post(page, {"do": "stop"})
    bench.post(page, {"do": "minutes", "operation": op("POLISH").pk, "mishap": chip.pk, "minutes": "30"})
    bench.post(page, {"do": "draw", "material": bags.pk, "mishap": chip.pk, "quantity": "2"})
    browser("owner").post(
        f"/jobs/{job.number}/purchases",
        {"name": "Colour paste", "quantity": "1", "amount": "12", "mishap": chip.pk},
    )
    assert [one.mishap for one in TimeEntry.objects.all()] == [chip, chip]
    line = next(one for one in report_of(job, now=timezone.now()).mishaps if one.key == chip.pk)
    # an hour and a half at 20 with overhead at 10, 2 kg at 0.40, the paste
    assert abs(line.actual - D("57.80")) < D("0.10")
    shown = said(browser("owner").get(f"/jobs/{job.number}/"))
    assert shown.count("(A corner chipped)") == 4


def test_a_timer_on_the_wrong_operation_is_corrected(
    browser: Browser, job: Job, op: Op, chip: Mishap
) -> None:
    bench = browser("bench")
    bench.post(f"/bench/{job.number}/", {"do": "minutes", "operation": op("CUT").pk, "minutes": "30"})
    entry = TimeEntry.objects.get()
    PlannedOperation.objects.filter(code="CAST").update(rate=D(26))
    form = {"do": "correct", "from": "bench", "minutes": "30", "reason": "It was the pour"}
    at = f"/jobs/{job.number}/time/{entry.pk}"
    assert bench.post(at, form | {"operation": op("CAST").pk}).status_code == 302
    entry.refresh_from_db()
    assert (entry.operation, entry.mishap, entry.rate) == (op("CAST"), None, D(26))
    assert bench.post(at, form | {"operation": op("CAST").pk, "mishap": chip.pk}).status_code == 302
    entry.refresh_from_db()
    assert (entry.operation, entry.mishap) == (op("CAST"), chip)
    assert bench.post(at, form | {"operation": "999999"}).status_code == 422


def test_a_rate_that_was_told_stays_when_the_operation_is_corrected(
    browser: Browser, job: Job, op: Op
) -> None:
    browser("bench").post(
        f"/bench/{job.number}/", {"do": "minutes", "operation": op("CUT").pk, "minutes": "30"}
    )
    TimeEntry.objects.update(rate=D(33))
    PlannedOperation.objects.filter(code="CAST").update(rate=D(26))
    form = {"do": "correct", "minutes": "30", "reason": "It was the pour", "operation": op("CAST").pk}
    browser("owner").post(f"/jobs/{job.number}/time/{TimeEntry.objects.get().pk}", form)
    assert TimeEntry.objects.get().rate == D(33)


def test_an_owner_enters_the_time_of_somebody_else(
    browser: Browser, job: Job, op: Op, people: dict[str, Any]
) -> None:
    page, owner = f"/bench/{job.number}/", browser("owner")
    form = {"do": "minutes", "operation": op("CUT").pk, "minutes": "30", "person": "ida"}
    assert owner.post(page, form).status_code == 302
    assert TimeEntry.objects.get().person == people["other"]
    assert owner.post(page, form | {"person": "nobody"}).status_code == 422
    assert 'name="person"' not in said(browser("bench").get(page))
    assert browser("bench").post(page, form).status_code == 403
    assert TimeEntry.objects.count() == 1


def test_a_mishap_that_was_none_is_taken_back_with_what_it_planned(
    browser: Browser, job: Job, op: Op, people: dict[str, Any]
) -> None:
    bench, page, now = browser("bench"), f"/bench/{job.number}/", timezone.now()
    before = report_of(job, now=now)
    told = {
        "do": "mishap",
        "operation": op("TURN").pk,
        "cause": "Cracked",
        "outcome": "recast",
        "minutes": "10",
    }
    bench.post(page, told | {"castings": "1"})
    wrong = Mishap.objects.get()
    assert "Done: 3 of" in said(bench.get(page))
    at, why = (
        f"/jobs/{job.number}/mishaps/{wrong.pk}",
        {"from": "bench", "reason": "Only slurry, it wiped off"},
    )
    assert browser("other").post(at, why).status_code == 403
    assert browser("estimator").post(at, why).status_code == 403
    assert bench.post(at, why).status_code == 422, "ten minutes are booked on it"
    entry = TimeEntry.objects.get()
    strike = {"do": "strike-out", "from": "bench", "reason": "It was none"}
    bench.post(f"/jobs/{job.number}/time/{entry.pk}", strike)
    assert bench.post(at, why | {"reason": ""}).status_code == 422
    assert bench.post(at, why).status_code == 302
    assert not Mishap.objects.exists()
    assert not Progress.objects.exists()
    assert report_of(job, now=now) == before
    entry.refresh_from_db()
    assert (entry.struck_out, entry.mishap) == (True, None)
    events = said(browser("owner").get(f"/jobs/{job.number}/"))
    assert "Cast again: Cracked, 1 of Table" in events
    assert "Only slurry, it wiped off" in events


def test_a_mishap_is_taken_back_over_the_api(api: Any, job: Job, chip: Mishap) -> None:
    at = f"/api/v1/jobs/{job.pk}/mishaps/{chip.pk}"
    assert api("other").get(at).json()["cause"] == "A corner chipped"
    assert api("other").post(at, {"reason": "None of mine"}).status_code == 403
    assert api("owner").post(at, {"reason": "It was there before"}).json()["id"] == chip.pk
    assert api("owner").get(at).status_code == 404
    assert not PlannedOperation.objects.filter(mishap__isnull=False).exists()
