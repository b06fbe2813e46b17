"""Two people at one draft: nothing typed is lost or laid over unseen; only what was looked at is issued."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.utils import timezone

from catalog.services.materials import set_price
from quoting.errors import DraftOvertaken
from quoting.models import Client, PieceRevision, Quote, QuoteEvent
from quoting.services.quotes import ItemWanted, LineWanted, change_draft, draft_quote, issue_quote


@pytest.fixture
def draft(hearth: PieceRevision, library: Client) -> Quote:
    return draft_quote(
        library,
        title="A hearth",
        quoted_on=timezone.localdate(),
        items=[ItemWanted(hearth, 1)],
        lines=[LineWanted("Survey on site", Decimal(120))],
    )


def form_of(browser: Browser, draft: Quote) -> dict[str, str]:
    """What a browser would send of the page as it is."""
    page = browser.get(f"/quotes/{draft.pk}/").content.decode()
    (upon,) = re.findall(r'name="upon" value="([^"]*)"', page)
    item = draft.items.get()
    return {
        "upon": upon,
        "client": str(draft.client_id),
        "title": "A hearth",
        "quoted_on": draft.quoted_on.isoformat(),
        "valid_days": str(draft.valid_days),
        "discount": "0",
        "note": "",
        "items[0].revision": str(item.revision_id),
        "items[0].quantity": "1",
        "lines[0].text": "Survey on site",
        "lines[0].quantity": "1",
        "lines[0].unit_price": "120",
        "lines[0].tax_category": "standard",
        "do": "save",
    }


def test_saving_over_anothers_change_says_what_differs_and_keeps_what_was_typed(
    owner: Browser, draft: Quote
) -> None:
    mine = form_of(owner, draft) | {"items[0].quantity": "3", "new_client": "Marsh Lane Allotments"}
    change_draft(draft, title="A hearth and a survey", discount=Decimal("0.05"))
    answer = owner.post(f"/quotes/{draft.pk}/", mine)
    page = answer.content.decode()
    assert answer.status_code == 409
    for said in (
        "Not saved yet",
        "title “A hearth and a survey” → “A hearth”",
        "discount, % “5” → “0”",
        "piece 1: how many “1” → “3”",
        "→ “Marsh Lane Allotments”, somebody new",
    ):
        assert said in page
    assert 'name="do" value="save:2"' in page
    assert 'name="upon" value="1"' in page
    assert 'value="Marsh Lane Allotments"' in page
    draft.refresh_from_db()
    assert (draft.title, draft.items.get().quantity) == ("A hearth and a survey", 1)
    assert not Client.objects.filter(name="Marsh Lane Allotments").exists()


def test_it_is_saved_over_theirs_where_that_is_wanted_and_a_third_is_told_again(
    owner: Browser, draft: Quote
) -> None:
    mine = form_of(owner, draft) | {"items[0].quantity": "3"}
    change_draft(draft, title="Theirs")
    assert owner.post(f"/quotes/{draft.pk}/", mine | {"do": "save:2"}).status_code == 302
    draft.refresh_from_db()
    assert (draft.title, draft.items.get().quantity, draft.version) == ("A hearth", 3, 3)
    told = owner.post(f"/quotes/{draft.pk}/", mine | {"title": "A third", "do": "save:2"})
    assert told.status_code == 409
    assert 'value="save:3"' in told.content.decode()


def test_rows_of_another_are_named(owner: Browser, draft: Quote, hearth: PieceRevision) -> None:
    mine = form_of(owner, draft)
    change_draft(draft, items=[ItemWanted(hearth, 1), ItemWanted(hearth, 2)], lines=[])
    page = owner.post(f"/quotes/{draft.pk}/", mine).content.decode()
    assert f"piece 2, “{hearth}”: taken out" in page
    assert "line 1, “Survey on site”: added" in page


def test_pressing_save_twice_is_no_quarrel(owner: Browser, draft: Quote) -> None:
    mine = form_of(owner, draft) | {"title": "A  larger hearth", "discount": "5.00"}
    assert [owner.post(f"/quotes/{draft.pk}/", mine).status_code for _ in range(2)] == [302, 302]
    draft.refresh_from_db()
    assert draft.version == 2


def test_a_form_that_does_not_say_its_version_is_saved(owner: Browser, draft: Quote) -> None:
    mine = form_of(owner, draft) | {"upon": "", "title": "By a script"}
    change_draft(draft, title="Theirs")
    assert owner.post(f"/quotes/{draft.pk}/", mine).status_code == 302
    draft.refresh_from_db()
    assert draft.title == "By a script"


def seen(browser: Browser, draft: Quote) -> str:
    page = browser.get(f"/quotes/{draft.pk}/issue").content.decode()
    (digest,) = re.findall(r'name="seen" value="([0-9a-f]{64})"', page)
    return str(digest)


def test_only_what_was_looked_at_is_issued(owner: Browser, draft: Quote) -> None:
    looked_at = seen(owner, draft)
    change_draft(draft, lines=[])
    answer = owner.post(f"/quotes/{draft.pk}/issue", {"seen": looked_at}, follow=True)
    assert "Not issued: This draft has changed since you saw it" in answer.content.decode()
    assert answer.redirect_chain == [(f"/quotes/{draft.pk}/issue", 302)]
    draft.refresh_from_db()
    assert (draft.status, draft.number) == ("draft", None)
    owner.post(f"/quotes/{draft.pk}/issue", {"seen": seen(owner, draft)})
    draft.refresh_from_db()
    assert draft.status == "issued"
    assert [event.kind for event in QuoteEvent.objects.order_by("pk")] == ["drafted", "changed", "issued"]


def test_a_price_that_changed_meanwhile_is_seen_before_it_is_issued(owner: Browser, draft: Quote) -> None:
    looked_at, today = seen(owner, draft), timezone.localdate()
    set_price("BOARD-18-S", "99.00", valid_from=today, today=today, who="owner")
    owner.post(f"/quotes/{draft.pk}/issue", {"seen": looked_at})
    draft.refresh_from_db()
    assert draft.status == "draft"


def test_a_day_that_ended_meanwhile_is_seen_too(draft: Quote, owner: Browser) -> None:
    with pytest.raises(DraftOvertaken):
        issue_quote(draft, on=timezone.localdate() + timedelta(days=1), seen=seen(owner, draft))
