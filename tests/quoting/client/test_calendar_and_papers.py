"""The calendar by its secret address; traveller and buying list for the shop's own people."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.test import Client as Browser
from icalendar import Calendar

from quoting.documents.buying_list import buying_pdf
from quoting.documents.traveller import Work, _day, _qr
from quoting.services.links import create_calendar, revoke_calendar
from quoting.services.quotes import decline_quote
from tests.clock import NOON
from tests.quoting.client.conftest import Sent
from tests.quoting.conftest import TODAY
from tests.quoting.documents.conditions import CONDITIONS, opened
from tests.quoting.documents.words import words


def test_the_feed_has_every_step_until_the_quote_is_declined(sent: Sent, sorrel: Any) -> None:
    secret, stranger = create_calendar(sorrel, now=NOON), Browser()
    answer = stranger.get(f"/calendar/{secret}.ics")
    assert answer["Content-Type"].startswith("text/calendar")
    titles = [str(event["SUMMARY"]) for event in Calendar.from_ical(answer.content).walk("VEVENT")]
    for step in ("Pour", "Strip", "turn", "Deliver"):
        assert any(step in title and "if accepted" in title for title in titles)
    assert "€" not in answer.content.decode()
    decline_quote(sent.quote, name="Philippa", on=TODAY)
    assert b"VEVENT" not in stranger.get(f"/calendar/{secret}.ics").content


def test_an_address_is_revoked_replaced_and_gone_with_its_person(sent: Sent, sorrel: Any) -> None:
    first = create_calendar(sorrel, now=NOON)
    second = create_calendar(sorrel, now=NOON)
    assert Browser().get(f"/calendar/{first}.ics").status_code == 404
    sorrel.is_active = False
    sorrel.save()
    assert Browser().get(f"/calendar/{second}.ics").status_code == 404
    sorrel.is_active = True
    sorrel.save()
    assert Browser().get(f"/calendar/{second}.ics").status_code == 200
    assert revoke_calendar(sorrel, now=NOON) == 1
    assert Browser().get(f"/calendar/{second}.ics").status_code == 404


def test_the_traveller_is_a_tagged_paper_without_money(sent: Sent, sorrel: Any, rowan: Any) -> None:
    browser = Browser()
    address = f"/quotes/{sent.quote.pk}/traveller.pdf"
    assert browser.get(address).status_code == 302
    browser.force_login(sorrel)
    pdf = opened(browser.get(address, {"pour": "2026-03-04"}).content)
    assert {name: check(pdf) for name, check in CONDITIONS.items() if check(pdf)} == {}
    said = words(pdf)
    headings = ("Take care", "Cure calendar", "Lifting plan", "Cut list", "Batch sheet", "Wed 4 Mar 2026")
    assert [heading for heading in headings if heading not in said] == []
    assert not re.search("[€£$]", said)


def test_the_buying_list_is_a_tagged_paper_for_those_who_quote(sent: Sent, sorrel: Any, rowan: Any) -> None:
    browser = Browser()
    browser.force_login(sorrel)
    address = f"/quotes/{sent.quote.pk}/buying-list.pdf"
    assert browser.get(address).status_code == 403
    browser.force_login(rowan)
    pdf = opened(browser.get(address).content)
    assert {name: check(pdf) for name, check in CONDITIONS.items() if check(pdf)} == {}
    assert "To order" in words(pdf)


@pytest.mark.parametrize(
    ("locale", "short", "long"),
    [
        ("en_US", "Wed, Mar 4, 2026", "March 4, 2026"),
        ("en_GB", "Wed 4 Mar 2026", "4 March 2026"),
        ("de_DE", "Wed 4 Mar 2026", "4 March 2026"),
    ],
)
def test_days_on_the_shops_papers_stand_in_the_order_of_its_locale(
    locale: str, short: str, long: str
) -> None:
    """A US shop's buying list once said the prices of March 2, 2026 and to pour from 4 March 2026."""
    work = Work("Table", "Q26-0001", date(2026, 3, 4), "", "Workshop", locale, "Letter")
    assert _day(work.pour, work) == short
    assert f"Pour from {long}." in words(opened(buying_pdf(work, [], TODAY, "USD")))


def test_the_code_is_a_drawing_with_its_address_in_words() -> None:
    address = "https://shop.example/bench/J26-0001/"
    drawn = _qr(address)
    assert drawn.startswith("<svg") and f"<title>QR code: {address}</title>" in drawn
