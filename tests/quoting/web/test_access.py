"""Who gets in where: every address, every role, and nobody signed in."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client as Browser
from django.urls import NoReverseMatch, reverse

from quoting.models import Client, PieceRevision
from quoting.services.quotes import ItemWanted, draft_quote
from quoting.web.urls import urlpatterns

POSTS_ONLY = {"preview", "piece-details", "totals", "revise", "again", "link", "revoke-links"}
TURNED_BACK = {"answer", "bridge", "send"}
"""Pages of an issued quote: a draft leads back to its form."""
NAMES = [str(getattr(pattern, "name", "")) for pattern in urlpatterns]


@pytest.fixture
def places(hearth: PieceRevision, library: Client) -> dict[str, int]:
    quote = draft_quote(library, title="Hearth", quoted_on=date(2026, 2, 2), items=[ItemWanted(hearth)])
    return {"pieces": hearth.piece_id, "quotes": quote.pk, "clients": library.pk}


def address(name: str, places: dict[str, int]) -> str:
    for place, pk in places.items():
        for kwargs in ({"pk": pk}, {}):
            try:
                found = reverse(f"quoting:{name}", kwargs=kwargs)
            except NoReverseMatch:
                continue
            if found.startswith(f"/{place}/"):
                return found
    raise AssertionError(f"no address for {name}")


def test_owner_and_estimator_get_in(places: dict[str, int], owner: Browser, estimator: Browser) -> None:
    for name in NAMES:
        for browser in (owner, estimator):
            status = browser.get(address(name, places)).status_code
            wanted = 405 if name in POSTS_ONLY else 302 if name in TURNED_BACK else 200
            assert (name, status) == (name, wanted)


def test_the_bench_is_told_in_plain_words(places: dict[str, int], bench: Browser) -> None:
    for name in NAMES:
        for answer in (bench.get(address(name, places)), bench.post(address(name, places))):
            assert (name, answer.status_code) == (name, 403)
            assert "not open to you" in answer.content.decode()


def test_strangers_are_sent_to_sign_in(places: dict[str, int]) -> None:
    for name in NAMES:
        answer = Browser().get(address(name, places))
        assert (name, answer.status_code) == (name, 302)
        assert answer["Location"].startswith("/accounts/login/")


def test_only_the_owner_sees_what_an_hour_costs(
    places: dict[str, int], owner: Browser, estimator: Browser
) -> None:
    page = address("piece", places)
    assert "An hour" in owner.get(page).content.decode()
    assert "An hour" not in estimator.get(page).content.decode()


def test_the_bench_has_no_places_of_money(bench: Browser) -> None:
    page = bench.get("/pieces/").content.decode()
    assert 'href="/pieces/"' not in page
    assert 'href="/prices/"' not in page
