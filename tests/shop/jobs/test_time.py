"""Timers and minutes: it works first, then what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError
from django.utils import timezone

from quoting.engine.errors import Refused
from quoting.errors import IllegalMove
from shop.jobs.models import Job, PlannedOperation, TimeEntry
from shop.jobs.services.jobs import close_job
from shop.jobs.services.time import Work, add_minutes, start_timer, stop_timer
from shop.jobs.services.time_corrections import correct_time, strike_out_time
from tests.shop.jobs.conftest import NOW, TODAY

D = Decimal
Op = Callable[[str], PlannedOperation]
EIGHT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@pytest.fixture
def wilf(people: dict[str, Any]) -> Any:
    return people["bench"]


def run(
    job: Job, work: Work, person: Any, begun: datetime, ended: datetime, now: datetime = NOW
) -> TimeEntry:
    start_timer(job, work, person=person, at=begun, now=now)
    return stop_timer(person=person, at=ended, now=now)


def test_a_timer_keeps_seconds_and_the_pay_of_the_day(job: Job, op: Op, wilf: Any, pay: None) -> None:
    made = run(job, Work(op("CUT")), wilf, EIGHT, EIGHT + timedelta(minutes=90))
    assert (made.seconds, made.rate, made.worked_on) == (5400, D(20), TODAY)


def test_without_pay_in_the_catalogue_the_planned_rate_holds(job: Job, op: Op, wilf: Any) -> None:
    assert run(job, Work(op("CUT")), wilf, EIGHT, NOW).rate == D(20)


def test_a_tap_by_mistake_is_a_second_and_the_timer_stops(job: Job, op: Op, wilf: Any) -> None:
    made = run(job, Work(op("CUT")), wilf, EIGHT, EIGHT + timedelta(milliseconds=80))
    assert made.seconds == 1


def test_midnight_is_no_wall(job: Job, op: Op, wilf: Any) -> None:
    begun = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)
    with timezone.override(UTC):
        made = run(job, Work(op("CUT")), wilf, begun, begun + timedelta(hours=1))
    assert (made.seconds, made.worked_on) == (3600, date(2026, 3, 1))


@pytest.mark.parametrize(
    ("zone", "day"),
    [("UTC", date(2026, 3, 1)), ("Europe/Berlin", date(2026, 3, 2)), ("America/New_York", date(2026, 3, 1))],
)
def test_the_day_is_the_shops_own(job: Job, op: Op, wilf: Any, zone: str, day: date) -> None:
    """23:30 UTC is half past midnight in Berlin, half past six in the evening in New York."""
    begun = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)
    with timezone.override(ZoneInfo(zone)):
        assert run(job, Work(op("CUT")), wilf, begun, begun + timedelta(hours=1)).worked_on == day


@pytest.mark.parametrize(
    ("begun", "ended", "hours"),
    [("2026-03-29T01:30", "2026-03-29T03:30", 1), ("2026-10-25T01:30", "2026-10-25T03:30", 3)],
    ids=["clocks go on", "clocks go back"],
)
def test_clock_changes_do_not_touch_what_was_worked(
    job: Job, op: Op, wilf: Any, begun: str, ended: str, hours: int
) -> None:
    """Local times of Berlin on the nights of 2026's clock changes (tz database)."""
    zone = ZoneInfo("Europe/Berlin")
    start, end = (datetime.fromisoformat(text).replace(tzinfo=zone) for text in (begun, ended))
    made = run(job, Work(op("CUT")), wilf, start, end, now=end + timedelta(hours=1))
    assert made.seconds == hours * 3600


def test_switching_stops_what_ran_at_the_same_instant(job: Job, op: Op, wilf: Any) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW)
    nine = EIGHT + timedelta(hours=1)
    start_timer(job, Work(op("CAST")), person=wilf, at=nine, now=NOW, switch=True)
    first, second = TimeEntry.objects.order_by("pk")
    assert (first.ended_at, first.seconds, second.seconds) == (nine, 3600, None)


def test_sending_twice_is_sending_once(job: Job, op: Op, wilf: Any) -> None:
    for _ in range(2):
        start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW, key="k1")
        stop_timer(person=wilf, at=EIGHT + timedelta(hours=1), now=NOW, key="k1")
        add_minutes(job, Work(op("CAST")), person=wilf, minutes=D(30), worked_on=TODAY, now=NOW, key="k2")
    assert TimeEntry.objects.count() == 2


def test_correction_keeps_how_it_read(job: Job, op: Op, wilf: Any) -> None:
    made = run(job, Work(op("CUT")), wilf, EIGHT, EIGHT + timedelta(hours=7))
    fixed = correct_time(made, by=wilf, now=NOW, reason="Forgot to stop", ended_at=EIGHT + timedelta(hours=2))
    kept = fixed.corrections.get()
    assert (fixed.seconds, kept.before["seconds"], kept.reason, kept.by) == (
        7200,
        25200,
        "Forgot to stop",
        wilf,
    )


def test_struck_out_is_kept_but_frees_the_time(job: Job, op: Op, wilf: Any) -> None:
    made = run(job, Work(op("CUT")), wilf, EIGHT, NOW)
    strike_out_time(made, by=wilf, now=NOW, reason="Wrong job")
    run(job, Work(op("CAST")), wilf, EIGHT, NOW)
    assert TimeEntry.objects.count() == 2
    assert TimeEntry.objects.filter(struck_out=True).get().corrections.count() == 1


def test_two_timers_of_one_person_are_refused(job: Job, op: Op, wilf: Any, people: dict[str, Any]) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW)
    with pytest.raises(IllegalMove):
        start_timer(job, Work(op("CAST")), person=wilf, at=NOW, now=NOW)
    start_timer(job, Work(op("CAST")), person=people["other"], at=EIGHT, now=NOW)
    assert TimeEntry.objects.filter(seconds__isnull=True).count() == 2


def test_the_database_itself_refuses_a_second_timer(job: Job, op: Op, wilf: Any) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW)
    with pytest.raises(IntegrityError):
        TimeEntry.objects.create(job=job, person=wilf, worked_on=TODAY, started_at=NOW, rate=D(1))


@pytest.mark.parametrize(
    ("begun", "ended"),
    [(7.0, 8.5), (8.5, 8.75), (8.5, 10.0), (7.0, 11.0)],
    ids=["head", "in", "tail", "over"],
)
def test_overlap_is_refused(job: Job, op: Op, wilf: Any, begun: float, ended: float) -> None:
    run(job, Work(op("CUT")), wilf, EIGHT, EIGHT + timedelta(hours=1))
    midnight = EIGHT - timedelta(hours=8)
    with pytest.raises(Refused, match="overlap"):
        run(job, Work(op("CAST")), wilf, midnight + timedelta(hours=begun), midnight + timedelta(hours=ended))


def test_touching_is_no_overlap(job: Job, op: Op, wilf: Any) -> None:
    run(job, Work(op("CUT")), wilf, EIGHT, EIGHT + timedelta(hours=1))
    run(job, Work(op("CAST")), wilf, EIGHT + timedelta(hours=1), EIGHT + timedelta(hours=2))
    assert TimeEntry.objects.count() == 2


def test_ends_before_it_began(job: Job, op: Op, wilf: Any) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW)
    with pytest.raises(Refused, match="before it began"):
        stop_timer(person=wilf, at=EIGHT - timedelta(hours=1), now=NOW)


def test_longer_than_a_day(job: Job, op: Op, wilf: Any) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=NOW - timedelta(hours=25), now=NOW)
    with pytest.raises(Refused, match="longer than a day"):
        stop_timer(person=wilf, at=NOW, now=NOW)


@pytest.mark.parametrize("minutes", ["0", "-30", "1441", "NaN", "Infinity"])
def test_minutes_out_of_range(job: Job, op: Op, wilf: Any, minutes: str) -> None:
    with pytest.raises(Refused, match="minutes"):
        add_minutes(job, Work(op("CUT")), person=wilf, minutes=D(minutes), worked_on=TODAY, now=NOW)


def test_no_more_than_a_day_by_minutes(job: Job, op: Op, wilf: Any) -> None:
    add_minutes(job, Work(op("CUT")), person=wilf, minutes=D(1000), worked_on=TODAY, now=NOW)
    with pytest.raises(Refused, match="24 hours"):
        add_minutes(job, Work(op("CUT")), person=wilf, minutes=D(441), worked_on=TODAY, now=NOW)


def test_times_to_come_and_long_gone(job: Job, op: Op, wilf: Any) -> None:
    with pytest.raises(Refused, match="not come yet"):
        start_timer(job, Work(op("CUT")), person=wilf, at=NOW + timedelta(hours=1), now=NOW)
    with pytest.raises(Refused, match="month"):
        start_timer(job, Work(op("CUT")), person=wilf, at=NOW - timedelta(days=40), now=NOW)


def test_nothing_goes_on_a_closed_job(job: Job, op: Op, wilf: Any) -> None:
    close_job(job, on=TODAY)
    with pytest.raises(IllegalMove, match="closed"):
        add_minutes(job, Work(op("CUT")), person=wilf, minutes=D(10), worked_on=TODAY, now=NOW)


def test_a_job_with_a_running_timer_is_not_closed(job: Job, op: Op, wilf: Any) -> None:
    start_timer(job, Work(op("CUT")), person=wilf, at=EIGHT, now=NOW)
    with pytest.raises(IllegalMove, match="Wilf Garrow"):
        close_job(job, on=TODAY)


def test_work_nobody_can_price_is_refused(job: Job, wilf: Any) -> None:
    with pytest.raises(Refused, match="which operation"):
        add_minutes(job, Work(), person=wilf, minutes=D(10), worked_on=TODAY, now=NOW)


def test_a_key_of_another_entry_is_refused(job: Job, op: Op, wilf: Any) -> None:
    from shop.jobs.services.jobs import PieceWanted, open_by_hand

    add_minutes(job, Work(op("CUT")), person=wilf, minutes=D(10), worked_on=TODAY, now=NOW, key="k")
    second = open_by_hand(title="Another", on=TODAY, pieces=[PieceWanted("Bench")])
    with pytest.raises(Refused, match="another entry"):
        add_minutes(second, Work(role="MAKER"), person=wilf, minutes=D(9), worked_on=TODAY, now=NOW, key="k")
