"""Two people at one piece: nobody's change is lost, nobody's is laid over another's unseen."""

from __future__ import annotations

import json

import pytest
from django.test import Client as Browser

from quoting.models import PieceRevision
from quoting.services.pieces import Overtaken, revise_piece
from quoting.web.examples import examples
from tests.quoting.web.typed import typed


@pytest.fixture
def edit(hearth: PieceRevision) -> str:
    """The editor's address; somebody has saved revision 2 since revision 1 was opened."""
    revise_piece(hearth.piece, hearth.document | {"quantity": 2}, note="two of them now")
    return f"/pieces/{hearth.piece_id}/edit"


MINE = typed(examples()["hearth"]) | {"thickness": "6.5", "do": "save", "note": "thicker", "upon": "1"}


def test_the_board_knows_which_revision_it_shows(owner: Browser, edit: str) -> None:
    assert 'name="upon" value="2"' in owner.get(edit).content.decode()


def test_saving_onto_anothers_revision_says_what_differs_and_keeps_what_was_typed(
    owner: Browser, edit: str
) -> None:
    answer = owner.post(edit, MINE)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert PieceRevision.objects.count() == 2
    for said in ("Not saved yet", "two of them now", "quantity 1 → 2", "quantity 2 → 1", "thickness 60 → 65"):
        assert said in page
    assert 'name="thickness" value="6.5"' in page
    assert 'name="note" value="thicker"' in page
    assert 'name="do" value="save:2"' in page


def test_it_is_saved_on_top_where_that_is_wanted(owner: Browser, edit: str) -> None:
    assert owner.post(edit, MINE | {"do": "save:2"}).status_code == 302
    newest = PieceRevision.objects.order_by("number").last()
    assert newest is not None
    assert (newest.number, newest.note) == (3, "thicker")
    assert (newest.document["thickness"], newest.document["quantity"]) == (6.5, 1)


def test_a_third_one_meanwhile_is_told_again(owner: Browser, edit: str) -> None:
    owner.post(edit, MINE | {"do": "save:2"})
    answer = owner.post(edit, MINE | {"thickness": "7", "do": "save:2"})
    assert answer.status_code == 409
    assert "Save mine on top of revision 3" in answer.content.decode()


def test_buttons_of_the_board_keep_the_revision_it_was_opened_with(owner: Browser, edit: str) -> None:
    page = owner.post(edit, MINE | {"do": "add-feature", "new_kind": "sleeve"}).content.decode()
    assert 'name="upon" value="1"' in page


def test_a_document_read_into_the_board_keeps_it_too(owner: Browser, edit: str) -> None:
    for document in ("{}", json.dumps(examples()["hearth"])):
        page = owner.post(edit, {"do": "read", "document": document, "upon": "1"}).content.decode()
        assert 'name="upon" value="1"' in page


def test_the_service_refuses_only_where_it_was_told_what_was_changed(hearth: PieceRevision) -> None:
    revise_piece(hearth.piece, hearth.document | {"quantity": 2})
    with pytest.raises(Overtaken, match="revision 2"):
        revise_piece(hearth.piece, hearth.document | {"quantity": 3}, upon=1)
    assert revise_piece(hearth.piece, hearth.document | {"quantity": 2}, upon=1).number == 2
    assert revise_piece(hearth.piece, hearth.document | {"quantity": 3}).number == 3
