"""A phone that sends twice at the same moment, two phones of one person, jobs opened in a crowd."""

from __future__ import annotations

from decimal import Decimal

from django.utils import timezone

from quoting.errors import IllegalMove
from shop.accounts.models import User
from shop.jobs.models import Draw, Job, TimeEntry
from shop.jobs.planning import OperationPlan
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.time import Work, start_timer
from tests.postgres.conftest import at_once

D = Decimal
PHONES = 6


def opened() -> Job:
    plan = OperationPlan("CUT", "Cut", "mould", "", 1, D(4), D(20), D(80), D(4))
    return open_by_hand(
        title="Bench", on=timezone.localdate(), pieces=[PieceWanted("Bench", operations=[plan])]
    )


def test_the_same_entries_sent_at_once_are_kept_once(rowan: User) -> None:
    job, now = opened(), timezone.now()
    work = Work(job.pieces.get().operations.get())

    def send(number: int) -> tuple[int, int]:
        entry = start_timer(job, work, person=rowan, at=now, now=now, key="k")
        drawn = Drawn(D(1), "bought", name="Van", amount=D(9))
        draw = record_draw(job, drawn, on=timezone.localdate(now), by=rowan, now=now, key="d")
        return entry.pk, draw.pk

    assert len(set(at_once(PHONES, send))) == 1
    assert (TimeEntry.objects.count(), Draw.objects.count()) == (1, 1)


def test_two_timers_started_at_once_are_one_timer(rowan: User) -> None:
    job, now = opened(), timezone.now()
    work = Work(job.pieces.get().operations.get())

    def start(number: int) -> bool:
        try:
            start_timer(job, work, person=rowan, at=now, now=now, key=f"k{number}")
        except IllegalMove:
            return False
        return True

    assert sum(at_once(PHONES, start)) == 1


def test_jobs_opened_at_once_have_numbers_without_gap_or_repeat(rowan: User) -> None:
    numbers = sorted(at_once(PHONES, lambda number: opened().number))
    assert [int(number[-4:]) for number in numbers] == list(range(1, PHONES + 1))
