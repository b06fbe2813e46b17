"""The page that holds a quote against today."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client as Browser

from catalog.models import MaterialPrice
from catalog.services.materials import set_price
from catalog.services.terms import update_terms
from quoting.engine.drawing.waterfall import Step, waterfall
from quoting.models import Client, PieceRevision, Quote
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from tests.quoting.conftest import TODAY

LATER = TODAY + timedelta(days=20)


@pytest.fixture
def issued(hearth: PieceRevision, library: Client, monkeypatch: pytest.MonkeyPatch) -> Quote:
    monkeypatch.setattr("django.utils.timezone.localdate", lambda: LATER)
    draft = draft_quote(library, title="Hearth", quoted_on=TODAY, items=[ItemWanted(hearth)])
    return issue_quote(draft, on=TODAY).quote


def test_nothing_changed(issued: Quote, owner: Browser) -> None:
    page = owner.get(f"/quotes/{issued.pk}/bridge").content.decode()
    assert "Nothing has changed" in page
    assert "As it was." in page


def test_dearer_materials_are_a_part_and_a_bar(issued: Quote, owner: Browser) -> None:
    for row in MaterialPrice.objects.select_related("material"):
        set_price(row.material.code, row.price * 2, valid_from=LATER, today=LATER)
    answer = owner.get(f"/quotes/{issued.pk}/bridge")
    page = answer.content.decode()
    assert "Material prices" in page
    assert "<svg" in page
    assert [part["name"] for part in answer.context["parts"]] == ["Material prices"]


def test_a_price_set_anew_on_the_day_of_the_quote_is_explained(issued: Quote, owner: Browser) -> None:
    """It was once put down to descriptions alone, and terms that had changed were said to be as they were."""
    for row in MaterialPrice.objects.select_related("material"):
        set_price(row.material.code, row.price * 2, valid_from=TODAY, today=TODAY)
    update_terms({"target_margin": "0.4"})
    answer = owner.get(f"/quotes/{issued.pk}/bridge")
    names = [part["name"] for part in answer.context["parts"]]
    assert names == ["What the old quote did not keep", "Margin"]
    kept, undated = answer.context["notes"]
    assert "set anew on the day of the quote" in undated
    assert "now by today's" in kept


def test_a_waterfall_goes_on_where_it_was() -> None:
    drawn = waterfall([Step("Wages", 100, 120, "+20"), Step("Tax", 120, 110, "−10")], title="Why")
    assert "Wages: +20; Tax: −10." in drawn.svg
    assert waterfall([], title="Why").svg


def test_the_quote_leads_there(issued: Quote, owner: Browser) -> None:
    assert f'href="/quotes/{issued.pk}/bridge"' in owner.get(f"/quotes/{issued.pk}/").content.decode()
