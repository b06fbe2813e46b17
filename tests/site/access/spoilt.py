"""The shop after an enemy has filled in every text there is: which those are follows from the models."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models
from django.utils import timezone

from catalog.services.terms import update_terms
from quoting.models import Client, OutgoingMail, Quote
from quoting.services.answering import accept_quote
from quoting.services.links import create_link
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, LineWanted, ask_about_quote, draft_quote, issue_quote
from shop.accounts.models import User
from shop.jobs.models import Job, Mishap, PlannedOperation
from shop.jobs.services.draws import Drawn, correct_draw, record_draw, strike_out_draw
from shop.jobs.services.jobs import open_from_quote
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.photographs import add_photograph
from shop.jobs.services.time import Work, add_minutes
from shop.jobs.services.time_corrections import correct_time, strike_out_time
from shop.scenario import specification
from tests.catalog.pictures.samples import jpeg
from tests.site.access.conftest import World, built_world

HOSTILE = '=1+1"><x9 onx9=1>{{99|add:918300}}'
FETCHING = (
    HOSTILE
    + '<img src="file:///etc/hostname"><style>@import "http://127.0.0.1:9/x9.css";</style>'
    + '<svg><image href="http://[::1]:9/x9.png"/></svg>\r\nATTENDEE:mailto:x9@shop.example'
)
OPTION = HOSTILE[:80]
LONG = 1000
OURS = ("accounts", "catalog", "quoting", "jobs")

# Words of a fixed list, numbers, hashes and addresses: another text there is refused, or was never typed.
NOT_FREE = {
    "accounts.accesstoken.digest",
    "accounts.failedsignin.address",
    "accounts.failedsignin.username",
    "accounts.requestcount.pace",
    "accounts.storedanswer.key",
    "accounts.storedanswer.request_sha256",
    "accounts.user.email",
    "accounts.user.password",
    "accounts.user.username",
    "catalog.cataloguechange.code",
    "catalog.material.code",
    "catalog.material.usage",
    "catalog.mix.code",
    "catalog.operation.code",
    "catalog.operationstandard.when",
    "catalog.picture.sha256",
    "catalog.role.code",
    "catalog.shopterms.currency",
    "catalog.shopterms.email",
    "catalog.shopterms.finish_fill",
    "catalog.shopterms.holiday_region",
    "catalog.shopterms.locale",
    "catalog.shopterms.website",
    "jobs.draw.code",
    "jobs.draw.key",
    "jobs.job.currency",
    "jobs.job.number",
    "jobs.jobdate.step",
    "jobs.jobevent.kind",
    "jobs.mishap.key",
    "jobs.mishap.operation",
    "jobs.plannedmaterial.code",
    "jobs.plannedmaterial.stage",
    "jobs.plannedoperation.back_to",
    "jobs.plannedoperation.code",
    "jobs.plannedoperation.role",
    "jobs.progress.key",
    "jobs.timeentry.key",
    "quoting.calendarfeed.secret_sha256",
    "quoting.client.email",
    "quoting.clientlink.sent_to",
    "quoting.clientlink.token_sha256",
    "quoting.issuedquote.data_sha256",
    "quoting.issuedquote.pdf_sha256",
    "quoting.linkattempt.address",
    "quoting.numberseries.name",
    "quoting.outgoingmail.message_id",
    "quoting.outgoingmail.page",
    "quoting.quote.number",
    "quoting.quoteanswer.data_sha256",
    "quoting.quoteevent.kind",
    "quoting.quoteitem.tax_category",
    "quoting.quoteline.tax_category",
}
FROZEN = {"quote", "quoteitem", "quoteline", "quoteevent", "quoteanswer"}
"""Tables that triggers hold still: filled by the services alone."""


def text_fields() -> Iterator[tuple[type[models.Model], Any]]:
    """Yield every column of ours that holds a text without a list of choices."""
    for model in apps.get_models():
        for field in model._meta.local_concrete_fields if model._meta.app_label in OURS else ():
            if isinstance(field, (models.CharField, models.TextField)) and not field.choices:
                yield model, field


def label(model: type[models.Model], field: Any) -> str:
    """The name of a column: application, model, field."""
    return f"{model._meta.label_lower}.{field.name}"


def free() -> Iterator[tuple[type[models.Model], Any]]:
    """Yield the columns in which anybody may type what he likes."""
    yield from ((model, field) for model, field in text_fields() if label(model, field) not in NOT_FREE)


def fill(*labels: str) -> None:
    """Write the hostile text into every free column of these applications that may be changed in place."""
    for model, field in free():
        if model._meta.app_label in labels and model._meta.model_name not in FROZEN:
            most = field.max_length or LONG
            text = FETCHING if most >= LONG else HOSTILE
            model._base_manager.update(**{field.name: text[:most]})


def not_reached() -> list[str]:
    """Name the free columns that hold the hostile text nowhere."""
    return [
        label(model, field)
        for model, field in free()
        if not model._base_manager.filter(**{f"{field.name}__contains": "x9"}).exists()
    ]


def spoilt() -> World:
    """The demo's shop with the hostile text in every form; what it goes to from there is made from it."""
    world = built_world()
    owner = world.people["o"]
    update_terms({"name": HOSTILE, "terms_text": FETCHING}, who=owner.username)  # told on the changes' page
    fill("accounts", "catalog")
    Client.objects.all().update(name=HOSTILE, contact_name=HOSTILE, note=FETCHING, address=FETCHING)
    document = specification("reading-room-table") | {"name": HOSTILE}
    piece = save_piece(document, labels=HOSTILE, note=FETCHING[:500], by=owner)
    draft = _draft(world, owner, items=[ItemWanted(piece, 1)])
    issued = issue_quote(draft, on=timezone.localdate(), by=owner)
    ask_about_quote(issued.quote, question=FETCHING[:900], name=HOSTILE)
    _, token = create_link(issued.quote, now=timezone.now(), by=owner)
    options = {
        "items": [ItemWanted(piece, 1, OPTION), ItemWanted(piece, 2, "Two of it")],
        "lines": [LineWanted(HOSTILE, Decimal(7), option=OPTION)],
    }
    chosen = _draft(world, owner, **options)
    answered = issue_quote(chosen, on=timezone.localdate(), by=owner)
    accept_quote(
        answered.quote,
        name=HOSTILE,
        note=FETCHING,
        option=OPTION,
        data_sha256=answered.data_sha256,
        on=timezone.localdate(),
    )
    job = open_from_quote(issued.quote, on=timezone.localdate(), by=owner)
    operation = job.pieces.order_by("pk")[:1].get().operations.order_by("pk")[:1].get()
    _worked(job, operation, owner)
    fill("jobs", "quoting")
    values = world.values | {
        "pieces.pk": str(piece.piece_id),
        "quotes.pk": str(issued.quote.pk),
        "jobs.pk": str(job.pk),
        "number": job.number,
        "token": token,
        "operations.code": operation.code,
        "entry": str(job.time.order_by("pk")[:1].get().pk),
        "draw": str(job.draws.order_by("pk")[:1].get().pk),
        "mishap": str(job.mishaps.order_by("pk")[:1].get().pk),
        "photograph": str(job.photographs.order_by("pk")[:1].get().pk),
        "answered": str(answered.quote.pk),
        "outbox.pk": str(OutgoingMail.objects.order_by("pk")[:1].get().pk),
    }
    quote = Quote.objects.get(pk=world.draft.pk)
    return replace(world, draft=quote, issued=issued.quote, job=job, values=values)


def _draft(world: World, owner: User, **wanted: Any) -> Quote:
    lines = [LineWanted(HOSTILE, Decimal(5)), *wanted.pop("lines", ())]
    client = Client.objects.order_by("pk")[:1].get()
    day = timezone.localdate()
    return draft_quote(client, title=HOSTILE, quoted_on=day, lines=lines, note=FETCHING, by=owner, **wanted)


def _worked(job: Job, operation: PlannedOperation, owner: User) -> None:
    """Hours, draws, a mishap and a photograph; some corrected, some struck out, each with a reason."""
    now, day = timezone.now(), timezone.localdate()
    told: dict[str, Any] = {"by": owner, "now": now, "reason": FETCHING[:300]}
    for minutes in (20, 30, 40):
        note = FETCHING[:300]
        entry = add_minutes(
            job, Work(operation), person=owner, minutes=Decimal(minutes), worked_on=day, now=now, note=note
        )
        if minutes == 20:
            correct_time(entry, minutes=Decimal(25), **told)
        elif minutes == 30:
            strike_out_time(entry, **told)
    texts: dict[str, Any] = {"name": HOSTILE, "supplier": HOSTILE, "invoice": HOSTILE, "note": HOSTILE}
    for quantity in (1, 2, 3):
        drawn = Drawn(Decimal(quantity), "bought", unit=HOSTILE[:10], amount=Decimal(9), **texts)
        row = record_draw(job, drawn, on=day, by=owner, now=now)
        if quantity == 1:
            correct_draw(row, amount=Decimal(8), **told)
        elif quantity == 2:
            strike_out_draw(row, **told)
    happened = Happened(operation, HOSTILE, Mishap.Outcome.REPAIR, day, note=FETCHING)
    record_mishap(happened, by=owner, now=now)
    add_photograph(job, jpeg(), note=HOSTILE, by=owner, now=now)
