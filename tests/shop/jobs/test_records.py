"""Draws, purchases, progress, mishaps, and the report that follows."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from quoting.engine.errors import Refused
from quoting.errors import IllegalMove
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation
from shop.jobs.selectors.costs import report_of
from shop.jobs.services.draws import Drawn, correct_draw, record_draw, strike_out_draw
from shop.jobs.services.jobs import PieceWanted, close_job, open_by_hand, reopen_job
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import Work, add_minutes
from tests.shop.jobs.conftest import MATERIALS, NOW, OPERATIONS, TODAY

D = Decimal
Op = Callable[[str], PlannedOperation]


def draw(job: Job, drawn: Drawn, by: Any, **more: Any) -> Draw:
    return record_draw(job, drawn, on=TODAY, by=by, now=NOW, **more)


def test_a_draw_is_priced_by_the_catalogue_of_the_day(
    job: Job, bags: PlannedMaterial, people: dict[str, Any], catalogue: None
) -> None:
    made = draw(job, Drawn(D(50), material=bags), people["bench"])
    assert made.amount == D("22.00")  # two bags of 25 kg at 11.00


def test_without_a_price_the_plan_is_taken(job: Job, bags: PlannedMaterial, people: dict[str, Any]) -> None:
    assert draw(job, Drawn(D(50), material=bags), people["bench"]).amount == D("20.00")


def test_bought_drawn_and_put_back_split_into_price_and_usage(
    job: Job, bags: PlannedMaterial, op: Op, people: dict[str, Any]
) -> None:
    owner = people["owner"]
    draw(job, Drawn(D(225), "bought", bags, amount=D("108.00"), supplier="Example", invoice="A-17"), owner)
    draw(job, Drawn(D(5), "return", bags, amount=D("2.00")), owner)
    record_progress(op("CAST"), D(1), by=owner, at=NOW, now=NOW)
    made = report_of(job, now=NOW)
    line = next(line for line in made.materials if line.facts.code == "BAG-GREY")
    assert (line.facts.used, line.facts.paid) == (D(220), D(106))
    assert (line.price_variance, line.usage_variance) == (D("18.00"), D("8.00"))
    assert line.cost_to_come == 0


def test_something_not_planned(job: Job, people: dict[str, Any]) -> None:
    draw(job, Drawn(D(1), "bought", name="Van hire", amount=D(45)), people["owner"])
    assert report_of(job, now=NOW).line("materials").actual == D(45)


def test_corrected_and_struck_out_draws_keep_their_history(
    job: Job, bags: PlannedMaterial, people: dict[str, Any]
) -> None:
    made = draw(job, Drawn(D(50), material=bags), people["bench"])
    fixed = correct_draw(made, by=people["owner"], now=NOW, reason="Three bags", quantity=D(75), amount=D(30))
    assert fixed.corrections.get().before["quantity"] == "50.000000"
    strike_out_draw(fixed, by=people["owner"], now=NOW, reason="Other job")
    assert report_of(job, now=NOW).line("materials").actual == 0
    assert made.corrections.count() == 2


@pytest.mark.parametrize("quantity", ["0", "-1", "NaN"])
def test_quantities_not_above_nought_are_refused(
    job: Job, bags: PlannedMaterial, people: dict[str, Any], quantity: str
) -> None:
    with pytest.raises(Refused, match="above 0"):
        draw(job, Drawn(D(quantity), material=bags), people["bench"])


def test_more_put_back_than_taken_is_refused(job: Job, bags: PlannedMaterial, people: dict[str, Any]) -> None:
    draw(job, Drawn(D(25), material=bags), people["bench"])
    with pytest.raises(Refused, match="Only 25 kg"):
        draw(job, Drawn(D(30), "return", bags), people["bench"])


def test_no_price_known(job: Job, people: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="what was paid"):
        draw(job, Drawn(D(1), name="A thing"), people["owner"])


def test_a_replayed_draw_is_one_draw(job: Job, bags: PlannedMaterial, people: dict[str, Any]) -> None:
    first = draw(job, Drawn(D(25), material=bags), people["bench"], key="a")
    assert draw(job, Drawn(D(25), material=bags), people["bench"], key="a") == first
    assert Draw.objects.count() == 1


def test_recast_plans_again_from_where_the_operation_goes_back_to(
    job: Job, op: Op, people: dict[str, Any]
) -> None:
    told = Happened(op("TURN"), "Corner cracked", "recast", TODAY, minutes=D(30))
    made = record_mishap(told, by=people["bench"], now=NOW)
    again = list(made.operations.order_by("position"))
    assert [(one.code, one.hours) for one in again] == [("CAST", D(3)), ("TURN", D(1))]
    assert [(one.code, one.quantity) for one in made.materials.all()] == [("BAG-GREY", D(200))]
    report = report_of(job, now=NOW)
    line = report.mishaps[0]
    assert (line.hours, line.actual) == (D("0.5"), D("15.00"))  # half an hour at 20 with overhead 10
    assert line.to_come == D(4) * 30 + D(80)
    assert report.line("mishaps").planned == D(30)
    assert report.line("labour").planned == D(260)


def test_rework_is_booked_on_the_mishap_not_on_the_plan(job: Job, op: Op, people: dict[str, Any]) -> None:
    made = record_mishap(Happened(op("TURN"), "Cracked", "recast", TODAY), by=people["bench"], now=NOW)
    again = made.operations.get(code="CAST")
    add_minutes(job, Work(again), person=people["bench"], minutes=D(120), worked_on=TODAY, now=NOW)
    report = report_of(job, now=NOW)
    assert report.line("labour").actual == 0
    assert report.line("mishaps").actual == D(60)


def test_repair_plans_nothing_again(job: Job, op: Op, people: dict[str, Any]) -> None:
    told = Happened(op("POLISH"), "Chip filled", "repair", TODAY, minutes=D(60))
    made = record_mishap(told, by=people["bench"], now=NOW)
    assert made.operations.count() == 0
    assert report_of(job, now=NOW).mishaps[0].actual == D(30)


def test_one_of_four_lost_is_a_quarter_of_the_material(people: dict[str, Any]) -> None:
    job = open_by_hand(
        title="Four tops",
        on=TODAY,
        pieces=[PieceWanted("Top", 4, operations=OPERATIONS, materials=MATERIALS)],
    )
    turn = PlannedOperation.objects.get(piece__job=job, code="TURN")
    made = record_mishap(Happened(turn, "Dropped", "recast", TODAY), by=people["bench"], now=NOW)
    assert made.materials.get().quantity == D(50)
    assert turn.progress.count() == 0


def test_a_mishap_of_more_castings_than_are_made_is_refused(job: Job, op: Op, people: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="How many pieces: only 1 is made"):
        record_mishap(Happened(op("TURN"), "Two?", "recast", TODAY, castings=2), by=people["bench"], now=NOW)
    assert Mishap.objects.count() == 0


def test_a_mishap_whose_minutes_are_refused_leaves_nothing(job: Job, op: Op, people: dict[str, Any]) -> None:
    told = Happened(op("TURN"), "Cracked", "recast", TODAY, minutes=D(2000))
    with pytest.raises(Refused):
        record_mishap(told, by=people["bench"], now=NOW)
    assert Mishap.objects.count() == 0
    assert PlannedOperation.objects.filter(mishap__isnull=False).count() == 0


def test_progress_outside_nought_to_one(op: Op, people: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="from 0 to 1"):
        record_progress(op("CUT"), D("1.5"), by=people["bench"], at=NOW, now=NOW)


def test_closed_and_opened_again(job: Job) -> None:
    closed = close_job(job, on=date(2026, 4, 1))
    assert report_of(closed, now=NOW).made is not None
    with pytest.raises(IllegalMove):
        close_job(job, on=TODAY)
    assert reopen_job(job).closed_on is None
    assert list(job.events.values_list("kind", flat=True)) == ["opened", "closed", "opened again"]


def test_numbers_have_no_gap_after_a_refusal(job: Job) -> None:
    with pytest.raises(ValidationError):
        open_by_hand(title="", on=TODAY, pieces=[PieceWanted("Bench")])
    assert open_by_hand(title="Bench", on=TODAY, pieces=[PieceWanted("Bench")]).number == "J26-0002"
