"""What jobs took month by month, and what stood in hand at the end of each: the books' side of the jobs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q

from quoting.engine.money import to_minor
from shop.jobs.facts import hours_of
from shop.jobs.models import Draw, Job, TimeEntry

_NONE = Decimal(0)


@dataclass(frozen=True)
class Taken:
    """What jobs took in one month, mishaps in it; `in_hand` is what open jobs had cost at its end."""

    materials: Decimal = _NONE
    labour: Decimal = _NONE
    overhead: Decimal = _NONE
    """Applied: hours worked × each job's rate."""
    in_hand: Decimal = _NONE


@dataclass
class _Sums:
    """Of one job in one month, the hours by the mishap they were booked on, as its report sums them."""

    materials: Decimal
    labour: Decimal
    hours: dict[int | None, Decimal]


def taken_by_month(names: Sequence[str]) -> dict[str, Taken]:
    """What was taken in each of some months in a row (``YYYY-MM``), by the day of the entry.

    in hand = in hand before + materials + labour + overhead − what the jobs closed in the month had cost.
    A timer counts when it is stopped.
    """
    first = date.fromisoformat(f"{names[0]}-01")
    jobs = list(Job.objects.filter(Q(closed_on__isnull=True) | Q(closed_on__gte=first)).order_by("pk"))
    sums = _sums(jobs)
    made = {name: [_NONE, _NONE, _NONE, _NONE] for name in names}
    for job in jobs:
        closed = f"{job.closed_on:%Y-%m}" if job.closed_on else ""
        cost = _NONE
        for name, parts in _months_of(job, sums[job.pk], names):
            cost += sum(parts, _NONE)
            if name in made:
                still = cost if not closed or closed > name else _NONE
                made[name] = [one + more for one, more in zip(made[name], (*parts, still), strict=True)]
    return {name: Taken(*figures) for name, figures in made.items()}


def _months_of(
    job: Job, months: dict[str, _Sums], names: Sequence[str]
) -> Iterator[tuple[str, tuple[Decimal, Decimal, Decimal]]]:
    """Materials, labour and overhead of every month with entries or asked for, in order.

    Overhead is rounded over all hours so far, so that its months sum to what the job's report says.
    """
    hours: dict[int | None, Decimal] = defaultdict(lambda: _NONE)
    applied = _NONE
    for name in sorted({*months, *names}):
        found = months.get(name) or _Sums(_NONE, _NONE, {})
        for mishap, worked in found.hours.items():
            hours[mishap] += worked
        until = sum((to_minor(each * job.overhead_rate, job.minor_units) for each in hours.values()), _NONE)
        yield name, (found.materials, found.labour, until - applied)
        applied = until


def _sums(jobs: Sequence[Job]) -> dict[int, dict[str, _Sums]]:
    found: dict[int, dict[str, _Sums]] = defaultdict(
        lambda: defaultdict(lambda: _Sums(_NONE, _NONE, defaultdict(lambda: _NONE)))
    )
    units = {job.pk: job.minor_units for job in jobs}
    work = TimeEntry.objects.filter(job__in=jobs, struck_out=False, seconds__isnull=False)
    for job, mishap, day, seconds, rate in work.values_list(
        "job_id", "mishap_id", "worked_on", "seconds", "rate"
    ):
        month, hours = found[job][f"{day:%Y-%m}"], hours_of(seconds or 0)
        month.hours[mishap] += hours
        month.labour += to_minor(hours * rate, units[job])
    parts = Draw.objects.filter(job__in=jobs, struck_out=False)
    for job, kind, day, amount in parts.values_list("job_id", "kind", "drawn_on", "amount"):
        sign = -1 if kind == Draw.Kind.RETURN else 1
        found[job][f"{day:%Y-%m}"].materials += to_minor(amount, units[job]) * sign
    return found
