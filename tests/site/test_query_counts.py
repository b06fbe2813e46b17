"""A list asks the database as often for ten rows as for two: every list, by page and by API."""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from catalog.models import Material, MaterialPrice
from catalog.services.materials import update_material
from catalog.services.shelf import put_on_shelf
from quoting.models import Quote
from quoting.services.answering import accept_quote
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, LineWanted, draft_quote, issue_quote
from quoting.services.sending import send_quote
from shop.accounts.models import User
from shop.demo import load_demo
from shop.jobs.models import Job
from shop.jobs.planning import OperationPlan
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.time import Work, add_minutes
from shop.scenario import specification

pytestmark = pytest.mark.django_db
LISTS = (
    *("/pieces/", "/quotes/", "/quotes/list.csv", "/clients/", "/jobs/", "/bench/", "/outbox/"),
    *("/prices/", "/prices/list.csv", "/prices/mixes", "/prices/roles", "/prices/operations"),
    *("/outbox/list.csv", "/jobs/list.csv", "/clients/list.csv", "/pieces/list.csv"),
    *("/prices/mixes/list.csv", "/prices/roles/list.csv", "/prices/operations/list.csv"),
    *("/prices/shelf", "/prices/shelf/list.csv", "/api/v1/shelf", "/quotes/to-buy"),
    *("/prices/changes", "/prices/changes/list.csv", "/api/v1/changes"),
    *("/api/v1/pieces", "/api/v1/quotes", "/api/v1/clients", "/api/v1/jobs", "/api/v1/outbox"),
    *("/api/v1/materials", "/api/v1/mixes", "/api/v1/roles", "/api/v1/operations"),
    *("/api/v1/jobs/{job}", "/api/v1/jobs/{job}/time", "/api/v1/jobs/{job}/draws", "/jobs/{number}/"),
    *("/api/v1/jobs/{job}/report", "/bench/{number}/", "/quotes/new"),
)
DAY = date(2026, 3, 2)


def more(owner: User, place: int) -> None:
    """One more of everything there is a list of."""
    client = create_client(name=f"Client {place}", email="a@shop.example")
    piece = save_piece(specification("bench") | {"name": f"Bench {place}"}, by=owner)
    today, now = timezone.localdate(), timezone.now()
    draft_quote(client, title=f"Draft {place}", quoted_on=today, items=[ItemWanted(piece, 1)], by=owner)
    draft = draft_quote(
        client, title=f"Survey {place}", quoted_on=today, lines=[LineWanted("x", Decimal(80))]
    )
    quote = issue_quote(draft, on=today, by=owner).quote
    taken = draft_quote(client, title=f"Taken {place}", quoted_on=today, lines=[LineWanted("x", Decimal(80))])
    sha256 = issue_quote(taken, on=today, by=owner).data_sha256
    accept_quote(taken, name="A. Reader", data_sha256=sha256, on=today)
    put_on_shelf({"material": "BAG-GREY", "content": 1 + place})
    update_material("BAG-GREY", {"lead_days": 50 + place}, who=owner.username)
    send_quote(quote, address_of=lambda token: f"/q/{token}/", now=now)
    plan = OperationPlan("CUT", "Cut", "mould", "", 1, Decimal(4), Decimal(20), Decimal(80), Decimal(4))
    wanted = [PieceWanted("Bench", operations=[plan])]
    open_by_hand(title=f"Job {place}", on=today, pieces=wanted)
    job = open_by_hand(title="Again", on=today, pieces=wanted) if place == 0 else _first_job()
    work = Work(job.pieces.get().operations.get())
    add_minutes(job, work, person=owner, minutes=Decimal(20 + place), worked_on=today, now=now)
    drawn = Drawn(Decimal(1), "bought", name=f"Van {place}", amount=Decimal(9))
    record_draw(job, drawn, on=today, by=owner, now=now)
    _another_material(place)


def _first_job() -> Job:
    return Job.objects.get(title="Again")


def _another_material(place: int) -> None:
    known = Material.objects.order_by("code")[:1].get()
    made = copy(known)
    made.pk, made.code, made._state.adding = None, f"{known.code}-{place}", True
    made.save()
    MaterialPrice.objects.create(material=made, price=Decimal(7), valid_from=DAY)


@pytest.fixture(scope="module")
def owner(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[User]:
    """The demo's owner, with two more of everything; undone afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo("metric", on=DAY)
        made = User.objects.get(username="demo")
        for place in range(2):
            more(made, place)
        yield made
        transaction.set_rollback(True)


def asked(owner: User) -> dict[str, int]:
    """How often each list asks the database."""
    browser = Browser()
    browser.force_login(owner)
    job = _first_job()
    found = {}
    for place in LISTS:
        at = place.format(job=job.pk, number=job.number)
        assert browser.get(at).status_code == 200, at  # the first time also warms up
        with CaptureQueriesContext(connection) as seen:
            browser.get(at)
        found[at] = len(seen)
    return found


def test_every_list_asks_as_often_whatever_its_length(owner: User) -> None:
    few = asked(owner)
    before = Quote.objects.count()
    for place in range(2, 8):
        more(owner, place)
    assert Quote.objects.count() == before + 18
    many = asked(owner)
    assert {at: (few[at], many[at]) for at in few if few[at] != many[at]} == {}
    assert max(many.values()) <= 40, many
