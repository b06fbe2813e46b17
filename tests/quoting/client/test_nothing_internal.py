"""Whatever reaches a client is read byte by byte for what is the shop's own: cost, margin, hours, working."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pikepdf
import pytest
from babel.numbers import format_currency
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from django.test import Client as Browser

from quoting.services.sending import send_quote
from tests.quoting.client.conftest import NOON, Sent
from tests.quoting.documents.conditions import opened
from tests.quoting.documents.words import words

OWN_WORDS = re.compile(
    r"\b(costs?|margin|overhead|breakage|hours?|labour|wages?|pay rate|working|works cost|mark-?up|supplier"
    r"|allowance|build-up|take-off|utilisation|profit)\b",
    re.IGNORECASE,
)

MONEY = {"cost", "cost_by_use", "rate", "amount", "works_cost", "breakage_allowance", "achieved_margin"}


def _metadata(pdf: pikepdf.Pdf) -> str:
    with pdf.open_metadata() as meta:
        return str(dict(pdf.docinfo)) + str(dict(meta))


def _alternative(pdf: pikepdf.Pdf) -> str:
    marked = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one]
    return " ".join(str(one.Alt) for one in marked)


@pytest.fixture
def reached(sent: Sent, philippa: Browser, django_capture_on_commit_callbacks: Any) -> dict[str, str]:
    """Every text a client gets to see, by where it stands."""
    with django_capture_on_commit_callbacks(execute=True):
        send_quote(sent.quote, address_of=lambda token: f"https://shop.example/q/{token}/", now=NOON)
    pdf = opened(philippa.get(f"{sent.address}quote.pdf").content)
    page = philippa.get(sent.address)
    message = mail.outbox[0]
    assert isinstance(message, EmailMultiAlternatives)
    return {
        "page": page.content.decode(),
        "headers": str(dict(page.headers)),
        "refusal": philippa.post(sent.address, sent.accepting(agree="")).content.decode(),
        "paper": words(pdf),
        "metadata": _metadata(pdf),
        "alternative text": _alternative(pdf),
        "data": json.dumps(sent.issued.data, ensure_ascii=False),
        "mail": f"{message.subject}\n{message.body}\n{message.alternatives[0][0]!s}",
    }


def _amounts(value: Any, key: str = "") -> Iterator[str]:
    """Every amount of money and every number of hours on the shop's side."""
    if isinstance(value, dict):
        for name, part in value.items():
            yield from _amounts(part, name)
    elif isinstance(value, list):
        for part in value:
            yield from _amounts(part, key)
    elif key in MONEY:
        yield str(value)
    elif key == "hours":
        yield f"{value:g}"


def test_the_texts_are_really_read(reached: dict[str, str], sent: Sent) -> None:
    total = format_currency(Decimal(sent.issued.data["gross"]), "EUR", locale="en_GB")
    assert total in reached["page"] and total in reached["paper"] and total in reached["mail"]
    assert "Tables for the reading room" in reached["metadata"]
    assert "Seen from above" in reached["alternative text"]


def test_no_word_of_the_shops_own(reached: dict[str, str]) -> None:
    for where, text in reached.items():
        found = OWN_WORDS.findall(re.sub(r"SHA-256|Workshop|workshop", "", text))
        assert found == [], where


def test_no_figure_of_the_shops_own(reached: dict[str, str], sent: Sent) -> None:
    told = {name: value for name, value in sent.issued.data.items() if name != "items"}
    said = set(re.findall(r"\d+(?:\.\d+)?", json.dumps(told)))
    said |= {item[key] for item in sent.issued.data["items"] for key in ("unit_price", "net")}
    own = {amount for amount in _amounts(sent.issued.basis) if "." in amount and Decimal(amount) >= 10} - said
    assert len(own) > 20
    for amount in own:
        shown = {amount, f"{Decimal(amount):,.2f}"}
        for where, text in reached.items():
            # where lines run in a drawing is no figure that anybody reads
            bare = re.sub(r'(?:d|[xy][12]?|points|transform|viewBox|width|height)=\\?"[^"]*"', "", text)
            hits = [one for one in shown if re.search(rf"(?<![\d.,]){re.escape(one)}(?!\d)", bare)]
            assert hits == [], f"{amount} in the {where}"


def test_the_address_is_in_the_mail_and_nowhere_in_the_records(reached: dict[str, str], sent: Sent) -> None:
    token = re.search(r"/q/([\w-]{43})/", reached["mail"])
    assert token is not None
    kept = json.dumps([list(sent.quote.events.values_list("detail", flat=True))])
    assert token[1] not in kept
