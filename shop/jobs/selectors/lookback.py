"""What finished jobs say: by operation, by stage, by kind of piece, by client, by month."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog import selectors as catalogue
from catalog.models import OperationStandard
from quoting.engine.errors import Refused
from quoting.engine.pricing.costs import expected_hours
from quoting.engine.takeoff.labour import labour
from quoting.engine.takeoff.mould import makes
from quoting.engine.takeoff.stock import of_role
from quoting.engine.values import PriceBook, ShopTerms
from quoting.selectors.price_book import price_book, shop_terms
from shop.jobs.facts import hours_of
from shop.jobs.lookback import BreakageFinding, OperationFinding, Result, look_at_breakage, look_back
from shop.jobs.models import Job, JobPiece, Mishap, PlannedOperation, TimeEntry


@dataclass(frozen=True)
class Finding:
    """One operation of the catalogue with what the jobs say about it."""

    code: str
    name: str
    standard: OperationStandard
    hours: OperationFinding
    breakage: BreakageFinding


def findings(on: date) -> tuple[Finding, ...]:
    """Findings on every operation that has a standard on a day, in order of work, over all closed jobs.

    Hours worked are held against what that day's standard gives for the same pieces, as a price would carry
    them, so that jobs planned by older standards count alike. Work that mishaps made necessary is breakage,
    not hours. A job opened by hand has no take-off to plan again; it counts where the standard has not
    changed since it was opened.
    """
    book, terms = price_book(on), shop_terms()
    closed = list(Job.objects.filter(status=Job.Status.CLOSED).order_by("opened_on", "pk"))
    results: dict[str, list[Result]] = defaultdict(list)
    castings: Counter[str] = Counter()
    jobs_of: Counter[str] = Counter()
    for job in closed:
        worked = _worked(job)
        planned = _planned_today(job, book, terms)
        for code, hours in sorted(planned.items()):
            if worked.get(code):
                results[code].append(Result(job.number, hours, float(worked[code])))
        for code, count in _castings(job).items():
            castings[code] += count
            jobs_of[code] += 1
    broken = _breaks(closed)
    found = []
    for row in catalogue.planned_operations(on):
        if (standard := row.standard) is None:
            continue
        code = row.operation.code
        spread = (standard.spread_low, standard.spread_likely, standard.spread_high)
        tries = castings[code] + broken[code]
        found.append(
            Finding(
                code,
                row.operation.name,
                standard,
                look_back(code, results[code], spread=spread),
                look_at_breakage(code, jobs_of[code], tries, broken[code], standard.breakage),
            )
        )
    return tuple(found)


def finding(code: str, on: date) -> Finding | None:
    """The finding on one operation."""
    return next((one for one in findings(on) if one.code == code), None)


def _breaks(jobs: Sequence[Job]) -> Counter[str]:
    """Castings lost by the operation at which they broke."""
    lost: Counter[str] = Counter()
    for mishap in Mishap.objects.filter(job__in=jobs, outcome=Mishap.Outcome.RECAST):
        lost[mishap.operation] += mishap.castings
    return lost


def _worked(job: Job) -> Mapping[str, Decimal]:
    """Hours by operation, those of mishaps left out."""
    hours: dict[str, Decimal] = defaultdict(lambda: Decimal(0))
    rows = TimeEntry.objects.filter(
        job=job, struck_out=False, mishap__isnull=True, operation__isnull=False, seconds__isnull=False
    )
    for code, seconds in rows.values_list("operation__code", "seconds"):
        hours[code] += hours_of(seconds or 0)
    return hours


def _castings(job: Job) -> Mapping[str, int]:
    """Good pieces that went through each operation."""
    counts: dict[str, int] = defaultdict(int)
    rows = PlannedOperation.objects.filter(piece__job=job, mishap__isnull=True)
    for code, quantity in rows.values_list("code", "piece__quantity"):
        counts[code] += quantity
    return counts


def _planned_today(job: Job, book: PriceBook, terms: ShopTerms) -> Mapping[str, float]:
    """Hours that today's standards give for the pieces of a job, by operation."""
    hours: dict[str, float] = defaultdict(float)
    for piece in job.pieces.all():
        if piece.drivers:
            for code, planned in _by_drivers(piece, book, terms).items():
                hours[code] += planned
        else:
            for code, planned in _by_hand(piece, job, book.on).items():
                hours[code] += planned
    return hours


def _by_drivers(piece: JobPiece, book: PriceBook, terms: ShopTerms) -> Mapping[str, float]:
    moulds = makes(of_role(book, "mould_board"), piece.quantity)
    try:
        lines = labour(book, piece.drivers, piece.quantity, terms, moulds=moulds)
    except Refused:
        return {}
    return {line.operation: float(expected_hours(line, terms)) for line in lines}


def _by_hand(piece: JobPiece, job: Job, on: date) -> Mapping[str, float]:
    newer = OperationStandard.objects.filter(valid_from__gt=job.opened_on, valid_from__lte=on)
    changed = set(newer.values_list("operation__code", flat=True))
    rows = piece.operations.filter(mishap__isnull=True).exclude(code__in=changed)
    hours: dict[str, float] = defaultdict(float)
    for code, planned in rows.values_list("code", "hours"):
        hours[code] += float(planned)
    return hours
