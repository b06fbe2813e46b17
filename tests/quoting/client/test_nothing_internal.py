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

from catalog.models import Material, Mix, Operation, Role
from quoting.documents.client_quote import quote_pdf
from quoting.services.sending import send_quote
from tests.clock import NOON
from tests.quoting.client.conftest import Sent
from tests.quoting.documents.conditions import opened
from tests.quoting.documents.papers import said
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


def _everything(pdf: pikepdf.Pdf) -> str:
    """Every string and every unpacked stream of the file, those too that no reader shows; fonts left out."""
    said = []
    for one in pdf.objects:
        if isinstance(one, pikepdf.Stream) and "/Length1" not in one:
            said.append(one.read_bytes().decode("utf-8", "replace"))
        said += _strings(one)
    return "\n".join(said)


def _strings(value: Any) -> Iterator[str]:
    """The strings directly in an object of the file; what it refers to is an object of its own."""
    if isinstance(value, pikepdf.String):
        yield str(value)
    parts: list[Any] = []
    if isinstance(value, pikepdf.Dictionary | pikepdf.Stream):
        parts = [value[name] for name in value.keys()]  # noqa: SIM118 - no mapping
    elif isinstance(value, pikepdf.Array):
        parts = list(value)
    for part in parts:
        yield from () if getattr(part, "is_indirect", False) else _strings(part)


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
        "whole file": _everything(pdf),
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


def _codes() -> set[str]:
    """Codes of the catalogue, suppliers, and what the shop calls its operations."""
    rows = (Material, Mix, Role, Operation)
    codes = {code for model in rows for code in model.objects.values_list("code", flat=True)}
    suppliers = set(Material.objects.exclude(supplier="").values_list("supplier", flat=True))
    return codes | suppliers | set(Operation.objects.values_list("name", flat=True))


def _named(texts: dict[str, str]) -> list[str]:
    """Which of them stand in the texts, and where."""
    return [
        f"{code} in the {where}"
        for code in sorted(_codes())
        for where, text in texts.items()
        if re.search(rf"(?<![\w-]){re.escape(code)}(?![\w-])", text)
    ]


def test_no_code_supplier_or_operation_of_the_shop(reached: dict[str, str]) -> None:
    assert len(_codes()) > 40
    assert _named(reached) == []


def test_nor_where_a_piece_has_everything(starter: None) -> None:
    """A trough, lit inlays, sleeves, inserts, a sink: codes become names in words and drawings."""
    data = said("reading-room-table", "cafe-counter")
    pdf = opened(quote_pdf(data))
    texts = {
        "data": json.dumps(data, ensure_ascii=False),
        "paper": words(pdf),
        "whole file": _everything(pdf),
    }
    assert "Reading-room table" in texts["whole file"]
    assert _named(texts) == []
    assert OWN_WORDS.findall(re.sub("SHA-256|[Ww]orkshop", "", texts["data"] + texts["paper"])) == []


def test_no_figure_of_the_shops_own(reached: dict[str, str], sent: Sent) -> None:
    told = {name: value for name, value in sent.issued.data.items() if name != "items"}
    figures = set(re.findall(r"\d+(?:\.\d+)?", json.dumps(told)))
    figures |= {item[key] for item in sent.issued.data["items"] for key in ("unit_price", "net")}
    own = {one for one in _amounts(sent.issued.basis) if "." in one and Decimal(one) >= 10} - figures
    reached.pop("whole file")  # full of coordinates; its words are read as the paper's
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
