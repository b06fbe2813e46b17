"""The client's side: an issued quote with two options on a fixed day, and the address it is read at."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import pytest
from django.test import Client as Browser

from quoting.models import Client, IssuedQuote, Quote
from quoting.services.links import create_link
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, LineWanted, draft_quote, issue_quote
from tests.clock import NOON, Clock
from tests.quoting.conftest import TODAY, specification


@dataclass(frozen=True)
class Sent:
    """A quote that is out, and the address of its page."""

    issued: IssuedQuote
    address: str

    @property
    def quote(self) -> Quote:
        return Quote.objects.get(pk=self.issued.quote_id)

    def accepting(self, **changed: str) -> dict[str, str]:
        """The form as a client fills it in."""
        said = {"do": "accept", "name": "Philippa Quern", "agree": "yes", "option": "B"}
        return said | {"data_sha256": self.issued.data_sha256} | changed


@pytest.fixture
def sent(starter: None, library: Client, clock: Clock) -> Sent:
    top = save_piece(specification("round-table-top"))
    draft = draft_quote(
        library,
        title="Tables for the reading room",
        quoted_on=TODAY,
        items=[ItemWanted(top, 4, "A"), ItemWanted(top, 6, "B")],
        lines=[LineWanted("Survey", Decimal("120"))],
        note="As we talked it over.",
    )
    issued = issue_quote(draft, on=TODAY)
    _, token = create_link(issued.quote, now=NOON)
    return Sent(issued, f"/q/{token}/")


@pytest.fixture
def philippa() -> Browser:
    """The client, who has the address and nothing else."""
    return Browser(enforce_csrf_checks=True)
