"""The demo's shop with a draft, a job and entries, so that every address has something behind it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client as Browser
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from catalog.models import Material, Mix, Role
from catalog.services.labour import set_rate
from catalog.services.shelf import put_on_shelf
from catalog.services.terms import set_logo
from quoting.models import Client, Quote, SavedPiece
from quoting.services.links import create_calendar, create_link
from quoting.services.quotes import draft_quote
from quoting.services.sending import send_quote
from shop.accounts.keys import make_token
from shop.accounts.models import User
from shop.demo import load_demo
from shop.jobs.models import Job, PlannedOperation
from shop.jobs.services.jobs import open_from_quote
from shop.jobs.services.mishaps import Happened, record_mishap
from shop.jobs.services.photographs import add_photograph
from shop.jobs.services.time import Work, add_minutes
from tests.catalog.pictures.samples import jpeg, png

DAY = date(2026, 3, 2)
PAY, ON_COSTS = "37.7431", "0.31"
"""Pay that no other figure of the shop is equal to; with its on-costs an hour costs 49.4435."""


@dataclass(frozen=True)
class World:
    """What the addresses are filled in with."""

    people: dict[str, User]
    sessions: dict[str, str]
    """Signed in once for all requests."""
    draft: Quote
    issued: Quote
    job: Job
    values: dict[str, str]

    def browser(self, who: str) -> Browser:
        """Somebody's browser, a stranger's for `-`."""
        browser = Browser(raise_request_exception=False)
        if who != "-":
            browser.cookies[settings.SESSION_COOKIE_NAME] = self.sessions[who]
        return browser

    def address(self, route: str) -> str:
        """An address of a route with everything filled in."""
        filled = re.sub(r"<(?:\w+:)?(\w+)>", lambda name: self._value(route, name[1]), route)
        assert "<" not in filled, f"nothing to fill {route} with"
        return f"/{filled}"

    def _value(self, route: str, name: str) -> str:
        place = (
            "quotes"
            if route.startswith("jobs/open/")
            else next((step for step in route.split("/") if f"{step}.{name}" in self.values), "")
        )
        if any(word in route for word in ("/pdf", "/paper", "/withdraw", "traveller", "buying-list")):
            return str(self.issued.pk)
        return self.values.get(f"{place}.{name}") or self.values[name]


def routes() -> dict[str, URLPattern]:
    """Every address of the site by its route, in one spelling for paths and patterns."""
    found: dict[str, URLPattern] = {}

    def walk(patterns: list[URLPattern | URLResolver], before: str) -> None:
        for one in patterns:
            whole = before + str(one.pattern)
            if isinstance(one, URLResolver):
                walk(one.url_patterns, whole)
            else:
                found[_plain(whole)] = one

    walk(get_resolver().url_patterns, "")
    return found


def _plain(route: str) -> str:
    named = re.sub(r"\(\?P(<\w+>)[^)]*\)", r"\1", route)
    return named.replace("^", "").replace("$", "").replace(r"\Z", "")


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """One shop for the tests of a file, which undo what they do; itself undone before the next."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield built_world()
        transaction.set_rollback(True)


def built_world() -> World:
    """The demo with a draft, an issued quote that has its job, an entry, a token, a link and a calendar."""
    set_logo(png(), "A table")
    demo = load_demo("metric", on=DAY)
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)  # while it can still be answered
    sent = send_quote(
        demo.issued.quote, address_of=lambda token: f"/q/{token}/", now=noon, to="a@shop.example"
    )
    people = {user.role[0]: user for user in User.objects.order_by("pk")}
    for role in Role.objects.all():
        figures = {"pay_per_hour": PAY, "on_costs": ON_COSTS}
        set_rate(role.code, figures, valid_from=timezone.localdate(), today=timezone.localdate())
    client = Client.objects.order_by("pk")[:1].get()
    draft = draft_quote(client, title="A draft", quoted_on=timezone.localdate(), by=people["o"])
    job = open_from_quote(demo.issued.quote, on=DAY, by=people["o"])
    operation = PlannedOperation.objects.filter(piece__job=job).order_by("pk")[:1].get()
    now = timezone.now()
    entry = add_minutes(job, Work(operation), person=people["o"], minutes=Decimal(30), worked_on=DAY, now=now)
    material = Material.objects.order_by("code")[:1].get()
    made, _ = make_token(people["o"], name="till", scope="read", days=3, now=now)
    link = create_link(demo.issued.quote, now=now, by=people["o"])[1]
    chip = Happened(operation, "A corner chipped", "repair", DAY)
    mishap = record_mishap(chip, by=people["o"], now=now)
    photograph = add_photograph(job, jpeg(), note="The mould", by=people["o"], now=now)
    put_on_shelf({"material": "BAG-GREY", "content": 3}, who="rowan")
    offcut = {"material": "BOARD-18", "length_mm": 900, "width_mm": 600, "place": "Rack"}
    values = {
        "shelf.pk": str(put_on_shelf(offcut, who="rowan").pk),
        "tokens.pk": str(made.pk),
        "materials.code": material.code,
        "clients.pk": str(client.pk),
        "pieces.pk": str(SavedPiece.objects.order_by("pk")[:1].get().pk),
        "quotes.pk": str(draft.pk),
        "jobs.pk": str(job.pk),
        "number": job.number,
        "entry": str(entry.pk),
        "mishap": str(mishap.pk),
        "photograph": str(photograph.pk),
        "kind": "plan",
        "token": link,
        "outbox.pk": str(sent.mail.pk),
        "secret": create_calendar(people["o"], now=now),
        "mixes.code": Mix.objects.order_by("code")[:1].get().code,
        "roles.code": Role.objects.order_by("code")[:1].get().code,
        "operations.code": operation.code,
        "look-back.code": operation.code,
    }
    sessions = {who: _session_of(user) for who, user in people.items()}
    return World(people, sessions, draft, demo.issued.quote, job, values)


def _session_of(user: User) -> str:
    browser = Browser()
    browser.force_login(user)
    return browser.cookies[settings.SESSION_COOKIE_NAME].value
