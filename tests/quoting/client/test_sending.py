"""A quote by e-mail: text and HTML, the paper, an address of its own."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from quoting.errors import IllegalMove
from quoting.models import ClientLink
from quoting.services.outbox import letter
from quoting.services.sending import send_quote
from tests.clock import NOON
from tests.quoting.client.conftest import Sent


def _address(token: str) -> str:
    return f"https://shop.example/q/{token}/"


def test_the_client_gets_text_html_paper_and_an_address_that_works(
    sent: Sent, philippa: Browser, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        link = send_quote(sent.quote, address_of=_address, now=NOON, message="Here you are.")
    message = mail.outbox[0]
    assert message.to == ["library@example.org"] == [link.sent_to]
    assert message.subject == "Quote Q26-0001: Tables for the reading room"
    assert "Here you are." in message.body and "Option A: €" in message.body
    assert "\nHere is our quote Q26-0001, Tables for the reading room.\n" in message.body
    kinds = [part.get_content_type() for part in message.message().walk()]
    assert {"text/plain", "text/html", "application/pdf"} <= set(kinds)
    assert message.attachments[0][1] == bytes(sent.issued.pdf)
    path = next(line for line in message.body.splitlines() if line.startswith("https://shop.example"))
    assert philippa.get(path.removeprefix("https://shop.example")).status_code == 200
    assert sent.quote.events.filter(kind="sent").get().detail == "library@example.org"


def test_what_cannot_be_sent_leaves_no_link(sent: Sent) -> None:
    before = ClientLink.objects.count()
    with pytest.raises(ValidationError):
        send_quote(sent.quote, address_of=_address, now=NOON, to="nobody")
    with pytest.raises(IllegalMove, match="still valid"):
        send_quote(sent.quote, address_of=_address, now=NOON + timedelta(days=31))
    assert (ClientLink.objects.count(), mail.outbox) == (before, [])


def test_a_title_of_two_lines_cannot_add_a_header(sent: Sent) -> None:
    mail = send_quote(sent.quote, address_of=_address, now=NOON).mail
    mail.link.quote.title = "Table\nBcc: all@example.org"
    message = letter(mail)
    assert "\n" not in message.subject
    assert message.message()["Bcc"] is None
