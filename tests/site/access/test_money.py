"""Pay is unseen by estimators and money by the bench: every byte of every answer they get is searched."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from django.db import transaction
from pikepdf import Pdf

from tests.quoting.documents.words import words
from tests.site.access.conftest import ON_COSTS, PAY, World
from tests.site.access.rules import RULES

pytestmark = pytest.mark.django_db
# 37.7431 an hour with 31 % on-costs is 49.443461; as it may be written out, to two places or four.
PAY_WRITTEN = re.compile(rb"37[.,]74|49[.,]44")
DRAWING = re.compile(rb"<svg.*?</svg>", re.DOTALL)  # its coordinates are any figures there are
MONEY_WORDS = re.compile(
    rb"\xc2\xa3|\xe2\x82\xac|\bGBP\b|\bEUR\b|\bmargin\b|pay_per_hour|unit_price|overhead"
)


def answers(world: World, who: str) -> dict[str, bytes]:
    """Everything that somebody may read, by address."""
    read = {}
    for route, rule in RULES.items():
        # The description names every key; the client's page opens by its address, not by who one is.
        if who not in rule.get("GET", "") or route.startswith(("api/v1/schema", "api/v1/docs", "q/")):
            continue
        with transaction.atomic():
            answer = world.browser(who).get(world.address(route))
            transaction.set_rollback(True)
        body = b"".join(answer) if answer.streaming else answer.content
        # The words of a paper are written in its own codes; its packed bytes mean nothing.
        said = words(Pdf.open(BytesIO(body))).encode() if body.startswith(b"%PDF") else body
        read[route] = DRAWING.sub(b"", said)
    return read


def test_the_search_finds_what_owners_see(world: World) -> None:
    assert (PAY, ON_COSTS) == ("37.7431", "0.31")
    role = world.values["roles.code"]
    shown = world.browser("o").get(f"/api/v1/roles/{role}/rates").content
    assert PAY_WRITTEN.search(shown)
    assert MONEY_WORDS.search(shown)


def test_no_pay_for_estimators(world: World) -> None:
    read = answers(world, "e")
    assert len(read) > 40
    assert [route for route, body in read.items() if PAY_WRITTEN.search(body)] == []


def test_no_money_for_the_bench(world: World) -> None:
    read = answers(world, "b")
    assert len(read) > 10
    gross = str(world.issued.issued.data["gross"]).encode()
    spoken = {
        route: found[0]
        for route, body in read.items()
        if (
            found := MONEY_WORDS.search(body) or PAY_WRITTEN.search(body) or re.search(re.escape(gross), body)
        )
    }
    assert spoken == {}
