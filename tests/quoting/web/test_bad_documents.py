"""Bad input through the pages: told like anywhere else, everything typed kept, never a failure."""

from __future__ import annotations

import json
from html import unescape
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from quoting.models import PieceRevision, SavedPiece
from quoting.web.examples import examples
from tests.quoting.malformed import MALFORMED
from tests.quoting.web.typed import typed


def test_every_malformed_document_is_refused_with_its_path_and_kept(owner: Browser) -> None:
    assert len(MALFORMED) >= 50
    for what, document, path in MALFORMED:
        text = json.dumps(document)
        answer = owner.post("/pieces/new", {"do": "read", "document": text})
        page = unescape(answer.content.decode())
        assert (what, answer.status_code) == (what, 422)
        assert f"<code>{path or 'document'}" in page or f"{path}</code>" in page, what
        assert text[:200] in page, what


def test_texts_that_are_no_documents_are_refused(owner: Browser) -> None:
    for text in ("", "{", "NaN", '{"format": Infinity}', "[" * 5000, '{"a": 1, "a": 2}', "9" * 5000, "\x00"):
        answer = owner.post("/pieces/new", {"do": "read", "document": text})
        assert (text[:20], answer.status_code) == (text[:20], 422)
        assert 'role="alert"' in answer.content.decode()


def test_a_file_that_is_no_text_is_refused(owner: Browser) -> None:
    file = SimpleUploadedFile("piece.json", b"\xff\xfe\x00{")
    answer = owner.post("/pieces/new", {"do": "read", "file": file})
    assert answer.status_code == 422
    assert "UTF-8" in answer.content.decode()


def test_two_megabytes_are_refused_and_ten_are_turned_away(owner: Browser) -> None:
    answer = owner.post("/pieces/new", {"do": "read", "document": " " * 2_000_000})
    assert answer.status_code == 422
    assert "larger than 1 MB" in answer.content.decode()
    assert owner.post("/pieces/new", {"do": "read", "document": " " * 10_000_000}).status_code == 413


def test_the_form_keeps_what_was_typed_and_tells_it_at_its_field(owner: Browser) -> None:
    sent = typed(examples()["reading-room-table"]) | {"thickness": "forty", "features[1].at": "5, 5"}
    answer = owner.post("/pieces/new", sent | {"do": "save", "note": "a first try"})
    page = unescape(answer.content.decode())
    assert not SavedPiece.objects.exists()
    for kept in ('value="forty"', 'value="5, 5"', 'value="a first try"'):
        assert kept in page
    assert 'href="#f-thickness"' in page
    assert 'aria-describedby="f-thickness-fault"' in page


def test_forms_that_no_browser_sends_are_answered(owner: Browser) -> None:
    strange: list[dict[str, Any]] = [
        {},
        {"do": "save"},
        {"do": "add:"},
        {"do": "remove:features[9999999999999999]"},
        {"do": f"remove:features[{'9' * 5000}]"},
        {"do": f"remove:features[{'9' * 5000}].edges"},
        {"do": "add-feature", "new_kind": "chimney"},
        {"features[0].kind": "chimney", "do": "show"},
        {"outline.shape": "\x00", "do": "shape"},
        {"unit": "furlong", "unit_before": "mm", "do": "show"},
        {"unit": "in", "unit_before": "furlong", "thickness": "3", "do": "show"},
        {f"features[{i}].kind": "sleeve" for i in range(300)},
        {"name": "x" * 5000, "do": "save"},
    ]
    for fields in strange:
        for address in ("/pieces/new", "/pieces/preview"):
            refused = address == "/pieces/new" and fields.get("do") == "save"
            assert owner.post(address, fields).status_code == (422 if refused else 200), fields


def test_addresses_with_nonsense_are_answered(owner: Browser, hearth: PieceRevision) -> None:
    piece = f"/pieces/{hearth.piece_id}/"
    for address, status in (
        (f"{piece}?revision=x", 404),
        (f"{piece}?revision=99", 404),
        ("/pieces/999/", 404),
        ("/pieces/new?example=nothing", 200),
        ("/pieces/new?revision=999", 404),
        ("/pieces/new?shape=chimney", 200),
        ("/pieces/?page=zero", 200),
        ("/quotes/?status=odd&search=%00", 200),
        ("/quotes/new?piece=999", 404),
        ("/clients/999/", 404),
    ):
        assert (address, owner.get(address).status_code) == (address, status)
