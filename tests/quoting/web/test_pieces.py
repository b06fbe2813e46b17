"""Pieces by page: start, draw, preview, save, look, revise, put away."""

from __future__ import annotations

import json
import re
from datetime import date

from django.test import Client as Browser

from catalog.models import Material
from catalog.services.materials import create_material
from quoting.models import PieceRevision, SavedPiece
from quoting.services.pieces import revise_piece
from quoting.web.differences import differences
from quoting.web.examples import examples
from tests.quoting.web.typed import typed


def test_an_empty_shop_is_told_what_to_do(owner: Browser) -> None:
    assert "No piece is saved yet" in owner.get("/pieces/").content.decode()


def test_a_pasted_document_is_drawn_saved_and_shown(owner: Browser) -> None:
    board = owner.post("/pieces/new", {"do": "read", "document": json.dumps(examples()["hearth"])})
    assert 'class="setting-out"' in board.content.decode()
    saved = owner.post("/pieces/new", typed(examples()["hearth"]) | {"do": "save", "note": "as measured"})
    revision = PieceRevision.objects.get()
    assert saved["Location"] == f"/pieces/{revision.piece_id}/"
    page = owner.get(saved["Location"]).content.decode()
    for shown in ("Plan of Corner hearth", "Weight of one", "Price of one", "as measured", "Quote it"):
        assert shown in page


def test_the_preview_answers_with_drawing_weight_and_price(owner: Browser) -> None:
    answer = owner.post("/pieces/preview", typed(examples()["hearth"]))
    fragment = answer.content.decode()
    assert "HX-Retarget" not in answer
    assert "<html" not in fragment
    for shown in ('class="setting-out"', "Weight of one", "Price of one", "People to lift it"):
        assert shown in fragment


def test_the_preview_keeps_the_last_drawing_where_the_piece_is_refused(owner: Browser) -> None:
    answer = owner.post("/pieces/preview", typed(examples()["hearth"]) | {"thickness": "-3"})
    assert answer["HX-Retarget"] == "#refusals"
    fragment = answer.content.decode()
    assert 'data-field="f-thickness"' in fragment
    assert "svg" not in fragment


def test_a_changed_unit_turns_every_length(owner: Browser) -> None:
    sent = typed(examples()["hearth"]) | {"unit_before": "cm", "unit": "in", "do": "shape"}
    page = owner.post("/pieces/new", sent).content.decode()
    assert 'name="unit_before" value="in"' in page
    assert 'name="thickness" value="2.3622"' in page


def test_buttons_add_and_take_out(owner: Browser) -> None:
    sent = typed(examples()["hearth"])
    page = owner.post("/pieces/new", sent | {"do": "add-feature", "new_kind": "sleeve"}).content.decode()
    assert "Sleeve</legend>" in page
    assert 'name="reinforcement.mesh"' in page
    page = owner.post("/pieces/new", sent | {"do": "remove:reinforcement"}).content.decode()
    assert 'name="reinforcement.mesh"' not in page


def test_the_document_is_a_file(owner: Browser, hearth: PieceRevision) -> None:
    answer = owner.get(f"/pieces/{hearth.piece_id}/document.json")
    assert json.loads(answer.content) == hearth.document
    assert "attachment" in answer["Content-Disposition"]
    drawn = owner.post("/pieces/new", typed(examples()["hearth"]) | {"do": "download"})
    assert json.loads(drawn.content)["name"] == "Corner hearth"


def test_saving_again_adds_a_revision_and_says_what_changed(owner: Browser, hearth: PieceRevision) -> None:
    edit = f"/pieces/{hearth.piece_id}/edit"
    owner.post(edit, typed(examples()["hearth"]) | {"thickness": "6.5", "do": "save"})
    page = owner.get(f"/pieces/{hearth.piece_id}/").content.decode()
    assert "Revision 2" in page
    assert "thickness 60 → 65 mm" in page
    assert owner.get(f"/pieces/{hearth.piece_id}/?revision=1").context["revision"].number == 1


def test_differences_are_told_in_words(hearth: PieceRevision) -> None:
    document = hearth.document | {"mix": "MIX-LIGHT", "quantity": 3}
    document["edges"] = [
        *document["edges"],
        {"at": "bottom", "profile": "chamfer", "size": 3, "sides": "all"},
    ]
    revise_piece(hearth.piece, document)
    newest, first = differences(hearth.piece)
    assert first.words == ("first drawn",)
    assert "quantity 1 → 3" in newest.words
    assert any("MIX-LIGHT" in words for words in newest.words)
    assert "bottom edge: square → chamfer 30 mm" in newest.words


def test_a_piece_is_labelled_put_away_and_found(owner: Browser, hearth: PieceRevision) -> None:
    details = f"/pieces/{hearth.piece_id}/details"
    owner.post(details, {"name": "Hearth of the inn", "labels": "fire, stone"})
    assert "Hearth of the inn" in owner.get("/pieces/?search=stone").content.decode()
    owner.post(details, {"do": "away"})
    assert "Hearth of the inn" not in owner.get("/pieces/").content.decode()
    assert "Hearth of the inn" in owner.get("/pieces/?archived=1").content.decode()
    owner.post(details, {"do": "back"})
    assert SavedPiece.objects.get().archived is False


def test_a_piece_needs_a_name(owner: Browser, hearth: PieceRevision) -> None:
    typed = {"name": " ", "labels": "hearths, for the quay"}
    answer = owner.post(f"/pieces/{hearth.piece_id}/details", typed)
    assert answer.status_code == 422
    assert 'id="name-fault"' in answer.content.decode()
    assert 'value="hearths, for the quay"' in answer.content.decode()
    assert SavedPiece.objects.get().name == "Corner hearth"


def test_the_mould_has_its_drawing_parts_and_cuts(owner: Browser, hearth: PieceRevision) -> None:
    page = owner.get(f"/pieces/{hearth.piece_id}/mould").content.decode()
    for shown in ("Parts to cut", "How to cut them", "M1"):
        assert shown in page
    # each drawing twice: lettered for a desk and for a phone, its words never under one id
    assert page.count("desk-only") == page.count("phone-only") >= 2
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_a_cutting_diagram_bears_the_name_of_the_sheet_that_is_cut(
    owner: Browser, hearth: PieceRevision
) -> None:
    """Over a sheet of 2800 × 2070 once stood the name of the smaller board its parts were first meant for."""
    small, large = Material.objects.get(code="BOARD-18"), "BOARD-18-XL"
    figures = {"length_mm": 3000.0, "width_mm": 2100.0, "thickness_mm": small.thickness_mm, "casts": 3}
    words = {"name": "Large board", "kind": "board", "usage": "mould_board", "pack_name": "sheet"}
    create_material(
        {"code": large, **words, **figures},
        price="1.00",
        today=date(2026, 1, 1),
        who="test",
    )
    page = owner.get(f"/pieces/{hearth.piece_id}/mould").content.decode()
    assert f"{large}, 3000 × 2100" in page
    assert "Sheets of Large board" in page and f"Sheets of {small.name}" not in page


def test_a_piece_the_catalogue_cannot_price_says_why(owner: Browser, hearth: PieceRevision) -> None:
    PieceRevision.objects.update(document=hearth.document | {"mix": "MIX-GONE"})
    page = owner.get(f"/pieces/{hearth.piece_id}/").content.decode()
    assert "<code>mix</code>" in page
    assert "Revisions" in page


def test_no_change_by_get(owner: Browser, hearth: PieceRevision) -> None:
    assert owner.get(f"/pieces/{hearth.piece_id}/details?do=away").status_code == 405
    owner.get(f"/pieces/{hearth.piece_id}/edit?do=save&thickness=99")
    assert PieceRevision.objects.count() == 1


def test_the_list_is_ordered_as_its_heads_ask(owner: Browser, hearth: PieceRevision) -> None:
    owner.post("/pieces/new", typed(examples()["bench"]) | {"do": "save"})

    def names(sort: str) -> list[str]:
        return [piece.name for piece in owner.get(f"/pieces/?sort={sort}").context["page"]]

    assert names("name") == names("nonsense") == ["Bench", "Corner hearth"]
    owner.post(f"/pieces/{hearth.piece_id}/details", {"name": "Corner hearth", "labels": "a"})
    assert names("changed") == ["Corner hearth", "Bench"]


def test_the_outlook_shows_price_breaks_and_risk(owner: Browser, hearth: PieceRevision) -> None:
    answer = owner.get(f"/pieces/{hearth.piece_id}/outlook")
    breaks, risk = answer.context["breaks"], {fact.label: fact.value for fact in answer.context["risk"]}
    assert [row["quantity"] for row in breaks] == ["1", "2", "5", "10"]
    assert breaks[0]["saving"] == "€0.00"
    assert {"Chance of the target margin", "Chance of a loss", "Mean cost"} < set(risk)
    assert "What moves the cost most" in answer.content.decode()
    again = owner.get(f"/pieces/{hearth.piece_id}/outlook")
    assert again.context["risk"] == answer.context["risk"], "the same draws every time"


def test_the_sheet_says_when_it_can_be_ready_and_gives_its_drawings(
    owner: Browser, hearth: PieceRevision
) -> None:
    answer = owner.get(f"/pieces/{hearth.piece_id}/")
    promise, cure = answer.context["promise"], answer.context["cure"]
    days = [promise["start"], promise["first"], *(step["on"] for step in cure)]
    assert days == sorted(days)
    assert promise["ready"] >= cure[-1]["on"]
    page = answer.content.decode()
    assert f"<dt>Can be ready</dt><dd>{promise['ready']:%Y-%m-%d}</dd>" in page
    for kind in ("plan", "section", "isometric", "mould"):
        address = f"/api/v1/pieces/{hearth.piece_id}/drawings/{kind}.svg"
        assert f'href="{address}"' in page
    assert owner.get(address)["Content-Type"] == "image/svg+xml"
    templates = owner.get(f"/api/v1/pieces/{hearth.piece_id}/templates.pdf")
    assert (templates.status_code == 200) is ("templates.pdf" in page) is answer.context["traced"]


def test_on_a_phone_the_cautions_are_one_line_between_the_figures_and_the_form(owner: Browser) -> None:
    page = owner.get("/pieces/new?example=reading-room-table").content.decode()
    fold = page[page.index('<details class="phone-only caution-fold">') :]
    assert "for this piece</strong>" in fold[: fold.index("</summary>")]
    assert page.index('<dl class="cells">') < page.index("caution-fold") < page.index('class="board-form"')
    assert page[: page.index("caution-fold")].count('class="desk-only"') == 1
