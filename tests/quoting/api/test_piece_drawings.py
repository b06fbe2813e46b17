"""Drawings and templates of a saved piece over the API."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import pytest
from rest_framework.test import APIClient

from catalog.models import Material
from quoting.services.pieces import save_piece
from tests.quoting.conftest import specification


def _asking(person: Any) -> APIClient:
    client = APIClient()
    client.force_authenticate(person)
    return client


@pytest.mark.parametrize("kind", ["plan", "section", "isometric", "mould"])
def test_every_drawing_is_svg_that_says_what_it_shows(tansy: Any, kind: str) -> None:
    pk = save_piece(specification("round-table-top")).piece.pk
    address = f"/api/v1/pieces/{pk}/drawings/{kind}.svg"
    answer = _asking(tansy).get(address, headers={"accept": "image/svg+xml"})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/svg+xml"
    root = ET.fromstring(answer.content)  # noqa: S314 - our own drawing
    assert root[0].tag.endswith("title")
    assert root[0].text
    again = _asking(tansy).get(address, headers={"if-none-match": answer["ETag"]})
    assert again.status_code == 304


def test_drawings_name_materials_as_the_pages_do(tansy: Any) -> None:
    """The reading-room table has glass inlays and a mould of faced board: by name, never by their codes."""
    pk = save_piece(specification("reading-room-table")).piece.pk
    said = {}
    for kind in ("plan", "section", "isometric", "mould"):
        answer = _asking(tansy).get(f"/api/v1/pieces/{pk}/drawings/{kind}.svg")
        said[kind] = " ".join(ET.fromstring(answer.content).itertext())  # noqa: S314 - our own drawing
    codes = list(Material.objects.values_list("code", flat=True))
    assert "GLASS-8" in codes
    assert not [(kind, code) for kind, text in said.items() for code in codes if code in text]
    glass = Material.objects.get(code="GLASS-8").name
    assert glass in said["plan"]
    board = Material.objects.filter(usage="mould_board")[:1].get().name
    assert board in said["mould"]


def test_templates_come_on_the_paper_asked_for(tansy: Any) -> None:
    pk = save_piece(specification("round-table-top")).piece.pk
    answer = _asking(tansy).get(
        f"/api/v1/pieces/{pk}/templates.pdf?paper=Letter&mirrored=true", headers={"accept": "application/pdf"}
    )
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_what_is_not_there_and_what_is_refused(tansy: Any, sorrel: Any) -> None:
    pk = save_piece(specification("drop-edge")).piece.pk
    asking = _asking(tansy)
    assert asking.get(f"/api/v1/pieces/{pk}/drawings/photo.svg").status_code == 404
    assert asking.get(f"/api/v1/pieces/{pk + 99}/drawings/plan.svg").status_code == 404
    refused = asking.get(f"/api/v1/pieces/{pk}/templates.pdf", headers={"accept": "application/pdf"})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["code"] == "nothing_to_trace"
    assert asking.get(f"/api/v1/pieces/{pk}/templates.pdf?paper=A3").json()["errors"][0]["path"] == "paper"
    for address in (f"/api/v1/pieces/{pk}/drawings/plan.svg", f"/api/v1/pieces/{pk}/templates.pdf"):
        assert _asking(sorrel).get(address).status_code == 403
        assert APIClient().get(address).status_code in {401, 403}
