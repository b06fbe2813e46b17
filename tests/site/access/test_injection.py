"""One hostile text in every text field of the shop: no page, drawing, table, feed or paper obeys it.

It tries to leave an attribute and to begin an element, a template's expression and a spreadsheet's formula;
the long fields also ask for a file and for addresses on this machine.
"""

from __future__ import annotations

import csv
import re
import sys
import threading
from collections.abc import Iterator
from decimal import Decimal
from html.parser import HTMLParser
from io import BytesIO, StringIO
from xml.etree import ElementTree

import pytest
from django.apps import apps
from django.db import models, transaction
from django.utils import timezone
from pikepdf import Pdf
from pytest_django import DjangoDbBlocker

from quoting.models import Client, Quote
from quoting.services.links import create_link
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, LineWanted, ask_about_quote, draft_quote, issue_quote
from shop.demo import specification
from shop.jobs.services.jobs import open_from_quote
from tests.quoting.documents.words import words
from tests.site.access.conftest import World, built_world
from tests.site.access.rules import RULES

pytestmark = pytest.mark.django_db
HOSTILE = '=1+1"><x9 onx9=1>{{99|add:918300}}'
FETCHING = (
    HOSTILE
    + '<img src="file:///etc/hostname"><style>@import "http://127.0.0.1:9/x9.css";</style>'
    + '<svg><image href="http://[::1]:9/x9.png"/></svg>\r\nATTENDEE:mailto:x9@shop.example'
)
WORKED_OUT = "918399"
FORMULA = re.compile(r"^[=+@\t\r]|^-(?![\d.])")
# Codes, keys, hashes and words of a fixed list: another text there is refused, or finds nothing.
NOT_FREE = {
    *(
        "code",
        "number",
        "username",
        "password",
        "email",
        "key",
        "digest",
        "currency",
        "locale",
        "role",
        "stage",
    ),
    *(
        "operation",
        "back_to",
        "unit",
        "when",
        "usage",
        "finish_fill",
        "holiday_region",
        "kind",
        "step",
        "sha256",
    ),
    *("tax_category", "option", "request_sha256", "page", "message_id", "sent_to", "website"),
}
LONG = 1000

reached: list[str] = []
_watching = threading.local()


def _audit(event: str, args: tuple[object, ...]) -> None:
    if getattr(_watching, "on", False) and (
        event in {"socket.connect", "socket.getaddrinfo"} or (event == "open" and "hostname" in str(args[0]))
    ):
        reached.append(f"{event} {args[:2]}")


sys.addaudithook(_audit)


class Elements(HTMLParser):
    """Finds elements and attributes of the hostile text's own."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.foreign: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "x9" or any(name.startswith("onx9") for name, _ in attrs):
            self.foreign.append(tag)
        for name, value in attrs:
            if name in {"src", "href"} and value and ("x9" in value or "etc/hostname" in value):
                self.foreign.append(f"{tag} {name}={value}")


@pytest.fixture(scope="module")
def hostile(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """The shop after an enemy has filled every form in."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield _spoilt(built_world())
        transaction.set_rollback(True)


def _spoilt(world: World) -> World:
    assert fill("catalog", "accounts") > 15
    Client.objects.all().update(name=HOSTILE, contact_name=HOSTILE, note=FETCHING, address=FETCHING)
    document = specification("reading-room-table") | {"name": HOSTILE}
    owner = world.people["o"]
    piece = save_piece(document, by=owner)
    client = Client.objects.order_by("pk")[:1].get()
    draft = draft_quote(
        client,
        title=HOSTILE,
        quoted_on=timezone.localdate(),
        items=[ItemWanted(piece, 1)],
        lines=[LineWanted(HOSTILE, Decimal(5))],
        note=FETCHING,
        by=owner,
    )
    issued = issue_quote(draft, on=timezone.localdate(), by=owner)
    ask_about_quote(issued.quote, question=FETCHING[:900], name=HOSTILE)
    _, token = create_link(issued.quote, now=timezone.now(), by=owner)
    job = open_from_quote(issued.quote, on=timezone.localdate(), by=owner)
    assert fill("jobs") > 5
    operation = job.pieces.order_by("pk")[:1].get().operations.order_by("pk")[:1].get()
    values = world.values | {
        "pieces.pk": str(piece.piece_id),
        "quotes.pk": str(issued.quote.pk),
        "jobs.pk": str(job.pk),
        "number": job.number,
        "token": token,
        "operations.code": operation.code,
    }
    return World(world.people, Quote.objects.get(pk=world.draft.pk), issued.quote, job, values)


def fill(*labels: str) -> int:
    """Write the hostile text into every free field of these applications; return how many there are."""
    count = 0
    for model in apps.get_models():
        if model._meta.app_label not in labels:
            continue
        for field in model._meta.local_concrete_fields:
            free = isinstance(field, (models.CharField, models.TextField)) and not field.choices
            if free and field.name not in NOT_FREE and not field.unique:
                most = field.max_length or LONG
                text = FETCHING if most >= LONG else HOSTILE
                model._base_manager.update(**{field.name: text[:most]})
                count += 1
    return count


def faults(route: str, media_type: str, body: bytes) -> Iterator[str]:
    """What a hostile text achieved in an answer."""
    if media_type.startswith("image/") and "svg" not in media_type:
        return
    said = words(Pdf.open(BytesIO(body))) if media_type.startswith("application/pdf") else body.decode()
    if WORKED_OUT in said:
        yield f"{route}: a template worked it out"
    if media_type.startswith("text/html"):
        yield from (f"{route}: {found}" for found in Elements(said).foreign)
    elif media_type.startswith("image/svg"):
        names = {element.tag.rpartition("}")[2] for element in ElementTree.fromstring(said).iter()}  # noqa: S314
        if "x9" in names or "script" in names:
            yield f"{route}: an element of its own"
    elif media_type.startswith("text/csv"):
        cells = [cell for row in csv.reader(StringIO(said)) for cell in row]
        yield from (f"{route}: the formula {cell[:30]!r}" for cell in cells if FORMULA.match(cell))
    elif media_type.startswith("text/calendar") and re.search(r"^ATTENDEE", said, re.MULTILINE):
        yield f"{route}: a line of its own"


def test_nothing_takes_a_text_for_its_own(hostile: World) -> None:
    found: list[str] = []
    kinds: dict[str, int] = {}
    shown = 0
    reached.clear()
    for route, rule in RULES.items():
        if "o" not in rule.get("GET", "") or route.startswith(("admin/", "accounts/log", "api/v1/schema")):
            continue
        _watching.on = True
        with transaction.atomic():
            answer = hostile.browser("o").get(hostile.address(route))
            body = b"".join(answer) if answer.streaming else answer.content
            transaction.set_rollback(True)
        _watching.on = False
        media_type = answer.headers.get("Content-Type", "")
        if answer.status_code >= 500:
            found.append(f"{route}: {answer.status_code}")
        if answer.status_code == 200:
            kinds[media_type.split(";")[0]] = kinds.get(media_type.split(";")[0], 0) + 1
            shown += b"x9" in body
            found += faults(route, media_type, body)
    assert found == []
    assert reached == []
    assert shown > 40, "the text is really there"
    assert {
        "text/html",
        "application/json",
        "application/pdf",
        "image/svg+xml",
        "text/csv",
        "text/calendar",
    } <= {*kinds}


def test_the_clients_paper_says_it_in_so_many_words(hostile: World) -> None:
    said = words(Pdf.open(BytesIO(bytes(hostile.issued.issued.pdf))))
    assert "<x9 onx9=1>" in said
    assert "{{99|add:918300}}" in said


def test_what_the_search_would_find() -> None:
    assert Elements('<p title="=1+1"><x9 onx9=1>').foreign == ["x9"]
    assert FORMULA.match("=1+1") and FORMULA.match("-x") and not FORMULA.match("-5.20")
    assert list(faults("x", "text/html", b"918399")) != []
