"""Margins by kind of piece and by client, and the shop month by month."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models.fields.json import KT

from quoting.engine.money import allocate, to_minor
from quoting.models import IssuedQuote, Quote
from shop.jobs.facts import hours_of
from shop.jobs.models import Job, TimeEntry
from shop.jobs.report_lines import CostReport
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.in_hand import Taken, taken_by_month

Closed = Sequence[tuple[Job, CostReport]]
_EARLIEST = date(1900, 1, 1)
"""Before any shop's first quote: there is no day before the first of the calendar."""


@dataclass(frozen=True)
class MarginRow:
    """Margin over some jobs of one sort."""

    name: str
    currency: str
    jobs: int
    price: Decimal
    cost: Decimal

    @property
    def margin(self) -> Decimal:
        """price − cost."""
        return self.price - self.cost

    @property
    def of_price(self) -> Decimal | None:
        """The margin as a share of the price, to four places."""
        return to_minor(self.margin / self.price, 4) if self.price else None


@dataclass(frozen=True)
class MonthRow:
    """One month: quoted, won, worked, made. `cost`, `price` and `margin` are of the jobs closed in it."""

    month: str
    quoted: int
    quoted_net: Decimal
    won: int
    won_price: Decimal
    hours: Decimal
    closed: int
    price: Decimal
    cost: Decimal
    taken: Taken
    """By all jobs in it, and what stood in hand at its end."""

    @property
    def margin(self) -> Decimal:
        """price − cost of the jobs closed."""
        return self.price - self.cost


@dataclass(frozen=True)
class Margins:
    """Margins of the closed jobs in both directions."""

    by_kind: tuple[MarginRow, ...]
    by_client: tuple[MarginRow, ...]


def closed_reports(*, now: datetime) -> Closed:
    """Every closed job with its cost report, in the order of closing."""
    rows = Job.objects.filter(status=Job.Status.CLOSED).select_related("client").prefetch_related("pieces")
    return tuple((job, report_of(job, now=now)) for job in rows.order_by("closed_on", "pk"))


def margins(closed: Closed) -> Margins:
    """Margins made over closed jobs, by kind of piece and by client.

    Where a job makes several kinds, its price is split by what each was quoted at (evenly where nothing was
    said), its cost by what was booked on each; what was booked on none follows the rest.
    """
    kinds: dict[tuple[str, str], list[tuple[int, Decimal, Decimal]]] = defaultdict(list)
    clients: dict[tuple[str, str], list[tuple[int, Decimal, Decimal]]] = defaultdict(list)
    for job, made in closed:
        cost = made.line("total").actual
        client = job.client.name if job.client else "No client named"
        clients[client, job.currency].append((job.pk, job.price, cost))
        pieces = list(job.pieces.all())
        if not pieces:
            continue
        prices = _split(job, job.price, [piece.price for piece in pieces])
        costs = _split(job, cost, [_booked(made, piece.pk) for piece in pieces])
        for piece, price, share in zip(pieces, prices, costs, strict=True):
            kinds[piece.kind or "not said", job.currency].append((job.pk, price, share))
    return Margins(_summed(kinds), _summed(clients))


def _split(job: Job, amount: Decimal, weights: list[Decimal]) -> tuple[Decimal, ...]:
    known = [max(weight, Decimal(0)) for weight in weights]
    even = known if any(known) else [Decimal(1)] * len(known)
    return allocate(to_minor(amount, job.minor_units), even, job.minor_units)


def _booked(made: CostReport, piece: int) -> Decimal:
    """What was booked on one piece: labour with its overhead, materials; mishaps in."""
    rate = made.facts.overhead_rate
    work = [one for one in made.facts.operations if one.piece == piece]
    parts = [one for one in made.facts.materials if one.piece == piece]
    labour = sum((one.paid + one.worked * rate for one in work), Decimal(0))
    return labour + sum((one.paid for one in parts), Decimal(0))


def months(first: date, last: date, closed: Closed) -> tuple[MonthRow, ...]:
    """The months from that of `first` to that of `last`: quotes issued, jobs opened, hours, jobs closed.

    A quote that another took the place of is not counted beside it.
    """
    names = _names(first, last)
    # The day a quote bears is not after the one it was stored on, whatever the zone of either.
    stored = IssuedQuote.objects.filter(issued_at__date__gte=max(first, _EARLIEST) - timedelta(days=1))
    # As text: SQLite's JSON would hand the amount over as a binary fraction.
    said = stored.exclude(quote__status=Quote.Status.SUPERSEDED).values_list(
        KT("data__issued_on"), KT("data__net")
    )
    quoted = _by_month(names, ((date.fromisoformat(day), Decimal(net)) for day, net in said))
    won = _by_month(names, ((job.opened_on, job.price) for job in Job.objects.filter(opened_on__gte=first)))
    hours: dict[str, Decimal] = defaultdict(lambda: Decimal(0))
    worked = TimeEntry.objects.filter(struck_out=False, seconds__isnull=False, worked_on__gte=first)
    for day, seconds in worked.values_list("worked_on", "seconds"):
        hours[f"{day:%Y-%m}"] += hours_of(seconds or 0)
    done = [(job.closed_on, job.price, made.line("total").actual) for job, made in closed if job.closed_on]
    prices = _by_month(names, ((day, price) for day, price, _ in done))
    costs = _by_month(names, ((day, cost) for day, _, cost in done))
    taken = taken_by_month(names)
    return tuple(
        MonthRow(name, *quoted[name], *won[name], hours[name], *prices[name], costs[name][1], taken[name])
        for name in names
    )


def promises(on: date) -> tuple[tuple[Job, int], ...]:
    """Open jobs with a day promised, soonest first, each with days left (below nought: late)."""
    rows = Job.objects.filter(status=Job.Status.OPEN, due_on__isnull=False).select_related("client")
    return tuple((job, (job.due_on - on).days) for job in rows.order_by("due_on", "pk") if job.due_on)


def _summed(groups: dict[tuple[str, str], list[tuple[int, Decimal, Decimal]]]) -> tuple[MarginRow, ...]:
    return tuple(
        MarginRow(
            name=name,
            currency=currency,
            jobs=len({job for job, _, _ in rows}),
            price=sum((price for _, price, _ in rows), Decimal(0)),
            cost=sum((cost for _, _, cost in rows), Decimal(0)),
        )
        for (name, currency), rows in sorted(groups.items())
    )


def _names(first: date, last: date) -> list[str]:
    start, end = first.year * 12 + first.month - 1, last.year * 12 + last.month - 1
    return [f"{month // 12:04d}-{month % 12 + 1:02d}" for month in range(start, end + 1)]


def _by_month(
    names: list[str], amounts: Iterable[tuple[date | None, Decimal]]
) -> dict[str, tuple[int, Decimal]]:
    sums = {name: (0, Decimal(0)) for name in names}
    for day, amount in amounts:
        name = f"{day:%Y-%m}"
        if name in sums:
            sums[name] = (sums[name][0] + 1, sums[name][1] + amount)
    return sums
