"""A piece beside its alternatives: the usual ones, own choices, and what cannot be made."""

from __future__ import annotations

import re

from django.test import Client as Browser

from catalog.models import ShopTerms
from quoting.models import PieceRevision
from quoting.services.pieces import revise_piece, save_piece
from quoting.web.examples import examples


def rows(page: str) -> dict[str, str]:
    """Text of the table's rows by their head."""
    plain = {}
    for row in re.findall(r"<tr>(.*?)</tr>", page, re.S):
        cells = [" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in re.split(r"</t[hd]>", row)]
        plain[cells[0]] = " | ".join(cells[1:])
    return plain


def test_the_usual_questions_are_answered_side_by_side(owner: Browser, hearth: PieceRevision) -> None:
    found = rows(owner.get(f"/pieces/{hearth.piece_id}/what-if").content.decode())
    assert list(found)[1:4] == ["As it is", "10 mm thicker", "One more"]
    assert any(name.startswith(("Delivered", "Collected")) for name in found)
    assert found["As it is"].startswith("1 | ")
    assert found["One more"].startswith("2 | ")
    for name in list(found)[2:]:
        assert re.search(r"[+-]?€[\d,]+\.\d\d \| $", found[name]), "the difference comes last"
    assert "+€" in found["10 mm thicker"]


def test_own_choices_are_laid_beside_them_and_all_together(owner: Browser, hearth: PieceRevision) -> None:
    asked = f"/pieces/{hearth.piece_id}/what-if?thickness=8&quantity=3"
    page = owner.get(asked).content.decode()
    found = rows(page)
    assert found["3 pieces"].startswith("3 | ")
    assert found["All of these together"].startswith("3 | ")
    assert "Thickness 8" in found
    assert 'name="thickness" value="8"' in page


def test_a_us_shop_asks_and_answers_in_miles(owner: Browser, hearth: PieceRevision) -> None:
    asked = f"/pieces/{hearth.piece_id}/what-if?distance=15"
    page = owner.get(asked).content.decode()
    assert "Delivered, km" in page
    assert "Delivered, 15 km" in rows(page)
    ShopTerms.objects.update(unit_system="us")
    page = owner.get(asked).content.decode()
    assert "Delivered, miles" in page
    assert "Delivered, 15 mi" in rows(page)
    assert 'name="distance" value="15"' in page
    assert "far" in rows(owner.get(asked.replace("15", "far")).content.decode())["Delivered, far"]


def test_a_choice_that_cannot_be_made_says_why_in_its_row(owner: Browser, hearth: PieceRevision) -> None:
    page = owner.get(f"/pieces/{hearth.piece_id}/what-if?thickness=-2&mix=NONE").content.decode()
    found = rows(page)
    assert "thickness" in found["Thickness -2"]
    assert "above zero" in found["Thickness -2"]
    assert "mix" in found["NONE"]
    assert "€" in found["One more"]


def test_a_piece_that_is_refused_shows_its_faults_there(owner: Browser, hearth: PieceRevision) -> None:
    PieceRevision.objects.filter(pk=hearth.pk).update(document=hearth.document | {"mix": "GONE"})
    page = owner.get(f"/pieces/{hearth.piece_id}/what-if").content.decode()
    assert "GONE" in page
    assert "As it is" not in page


def test_the_sheet_brings_it_by_itself_and_by_a_link(owner: Browser, hearth: PieceRevision) -> None:
    page = owner.get(f"/pieces/{hearth.piece_id}/").content.decode()
    address = f"/pieces/{hearth.piece_id}/what-if?revision=1"
    assert f'hx-get="{address}"' in page
    assert f'<a href="{address}">' in page


def test_an_older_revision_is_asked_of_itself(owner: Browser, hearth: PieceRevision) -> None:
    revise_piece(hearth.piece, hearth.document | {"quantity": 4})
    older = rows(owner.get(f"/pieces/{hearth.piece_id}/what-if?revision=1").content.decode())
    newer = rows(owner.get(f"/pieces/{hearth.piece_id}/what-if").content.decode())
    assert older["As it is"].startswith("1 | ")
    assert newer["As it is"].startswith("4 | ")
    assert owner.get(f"/pieces/{hearth.piece_id}/what-if?revision=9").status_code == 404


def test_materials_go_by_name_in_the_makers_own_plan(owner: Browser) -> None:
    revision = save_piece(examples()["reading-room-table"])
    drawings = owner.get(f"/pieces/{revision.piece_id}/").context["drawings"]
    glass = next(one["material"] for one in revision.document["features"] if one["kind"] == "inlay")
    for lettered in (drawings[0]["svg"], drawings[0]["small"]):
        assert "glass" in lettered.lower()
        assert glass not in lettered
