"""A mail server that is away: the sender is told so, and nothing is written of a mail that never went."""

from __future__ import annotations

import smtplib
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.core.mail import EmailMultiAlternatives
from django.test import Client as Browser

from catalog.services.starter import load_starter
from quoting.models import ClientLink
from quoting.services.clients import create_client
from quoting.services.drafting import LineWanted, draft_quote
from quoting.services.issuing import issue_quote

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "fault", [ConnectionRefusedError(111, "refused"), smtplib.SMTPRecipientsRefused({}), TimeoutError()]
)
def test_nothing_is_written_of_a_mail_that_did_not_go(
    fault: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_starter("metric", on=date(2020, 1, 1))
    owner = get_user_model().objects.create_user("rowan", "a long pass phrase", role="owner")
    client = create_client(name="Village library", email="library@example.org")
    today = date(2100, 1, 4)  # still valid on any day this is run
    lines = [LineWanted("Survey", Decimal(80))]
    quote = issue_quote(draft_quote(client, title="Survey", quoted_on=today, lines=lines), on=today).quote

    def away(*_: Any, **__: Any) -> int:
        raise fault

    monkeypatch.setattr(EmailMultiAlternatives, "send", away)
    browser = Browser(raise_request_exception=False)
    browser.force_login(owner)
    answer = browser.post(f"/api/v1/quotes/{quote.pk}/send", {}, content_type="application/json")
    assert (answer.status_code, answer["Retry-After"]) == (503, "30")
    assert "nothing was sent" in answer.json()["detail"]
    assert not ClientLink.objects.exists()
    assert "sent" not in quote.events.values_list("kind", flat=True)
