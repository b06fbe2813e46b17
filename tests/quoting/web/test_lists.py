"""Lists of pieces, clients and quotes: in the order that their heads ask for, and as tables."""

from __future__ import annotations

import csv
import io
import re

import pytest
from django.test import Client as Browser

from quoting.models import PieceRevision
from quoting.services.clients import create_client
from quoting.web.examples import examples
from tests.quoting.web.typed import typed

pytestmark = pytest.mark.django_db


def table(owner: Browser, address: str) -> list[list[str]]:
    answer = owner.get(address)
    assert answer["Content-Type"].startswith("text/csv")
    assert ".csv" in answer["Content-Disposition"]
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_clients_by_their_heads_and_as_a_table(owner: Browser) -> None:
    for name, contact in (("Quay kitchen", "Zelda Ruck"), ("Ford mill", "=Amos Pike")):
        create_client(name=name, contact_name=contact)
    by_name = ["Ford mill", "Quay kitchen"]

    def shown(sort: str) -> list[str]:
        return [
            one.name for one in owner.get(f"/clients/?sort={sort}").context["page"] if one.name in by_name
        ]

    assert shown("name") == shown("nonsense") == shown("contact") == by_name
    assert shown("-name") == shown("-contact") == by_name[::-1]
    rows = table(owner, "/clients/list.csv?sort=-name&search=ford")
    assert rows == [
        ["name", "contact", "email", "phone", "address", "quotes"],
        ["Ford mill", "'=Amos Pike", "", "", "", "0"],
    ]


def test_pieces_as_a_table_of_what_was_found(owner: Browser, hearth: PieceRevision) -> None:
    owner.post("/pieces/new", typed(examples()["bench"]) | {"do": "save"})
    head, *rows = table(owner, "/pieces/list.csv?sort=-name")
    assert head == ["name", "labels", "revision", "changed_on", "put_away"]
    assert [row[0] for row in rows] == ["Corner hearth", "Bench"]
    assert all(re.fullmatch(r"\d{4}-\d{2}-\d{2}", row[3]) and row[4] == "no" for row in rows)
    assert len(table(owner, "/pieces/list.csv?search=hearth")) == 2
    assert len(table(owner, "/pieces/list.csv?archived=1")) == 1


def test_a_head_says_its_order_and_leads_the_other_way(owner: Browser, hearth: PieceRevision) -> None:
    up = owner.get("/pieces/?sort=name").content.decode()
    assert re.search(r'aria-sort="ascending"><a href="\?sort=-name"', up)
    down = owner.get("/pieces/?sort=-name").content.decode()
    assert re.search(r'aria-sort="descending"><a href="\?sort=name"', down)
    newest = owner.get("/pieces/?sort=changed").content.decode()
    assert re.search(r'aria-sort="descending"><a href="\?sort=-changed"', newest)
