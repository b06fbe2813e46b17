"""Pages of jobs, bench and look-back, without script."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db.models import F
from django.test import Client
from django.utils import timezone

from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation, TimeEntry
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from tests.shop.jobs.conftest import MATERIALS, OPERATIONS, TODAY, D, said_on

Browser = Callable[[str], Client]
Op = Callable[[str], PlannedOperation]


def said(answer: Any) -> str:
    return str(answer.content.decode())


def test_a_day_at_the_bench_by_forms(browser: Browser, job: Job, op: Op, bags: PlannedMaterial) -> None:
    bench, page = browser("bench"), f"/bench/{job.number}/"
    bench.post(page, {"do": "start", "operation": op("CUT").pk})
    assert "Running: <strong>Cut the mould</strong>" in said(bench.get(page))
    TimeEntry.objects.update(started_at=F("started_at") - timedelta(hours=1))
    bench.post(page, {"do": "stop"})
    bench.post(page, {"do": "minutes", "operation": op("CAST").pk, "minutes": "45"})
    bench.post(page, {"do": "draw", "material": bags.pk, "quantity": "50", "kind": "stock"})
    bench.post(page, {"do": "progress", "operation": op("CUT").pk, "share": "1"})
    mishap = {
        "do": "mishap",
        "operation": op("TURN").pk,
        "cause": "Cracked",
        "outcome": "recast",
        "minutes": "10",
    }
    bench.post(page, mishap)
    shown = said(bench.get(page))
    assert "again" in shown
    assert "45 min" in shown
    assert (TimeEntry.objects.count(), Draw.objects.count(), Mishap.objects.count()) == (3, 1, 1)
    assert 3595 <= (TimeEntry.objects.order_by("pk")[0].seconds or 0) <= 3605


@pytest.mark.parametrize(
    "form",
    [
        {"do": "stop"},
        {"do": "start"},
        {"do": "start", "operation": "x"},
        {"do": "minutes", "operation": "1", "minutes": "many"},
        {"do": "minutes", "operation": "1", "minutes": "1e999999"},
        {"do": "draw", "material": "999999", "quantity": "1"},
        {"do": "mishap"},
        {"do": "dance"},
        {},
    ],
)
def test_what_the_bench_refuses_is_said(browser: Browser, job: Job, form: dict[str, str]) -> None:
    answer = browser("bench").post(f"/bench/{job.number}/", form)
    assert answer.status_code == 422
    assert 'class="faults" role="alert"' in said(answer)
    assert TimeEntry.objects.count() == 0


def test_the_job_page_shows_the_report_and_its_files(browser: Browser, job: Job) -> None:
    owner, page = browser("owner"), f"/jobs/{job.number}/"
    shown = said(owner.get(page))
    assert "At completion" in shown
    assert "<svg" in shown
    assert owner.get(f"{page}report.csv")["Content-Type"].startswith("text/csv")
    assert owner.get(f"{page}report.json").json()["number"] == job.number
    assert owner.get(f"{page}report.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize(("days", "words"), [(1, "(1 day late)"), (3, "(3 days late)")])
def test_how_late_a_job_is(browser: Browser, job: Job, days: int, words: str) -> None:
    Job.objects.update(due_on=timezone.localdate() - timedelta(days=days))
    assert words in said(browser("owner").get(f"/jobs/{job.number}/"))


def test_a_purchase_and_a_correction(browser: Browser, job: Job, op: Op, people: dict[str, Any]) -> None:
    owner = browser("owner")
    bought = {"name": "Van hire", "quantity": "1", "amount": "45,50", "invoice": "A-1"}
    owner.post(f"/jobs/{job.number}/purchases", bought)
    assert str(Draw.objects.get().amount) == "45.5000"
    owner.post(f"/bench/{job.number}/", {"do": "minutes", "operation": op("CUT").pk, "minutes": "30"})
    entry = TimeEntry.objects.get()
    owner.post(f"/jobs/{job.number}/time/{entry.pk}", {"do": "correct", "minutes": "40", "reason": "Longer"})
    entry.refresh_from_db()
    assert (entry.seconds, entry.corrections.count()) == (2400, 1)
    assert "Longer" in said(owner.get(f"/jobs/{job.number}/"))


def test_closing_and_opening_again(browser: Browser, job: Job) -> None:
    owner = browser("owner")
    undone = PlannedOperation.objects.count()
    assert f"{undone} of its operations are not done yet" in said(owner.get(f"/jobs/{job.number}/"))
    owner.post(f"/jobs/{job.number}/status", {"do": "close"})
    assert Job.objects.get().status == "closed"
    assert "not done yet" not in said(owner.get(f"/jobs/{job.number}/"))
    assert "This job is closed" in said(owner.get(f"/bench/{job.number}/"))
    owner.post(f"/jobs/{job.number}/status", {"do": "reopen"})
    assert Job.objects.get().status == "open"


def test_a_job_by_hand(browser: Browser, people: dict[str, Any], catalogue: None) -> None:
    form = {
        "title": "Shelf",
        "piece": "Shelf",
        "quantity": "2",
        "price": "300",
        "hours-CUT": "1,5",
        "materials": "40",
    }
    answer = browser("owner").post("/jobs/new", form)
    assert answer.status_code == 302
    made = Job.objects.get()
    assert [str(one.hours) for one in PlannedOperation.objects.filter(piece__job=made)] == ["1.5000"]


def test_a_refused_job_by_hand_keeps_what_was_typed(browser: Browser, people: dict[str, Any]) -> None:
    answer = browser("owner").post("/jobs/new", {"title": "Shelf", "piece": "Shelf", "quantity": "some"})
    assert answer.status_code == 422
    assert 'value="Shelf"' in said(answer)


@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        ("/bench/", {"bench", "estimator", "owner"}),
        ("/bench/J26-0001/", {"bench", "estimator", "owner"}),
        ("/bench/worker.js", {"bench", "estimator", "owner"}),
        ("/jobs/", {"bench", "estimator", "owner"}),
        ("/jobs/new", {"estimator", "owner"}),
        ("/jobs/J26-0001/report.csv", {"estimator", "owner"}),
        ("/look-back/", {"owner"}),
    ],
)
def test_doors(browser: Browser, job: Job, path: str, allowed: set[str]) -> None:
    let_in = {name for name in ("bench", "estimator", "owner") if browser(name).get(path).status_code == 200}
    assert let_in == allowed
    assert browser("").get(path).status_code == 302


def test_the_bench_reads_no_money(browser: Browser, job: Job) -> None:
    bench = browser("bench")
    assert bench.get(f"/jobs/{job.number}/").status_code == 302
    for path in ("/jobs/", "/bench/", f"/bench/{job.number}/"):
        shown = said_on(bench.get(path))
        assert "700" not in shown
        assert "EUR" not in shown


def test_only_owners_and_oneself_correct_time(browser: Browser, job: Job, op: Op) -> None:
    browser("bench").post(
        f"/bench/{job.number}/", {"do": "minutes", "operation": op("CUT").pk, "minutes": "30"}
    )
    entry = TimeEntry.objects.get()
    path, form = f"/jobs/{job.number}/time/{entry.pk}", {"do": "strike-out", "reason": "Mine?"}
    assert browser("other").post(path, form).status_code == 403
    assert browser("estimator").post(path, form).status_code == 403
    assert browser("bench").post(path, form).status_code == 302


def test_what_is_typed_at_the_bench_comes_back_with_every_fault(browser: Browser, job: Job, op: Op) -> None:
    typed = {"do": "mishap", "operation": op("TURN").pk, "cause": "", "castings": "two", "minutes": "a while"}
    answer = browser("bench").post(f"/bench/{job.number}/", typed)
    page = said(answer)
    assert answer.status_code == 422
    assert f'<option value="{op("TURN").pk}" selected>' in page
    assert 'value="two" aria-invalid="true" aria-describedby="mishap-castings-fault"' in page
    assert 'value="a while" aria-invalid="true"' in page
    assert page.count('href="#mishap-') == 4  # cause, what is done about it, pieces, minutes
    assert page.count("autofocus") == 1


def test_a_refused_correction_keeps_its_reason_on_the_page_it_came_from(
    browser: Browser, job: Job, op: Op
) -> None:
    bench = browser("bench")
    bench.post(f"/bench/{job.number}/", {"do": "minutes", "operation": op("CUT").pk, "minutes": "30"})
    at = f"/jobs/{job.number}/time/{TimeEntry.objects.get().pk}"
    typed = {"do": "correct", "minutes": "2000", "reason": "Both of us"}
    for name, there, button in (("bench", "bench", "Enter minutes"), ("owner", "job", "At completion")):
        answer = browser(name).post(at, typed | {"from": there})
        page = said(answer)
        assert (answer.status_code, button in page, 'value="Both of us"' in page) == (422, True, True)
        assert 'value="2000" aria-invalid="true"' in page
    assert TimeEntry.objects.get().seconds == 1800


def test_what_is_typed_for_a_job_that_was_closed_meanwhile_is_still_to_be_read(
    browser: Browser, job: Job, op: Op
) -> None:
    browser("owner").post(f"/jobs/{job.number}/status", {"do": "close"})
    typed = {"do": "minutes", "operation": op("CUT").pk, "minutes": "30", "note": "the second coat"}
    answer = browser("bench").post(f"/bench/{job.number}/", typed)
    assert answer.status_code == 422
    assert "the second coat" in said(answer)


def test_a_job_of_two_pieces_says_which_piece_an_operation_and_a_material_are_for(
    people: dict[str, Any], browser: Browser
) -> None:
    """“Cut the mould” once stood there twice, and nobody could tell the table's from the bench's."""
    pieces = [
        PieceWanted(name, 1, "rectangle", D(700), OPERATIONS, MATERIALS) for name in ("Table", "Bench seat")
    ]
    job = open_by_hand(title="Hall", on=TODAY, price=D(1400), pieces=pieces, by=people["owner"])
    client = browser("owner")
    bench = client.get(f"/bench/{job.number}/").content.decode()
    page = client.get(f"/jobs/{job.number}/").content.decode()
    for name in ("Table", "Bench seat"):
        assert bench.count(f"Cut the mould, {name}</option>") == 3, "of minutes, shares and mishaps"
        assert f"<strong>Cut the mould, {name}</strong>" in bench
        assert f"Grey mix, {name} (kg" in bench
        assert f'<th scope="row">Cut the mould, {name}</th>' in page
        assert f'<th scope="row">Grey mix, {name}</th>' in page
