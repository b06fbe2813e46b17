"""What the demo's shop has done so far: one job closed, one half done, each from an accepted quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from catalog import selectors as catalogue
from quoting.engine.pricing.costs import stage_rank
from quoting.engine.takeoff.calendar import next_working
from quoting.models import Client, IssuedQuote, PieceRevision
from quoting.selectors.price_book import shop_terms
from quoting.services.answering import accept_quote
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.accounts.models import User
from shop.jobs.models import Draw, Job, Mishap, PlannedMaterial, PlannedOperation
from shop.jobs.selectors.jobs import operations
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.jobs import close_job, open_from_quote
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.progress import record_progress
from shop.jobs.services.time import Work, add_minutes

EARLIEST = timedelta(days=90)
"""How long before the day of loading the demo's prices begin, so that its work can be priced."""
HALF = Decimal("0.5")
LONGEST_DAY = Decimal(480)


@dataclass(frozen=True)
class Done:
    """One piece of work of the scenario, and when its steps were."""

    told: dict[str, Any]
    revision: PieceRevision
    on: date
    people: tuple[User, User]

    def day(self, step: str) -> date:
        """The day of a step: so many days before the demo is loaded, or the first working day after."""
        return next_working(self.on - timedelta(days=self.told["days_ago"][step]), shop_terms())

    @property
    def last(self) -> date:
        """The last day that anything was logged on."""
        closed = "closed" in self.told["days_ago"]
        return self.day("closed") if closed else self.on - timedelta(days=1)

    def hours_factor(self, stage: str) -> Decimal:
        """Hours taken of each hour planned."""
        return Decimal(self.told["hours"].get(stage, "1"))


def load_work(
    work: list[dict[str, Any]], revisions: Mapping[str, PieceRevision], people: list[User], *, on: date
) -> list[Job]:
    """Quote, open, log, and close where it was closed; by the services that pages use, day by day."""
    return [_one(Done(told, revisions[told["piece"]], on, (people[0], people[-1]))) for told in work]


def _one(done: Done) -> Job:
    issued = _issued(done)
    owner = done.people[0]
    job = open_from_quote(issued.quote, on=done.day("opened"), by=owner)
    accept_quote(
        issued.quote,
        name=issued.quote.client.contact_name,
        data_sha256=issued.data_sha256,
        on=done.day("opened"),
    )
    closed = "closed" in done.told["days_ago"]
    begun = _log_hours(done, job, closed=closed)
    _log_materials(done, job, max(stage_rank(one.stage) for one in begun))
    _log_mishap(done, job, begun)
    job.events.filter(kind="opened").update(at=_noon(done.day("opened")))
    if closed:
        job = close_job(job, on=done.last, by=owner)
        job.events.filter(kind="closed").update(at=_noon(done.last))
    return job


def _issued(done: Done) -> IssuedQuote:
    client = Client.objects.filter(name=done.told["client"]).order_by("pk")[:1].get()
    draft = draft_quote(
        client,
        title=done.told["title"],
        quoted_on=done.day("quoted"),
        items=(ItemWanted(done.revision),),
        valid_days=catalogue.shop_terms().validity_days,
        by=done.people[0],
    )
    return issue_quote(draft, on=done.day("quoted"), by=done.people[0])


def _log_hours(done: Done, job: Job, *, closed: bool) -> list[PlannedOperation]:
    """Hours and progress of the operations begun, by two people in turn; the last one begun is half done."""
    all_of_them = operations(job)
    due = [one for one in all_of_them if one.planned_on is None or one.planned_on <= done.last]
    begun = all_of_them if closed else due
    for place, operation in enumerate(begun):
        share = HALF if not closed and operation is begun[-1] else Decimal(1)
        minutes = operation.hours * 60 * done.hours_factor(operation.stage) * share
        day = min(operation.planned_on or job.opened_on, done.last)
        _spread(done, operation, minutes, day, place)
        record_progress(operation, share, by=done.people[place % 2], at=_noon(day), now=_noon(day))
    return begun


def _spread(done: Done, operation: PlannedOperation, minutes: Decimal, day: date, place: int) -> None:
    """Book minutes on whole days of at most eight hours a person, the two of them in turn."""
    left, turn = minutes.quantize(Decimal(1)), place
    while left > 0:
        part = min(left, LONGEST_DAY)
        person = done.people[turn % 2]
        add_minutes(
            operation.piece.job,
            Work(operation),
            person=person,
            minutes=part,
            worked_on=day,
            now=_noon(done.on),
        )
        left, turn = left - part, turn + 1
        day = min(day + timedelta(days=turn % 2), done.last)


def _log_materials(done: Done, job: Job, rank: int) -> None:
    """Materials of the stages begun: the dearest one bought for the job, the others drawn from stock."""
    rows = PlannedMaterial.objects.filter(piece__job=job, quantity__gt=0).order_by("-cost", "pk")
    used = [one for one in rows if stage_rank(one.stage) <= rank]
    for place, material in enumerate(used):
        quantity = material.quantity * (Decimal(done.told["materials"]) if place < 2 else 1)
        paid = (material.cost * Decimal("1.04")).quantize(Decimal("0.01")) if place == 0 else None
        drawn = Drawn(
            quantity=quantity,
            kind=Draw.Kind.BOUGHT if place == 0 else Draw.Kind.STOCK,
            material=material,
            amount=paid if place == 0 or material.code else material.cost,
            supplier=done.told["purchase"]["supplier"] if place == 0 else "",
            invoice=f"{done.told['purchase']['invoice']}/A" if place == 0 else "",
        )
        record_draw(job, drawn, on=job.opened_on, by=done.people[place % 2], now=_noon(done.on))
    bought = Drawn(
        quantity=Decimal(1),
        kind=Draw.Kind.BOUGHT,
        **{name: value for name, value in done.told["purchase"].items() if name != "amount"},
        amount=Decimal(done.told["purchase"]["amount"]),
    )
    record_draw(job, bought, on=done.last, by=done.people[0], now=_noon(done.on))


def _log_mishap(done: Done, job: Job, begun: list[PlannedOperation]) -> None:
    told = done.told["mishap"]
    at = next(one for one in reversed(begun) if one.stage == told["stage"])
    day = min(at.planned_on or job.opened_on, done.last)
    happened = Happened(at, told["cause"], Mishap.Outcome.REPAIR, day, minutes=Decimal(told["minutes"]))
    record_mishap(happened, by=done.people[1], now=_noon(day))


def _noon(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(12)))
