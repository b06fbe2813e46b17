"""An issued quote, its owner, a mail server, and a clock of the test's own."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone
from pytest_django import DjangoDbBlocker, Settings

from catalog.services.starter import load_starter
from quoting.models import OutgoingMail, Quote
from quoting.services.clients import create_client
from quoting.services.drafting import LineWanted, draft_quote
from quoting.services.issuing import issue_quote
from quoting.services.sending import send_quote
from shop.accounts.models import User
from tests.clock import NOON, Clock
from tests.shop.outbox.smtp import Mood, mail_server


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[tuple[Quote, User]]:
    """A quote that is out and its owner, for the tests of a file, which undo what they do."""
    with django_db_blocker.unblock(), transaction.atomic():
        rowan = User.objects.create_user("rowan", "a long pass phrase", role="owner")
        load_starter("metric", on=date(2026, 1, 1))
        client = create_client(name="Village library", email="library@example.org")
        lines = [LineWanted("Survey", Decimal(80))]
        draft = draft_quote(client, title="Survey", quoted_on=NOON.date(), lines=lines)
        yield issue_quote(draft, on=NOON.date()).quote, rowan
        transaction.set_rollback(True)


@pytest.fixture
def rowan(db: None, world: tuple[Quote, User]) -> User:
    return world[1]


@pytest.fixture
def quote(db: None, world: tuple[Quote, User], clock: Clock) -> Quote:
    return Quote.objects.get(pk=world[0].pk)


@pytest.fixture
def mood(settings: Settings) -> Iterator[Mood]:
    """A mail server that works unless told otherwise."""
    told = Mood()
    with mail_server(told) as port:
        use_port(settings, port)
        yield told


@pytest.fixture
def nobody(settings: Settings) -> Iterator[Settings]:
    """A port where nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        use_port(settings, probe.getsockname()[1])
        yield settings


def use_port(settings: Settings, port: int) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", port, 5
    settings.EMAIL_USE_TLS = False


@pytest.fixture
def send(quote: Quote, rowan: User, django_capture_on_commit_callbacks: Any) -> Callable[[], OutgoingMail]:
    """Send the quote, what follows the commit included."""

    def sent() -> OutgoingMail:
        with django_capture_on_commit_callbacks(execute=True):
            link = send_quote(
                quote,
                address_of=lambda token: f"https://shop.example/q/{token}/",
                now=timezone.now(),
                by=rowan,
            )
        return OutgoingMail.objects.get(link=link)

    return sent
