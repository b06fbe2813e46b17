"""Whatever is logged, at the chattiest level and in both formats, no secret is in it."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings as site
from django.test import Client as Browser
from django.utils import timezone
from pytest_django import Settings

from catalog.services.starter import load_starter
from quoting.services.clients import create_client
from quoting.services.links import create_calendar, create_link, revoke_links
from quoting.services.outbox import token_of
from quoting.services.quotes import LineWanted, draft_quote, issue_quote
from quoting.services.sending import send_quote
from shop.accounts.keys import make_token
from shop.accounts.models import User
from shop.logging import JsonFormatter, LineFormatter
from tests.shop.outbox.conftest import use_port

pytestmark = pytest.mark.django_db
WORD, WRONG, MAIL_WORD = "trowel-and-float-9", "trowel-and-gloat-9", "the-mail-servers-own-word"


class Kept(logging.Handler):
    """Keeps every line as both formats would write it."""

    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.lines: list[str] = []
        plain = LineFormatter("{asctime} {levelname} {name}: {message}", style="{")
        self._formats = (JsonFormatter(), plain)

    def emit(self, record: logging.LogRecord) -> None:
        self.lines += [one.format(record) for one in self._formats]


@pytest.fixture
def kept() -> Iterator[Kept]:
    handler, root = Kept(), logging.getLogger()
    level = root.level
    chatty = [
        logging.getLogger(name) for name in ("django.request", "django.security", "shop.request", "quoting")
    ]
    before = [one.level for one in chatty]
    root.addHandler(handler)
    for one in (root, *chatty):
        one.setLevel(logging.DEBUG)
    yield handler
    root.removeHandler(handler)
    root.setLevel(level)
    for one, old in zip(chatty, before, strict=True):
        one.setLevel(old)


def test_no_secret_is_logged(
    kept: Kept, settings: Settings, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    settings.EMAIL_HOST_PASSWORD = MAIL_WORD
    use_port(settings, 9)  # nobody takes the mail there
    load_starter("metric", on=date(2020, 1, 1))
    owner, now, today = User.objects.create_user("ida", WORD, role="owner"), timezone.now(), date(2100, 1, 4)
    client = create_client(name="Village library", email="library@example.org")
    draft = draft_quote(client, title="Survey", quoted_on=today, lines=[LineWanted("Survey", Decimal(80))])
    quote = issue_quote(draft, on=today, by=owner).quote
    _, bearer = make_token(owner, name="till", scope="write", days=3, now=now)
    calendar = create_calendar(owner, now=now)
    _, link = create_link(quote, now=now)
    with django_capture_on_commit_callbacks(execute=True):
        mail = send_quote(quote, address_of=lambda token: f"https://shop.example/q/{token}/", now=now).mail
    secrets = [WORD, WRONG, MAIL_WORD, bearer, calendar, link, token_of(mail.message_id), site.SECRET_KEY]

    browser = Browser(raise_request_exception=False)
    for word in (WRONG, WORD):
        browser.post("/accounts/login/", {"username": "ida", "password": word})
    secrets.append(browser.cookies[site.SESSION_COOKIE_NAME].value)
    token = {"Authorization": f"Bearer {bearer}"}
    stranger = Browser(raise_request_exception=False)
    for at in ("clients", "nowhere", f"clients?search={bearer}"):
        stranger.get(f"/api/v1/{at}", headers=token)
    for at in (f"/q/{link}/", f"/q/{link}", f"/q/{link}/nothing", f"/calendar/{calendar}.ics", f"/?q={link}"):
        stranger.get(at)
        stranger.put(at)
    stranger.post(f"/q/{link}/", {"do": "accept"})

    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError(f"failed at https://shop.example/q/{link}/ with /calendar/{calendar}.ics")

    monkeypatch.setattr("quoting.web.client_link.client_context", broken)
    assert stranger.get(f"/q/{link}/").status_code == 500
    revoke_links(quote, now=now)
    stranger.get(f"/q/{link}/")

    said = "\n".join(kept.lines)
    assert len(kept.lines) > 30
    assert "failed at https" in said, "failures are logged"
    assert "was not taken" in said, "and mail that did not go"
    assert [secret[:6] for secret in secrets if secret in said] == []
