"""A job opened from the demo's issued quote carries what was frozen, to the cent."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser
from rest_framework.test import APIClient

from catalog.services.terms import update_terms
from quoting.errors import IllegalMove
from quoting.models import Client, PieceRevision, Quote
from quoting.selectors.planned_days import planned_days, planned_pour
from quoting.services.quotes import ItemWanted, accept_quote, draft_quote, issue_quote
from shop.accounts.models import User
from shop.demo import load_demo
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.lookback import finding
from shop.jobs.selectors.margins import months
from shop.jobs.services.jobs import close_job, open_from_quote, reopen_job
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.time import Work, add_minutes
from shop.jobs.services.time_corrections import strike_out_time
from tests.shop.jobs.conftest import NOW

D = Decimal
MONDAY = date(2026, 3, 2)
pytestmark = pytest.mark.django_db


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
    _worked_as_planned_shows_no_bias(job)
    turn = PlannedOperation.objects.filter(piece__job=job, breakage__gt=0).order_by("position")[:1].get()
    happened = Happened(turn, "Cracked", "recast", steps["turn"])
    mishap = record_mishap(happened, by=None, now=NOW.replace(month=4))
    assert mishap.operations.exists()
    moved = {step.step: step.planned_on for step in job.pieces.get().dates.all()}
    assert moved["pour"] > steps["turn"]
    assert moved["turn"] - moved["pour"] >= steps["turn"] - steps["pour"]


def test_the_month_sums_what_was_quoted_to_the_cent() -> None:
    """Three quotes once came to 13463.73999999999978172127157."""
    first = load_demo("us", on=MONDAY).issued
    client, bench = Client.objects.order_by("pk")[0], PieceRevision.objects.get(piece__name=_names()[0])
    draft = draft_quote(
        client, title="Bench", quoted_on=MONDAY, items=(ItemWanted(bench),), discount=D("0.0277")
    )
    nets = [D(issued.data["net"]) for issued in (first, issue_quote(draft, on=MONDAY))]
    assert nets[1] % 1, "cents that no binary fraction holds"
    (row,) = months(MONDAY, MONDAY, ())
    assert (row.quoted, str(row.quoted_net)) == (2, str(sum(nets)))


def test_accepting_an_option_opens_the_job_of_that_option() -> None:
    load_demo("metric", on=MONDAY)
    update_terms({"hours_basis": "expected"})
    client = Client.objects.order_by("pk")[0]
    bench, hearth = (PieceRevision.objects.get(piece__name=name) for name in _names())
    draft = draft_quote(
        client,
        title="Bench or hearth",
        quoted_on=MONDAY,
        items=(ItemWanted(bench, option="Bench"), ItemWanted(hearth, 2, option="Hearths")),
    )
    issued = issue_quote(draft, on=MONDAY)
    accept_quote(issued.quote, name="P. Quern", data_sha256=issued.data_sha256, on=MONDAY, option="Hearths")
    job = Job.objects.get()
    assert [(piece.name, piece.quantity) for piece in job.pieces.all()] == [(_names()[1], 2)]
    chosen = next(one for one in issued.data["options"] if one["name"] == "Hearths")
    price = issued.basis["items"][1]["estimate"]["price"]
    assert job.price == D(chosen["net"])
    assert report_of(job, now=NOW).line("total").planned == D(price["cost"])
    assert job.quote_id == issued.quote_id


def _worked_as_planned_shows_no_bias(job: Job) -> None:
    """The same standards plan the same hours again from the take-off that the job keeps."""
    longest = (
        PlannedOperation.objects.filter(piece__job=job, hours__lte=20).order_by("-hours", "pk")[:1].get()
    )
    entry = add_minutes(
        job,
        Work(longest),
        person=User.objects.get(username="demo-bench"),
        minutes=longest.hours * 60,
        worked_on=MONDAY,
        now=NOW,
    )
    close_job(job, on=MONDAY)
    found = finding(longest.code, MONDAY)
    assert found is not None
    assert found.hours.jobs == 1
    assert found.hours.bias == pytest.approx(0, abs=1e-4)
    reopen_job(job)
    strike_out_time(entry, by=None, now=NOW, reason="Only to look")


def _names() -> tuple[str, str]:
    found = sorted(PieceRevision.objects.values_list("piece__name", flat=True))
    return next(one for one in found if "ench" in one), next(one for one in found if "earth" in one)


def test_a_step_is_moved_and_calendar_and_traveller_follow() -> None:
    """The feed once told the days of the quote, whatever had become of the job's."""
    issued = load_demo("metric", on=MONDAY).issued
    job = open_from_quote(issued.quote, on=MONDAY)
    owner = User.objects.filter(role="owner")[0]
    browser, api, page = Browser(), APIClient(HTTP_IF_MATCH="*"), f"/jobs/{job.number}/"
    browser.force_login(owner)
    api.force_login(owner)

    def days() -> dict[str, date]:
        planned = {one.step: one.planned_on for one in job.pieces.get().dates.all()}
        told = {one.step: one.day for one in planned_days(MONDAY) if one.quote == issued}
        assert told == planned
        assert planned_pour(Quote.objects.get(pk=issued.quote_id)) == planned["pour"]
        return planned

    before, pour = days(), job.pieces.get().dates.get(step="pour")
    to = before["pour"] + timedelta(days=14)
    assert browser.post(f"{page}days", {"step": pour.pk, "planned_on": to.isoformat()}).status_code == 302
    after = days()
    assert after["pour"] == to
    assert all(after[step] - before[step] >= timedelta(days=14) for step in before)
    assert f"Pour of {pour.piece.name} from" in browser.get(page).content.decode()
    refused = browser.post(f"{page}days", {"step": pour.pk, "planned_on": ""})
    assert (refused.status_code, days()) == (422, after)
    first = {"piece": pour.piece_id, "step": "turn", "planned_on": before["pour"].isoformat()}
    answer = api.patch(f"/api/v1/jobs/{job.pk}", {"title": "Else", "days": [first]}, "json")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["path"] == "days[0].planned_on"
    assert Job.objects.get().title != "Else"
    first |= {"planned_on": (after["turn"] + timedelta(days=7)).isoformat()}
    assert api.patch(f"/api/v1/jobs/{job.pk}", {"days": [first]}, "json").status_code == 200
    assert (days()["pour"], days()["turn"]) == (to, after["turn"] + timedelta(days=7))
    close_job(job, on=to, by=None)
    assert max(one.day for one in planned_days(MONDAY) if one.quote == issued) <= to
