"""Very many words in a search: looked for as far as that is of use, on every page and list."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from shop.accounts.models import User

pytestmark = pytest.mark.django_db
LETTER = "+".join("a" * 1500)
PAGES = (
    *("pieces/", "quotes/", "clients/", "jobs/", "jobs/time", "outbox/"),
    *("prices/", "prices/mixes", "prices/roles", "prices/operations"),
    *(f"api/v1/{name}" for name in ("pieces", "quotes", "clients", "jobs", "materials")),
)


@pytest.mark.parametrize("page", PAGES)
def test_a_letter_as_a_search(client: Browser, page: str) -> None:
    client.force_login(User.objects.create_superuser("ida"))
    assert client.get(f"/{page}?search={LETTER}").status_code == 200
