"""The same picture kept, shown and thrown away at the same moment: it is there for whoever shows it."""

from __future__ import annotations

from django.utils import timezone

from catalog.models import Picture
from shop.accounts.models import User
from shop.jobs.models import Job, JobPhotograph
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.photographs import add_photograph, remove_photograph
from tests.catalog.pictures.samples import jpeg
from tests.postgres.conftest import at_once

PHONES = 6


def opened(number: int) -> Job:
    return open_by_hand(title=f"Bench {number}", on=timezone.localdate(), pieces=[PieceWanted("Bench")])


def test_sent_twice_at_once_it_is_on_the_job_once(rowan: User) -> None:
    job, now = opened(1), timezone.now()
    rows = at_once(PHONES, lambda _: add_photograph(job, jpeg(), note="", by=rowan, now=now).pk)
    assert len(set(rows)) == 1
    assert (JobPhotograph.objects.count(), Picture.objects.count()) == (1, 1)


def test_taken_off_some_jobs_while_put_on_others(rowan: User) -> None:
    jobs, now = [opened(number) for number in range(PHONES)], timezone.now()
    rows = [add_photograph(job, jpeg(), note="", by=rowan, now=now) for job in jobs[: PHONES // 2]]

    def act(number: int) -> None:
        if number < len(rows):
            remove_photograph(rows[number], by=rowan, now=now)
        else:
            add_photograph(jobs[number], jpeg(), note="", by=rowan, now=now)

    for _ in range(3):
        at_once(PHONES, act)
        assert {row.picture_id for row in JobPhotograph.objects.all()} == {Picture.objects.get().pk}
        for job in jobs[PHONES // 2 :]:
            for row in JobPhotograph.objects.filter(job=job):
                remove_photograph(row, by=rowan, now=now)
        assert not Picture.objects.exists()
        rows = [add_photograph(job, jpeg(), note="", by=rowan, now=now) for job in jobs[: PHONES // 2]]
