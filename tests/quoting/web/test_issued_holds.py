"""No door changes what was issued: every page and address of the API that takes a quote, and the admin."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

import pytest
from django.contrib import admin
from django.db import transaction
from django.test import Client as Browser
from django.utils import timezone

from quoting.models import Client, IssuedQuote, PieceRevision, Quote, QuoteItem, QuoteLine
from quoting.services.quotes import ItemWanted, LineWanted, draft_quote, issue_quote
from shop.accounts.models import Role, User
from tests.quoting.conftest import PRICES_FROM
from tests.site.access.conftest import routes

WRITES = ("POST", "PUT", "PATCH", "DELETE")
MOVES = {"status", "version", "updated_at"}
"""What a legal move of an issued quote changes."""
CHEAPER: dict[str, Any] = {
    "title": "Cheaper",
    "number": "Q26-9999",
    "status": "draft",
    "quoted_on": "2026-02-03",
    "valid_days": 365,
    "note": "another",
    "issued": {"gross": "1.00"},
    "data": {"gross": "1.00"},
    "pdf_sha256": "0" * 64,
}


@pytest.fixture
def issuer(db: None) -> User:
    return User.objects.create_user("tansy", role=Role.ESTIMATOR)


@pytest.fixture
def out(hearth: PieceRevision, library: Client, issuer: User) -> Quote:
    lines = [LineWanted("Survey", Decimal(120))]
    draft = draft_quote(
        library, title="A hearth", quoted_on=PRICES_FROM, items=[ItemWanted(hearth)], lines=lines, by=issuer
    )
    return issue_quote(draft, on=timezone.localdate(), by=issuer).quote


def _kept(quote: Quote) -> dict[str, Any]:
    """All that the client was told and all that it rests on."""
    (row,) = Quote.objects.filter(pk=quote.pk).values()
    parts = (IssuedQuote.objects, QuoteItem.objects, QuoteLine.objects)
    rows = [list(manager.filter(quote=quote).order_by("pk").values()) for manager in parts]
    return {"quote": {name: value for name, value in row.items() if name not in MOVES}, "rows": rows}


def test_no_address_of_page_or_api_changes_it(owner: Browser, out: Quote) -> None:
    before = _kept(out)
    doors = sorted(route for route in routes() if re.search(r"quotes/<(?:\w+:)?pk>", route))
    assert {"quotes/<int:pk>/", "api/v1/quotes/<pk>", "quotes/<int:pk>/link"} <= set(doors)
    form = {"title": "Cheaper", "client": str(out.client_id), "quoted_on": "2026-02-03", "valid_days": "9"}
    lines = {"lines[0].text": "Less", "lines[0].quantity": "1", "lines[0].unit_price": "1"}
    for route in doors:
        address = "/" + re.sub(r"<(?:\w+:)?pk>", str(out.pk), route)
        wanted = json.dumps(CHEAPER | {"client": out.client_id, "items": [], "lines": []})
        for method in WRITES:
            with transaction.atomic():
                if route.startswith("api/"):
                    owner.generic(method, address, wanted, "application/json", headers={"if-match": "*"})
                elif method == "POST":
                    owner.post(address, form | lines | {"do": "save", "discount": "50"})
                else:
                    assert owner.generic(method, address).status_code in (400, 403, 405), f"{method} {route}"
                assert _kept(out) == before, f"{method} {route}"
                transaction.set_rollback(True)
    paper = owner.get(f"/quotes/{out.pk}/paper.pdf").content
    assert paper == bytes(out.issued.pdf)


def test_the_admin_has_no_door_to_it(owner: Browser, out: Quote, issuer: User) -> None:
    assert [model for model in admin.site._registry if model._meta.app_label == "quoting"] == []
    assert [route for route in routes() if route.startswith("admin/quoting")] == []
    assert owner.get("/admin/quoting/quote/").status_code == 404
    assert owner.get("/admin/accounts/user/").status_code == 200
    before = _kept(out)
    page = owner.post(f"/admin/accounts/user/{issuer.pk}/delete/", {"post": "yes"})
    assert page.status_code == 200 and "protected" in page.content.decode()
    assert User.objects.filter(pk=issuer.pk).exists()
    assert _kept(out) == before
