"""One hostile text in every text field of the shop: no page, drawing, table, feed or paper obeys it.

It tries to leave an attribute and to begin an element, a template's expression and a spreadsheet's formula;
the long fields also ask for a file and for addresses on this machine.
"""

from __future__ import annotations

import csv
import json
import re
import sys
import threading
from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO, StringIO
from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import transaction
from pikepdf import Pdf
from pytest_django import DjangoDbBlocker

from quoting.engine.spec.document import PieceDocument
from shop.scenario import specification
from tests.quoting.documents.words import words
from tests.site.access.conftest import World
from tests.site.access.rules import OWN, RULES
from tests.site.access.spoilt import HOSTILE, NOT_FREE, label, not_reached, spoilt, text_fields

pytestmark = pytest.mark.django_db
WORKED_OUT = "918399"
FORMULA = re.compile(r"^[=+@\t\r]|^-(?![\d.])")
CODES = {
    "BarModel.bar",
    "ExtraModel.material",
    "ExtraModel.unit",
    "FinishModel.sealer",
    "InlayModel.material",
    "InsertModel.material",
    "LightingModel.strip",
    "PieceDocument.mix",
    "ReinforcementModel.mesh",
    "TroughModel.mix",
}
"""Texts of a specification that name something in the catalogue; any other is told as unknown."""

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
        yield spoilt()
        transaction.set_rollback(True)


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


def addresses(world: World) -> Iterator[str]:
    """Every address that an owner may read, and the answered quote's besides."""
    for route, rule in (RULES | OWN).items():
        if "o" in rule.get("GET", "") and not route.startswith(("admin/", "accounts/log", "api/v1/schema")):
            yield world.address(route)
    for at in ("quotes/{}/", "quotes/{}/traveller.pdf", "quotes/{}/paper.pdf", "api/v1/quotes/{}"):
        yield "/" + at.format(world.values["answered"])


def test_every_text_is_the_enemys(hostile: World) -> None:
    """A column or a field of the specification that came later is in it, or is named as none to type in."""
    assert {label(model, field) for model, field in text_fields()} >= NOT_FREE, "a column that is gone"
    assert not_reached() == []


def texts_of_a_specification() -> Iterator[str]:
    """Yield the fields whose schema is a text of some length: not a word of a list, not a measure."""
    whole = PieceDocument.model_json_schema()
    for name, model in {**whole["$defs"], "PieceDocument": whole}.items():
        for field, schema in model.get("properties", {}).items():
            if any("maxLength" in one for one in (schema, *schema.get("anyOf", ()), schema.get("items", {}))):
                yield f"{name}.{field}"


def test_every_text_of_a_specification(hostile: World) -> None:
    """Its name is kept and shown; a code that is none comes back in a refusal, on page and by API."""
    assert {*texts_of_a_specification()} == {"PieceDocument.name", *CODES}
    document = specification("reading-room-table") | {"name": HOSTILE, "mix": HOSTILE}
    document["reinforcement"] = {"mesh": HOSTILE, "cover": 20, "bars": [{"bar": HOSTILE, "where": "outline"}]}
    document["extras"] = [{"material": HOSTILE, "quantity": 1, "unit": HOSTILE}]
    document["finish"] = {"sealer": HOSTILE, "coats": 2}
    document["lighting"] = {"strip": HOSTILE}
    for feature in document["features"]:
        feature |= {key: HOSTILE for key in ("mix", "material") if key in feature}
    browser = hostile.browser("o")
    shown = 0
    for at, sent in (("/pieces/preview", {"document": json.dumps(document)}), ("/api/v1/takeoff", document)):
        as_json: dict[str, Any] = {"content_type": "application/json"} if "api" in at else {}
        answer = browser.post(at, sent, **as_json)
        assert answer.status_code < 500
        assert list(faults(at, answer["Content-Type"], answer.content)) == []
        shown += b"x9" in answer.content
    assert shown > 0


def test_nothing_takes_a_text_for_its_own(hostile: World) -> None:
    found: list[str] = []
    kinds: dict[str, int] = {}
    shown = 0
    reached.clear()
    for route in addresses(hostile):
        _watching.on = True
        with transaction.atomic():
            answer = hostile.browser("o").get(route)
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
