"""Clients, pieces and quotes over the API, from nothing to a stored paper."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from rest_framework.test import APIClient

from catalog.services.terms import update_terms
from quoting.engine.money import to_minor
from quoting.models import IssuedQuote
from tests.quoting.conftest import specification
from tests.quoting.malformed import SOUND

Api = Callable[[Any], APIClient]


def saved(client: APIClient, document: dict[str, Any]) -> dict[str, Any]:
    answer = client.post("/api/v1/pieces", {"document": document})
    assert answer.status_code == 201, answer.json()
    revision: dict[str, Any] = answer.json()
    return revision


def test_a_piece_is_saved_and_revised(api: Api, rowan: Any) -> None:
    client = api(rowan)
    first = saved(client, SOUND)
    thicker = SOUND | {"thickness": 50}
    second = client.post(f"/api/v1/pieces/{first['piece']}/revisions", {"document": thicker}).json()
    assert (first["number"], second["number"]) == (1, 2)
    same = client.post(f"/api/v1/pieces/{first['piece']}/revisions", {"document": thicker}).json()
    assert same["id"] == second["id"], "saving the same again changes nothing"
    listed = client.get("/api/v1/pieces").json()["results"]
    assert [piece["newest_number"] for piece in listed] == [2]


def test_a_revision_rests_on_the_piece_that_was_read(api: Api, rowan: Any) -> None:
    client = api(rowan)
    at = f"/api/v1/pieces/{saved(client, SOUND)['piece']}"
    read = client.get(at)["ETag"]
    theirs, ours = SOUND | {"thickness": 50}, SOUND | {"thickness": 60}
    assert client.post(f"{at}/revisions", {"document": theirs}, headers={"if-match": read}).status_code == 201
    late = client.post(f"{at}/revisions", {"document": ours}, headers={"if-match": read})
    assert (late.status_code, late.json()["code"]) == (412, "stale")
    assert [one["document"]["thickness"] for one in client.get(f"{at}/revisions").json()] == [40, 50]
    now = client.get(at)["ETag"]
    assert client.post(f"{at}/revisions", {"document": ours}, headers={"if-match": now}).status_code == 201


def test_a_piece_that_cannot_be_cast_is_not_saved(api: Api, rowan: Any) -> None:
    client = api(rowan)
    answer = client.post("/api/v1/pieces", {"document": SOUND | {"thickness": 0}})
    assert answer.status_code == 422
    assert client.get("/api/v1/pieces").json()["count"] == 0


def test_from_client_to_paper(api: Api, rowan: Any) -> None:
    client = api(rowan)
    reader = client.post("/api/v1/clients", {"name": "Village library"}).json()
    revision = saved(client, specification("reading-room-table"))
    drafted = client.post(
        "/api/v1/quotes",
        {
            "client": reader["id"],
            "title": "Table",
            "items": [{"revision": revision["id"]}],
            "lines": [{"text": "Survey on site", "unit_price": "120.00"}],
            "discount": "0.05",
        },
    )
    assert drafted.status_code == 201, drafted.json()
    quote = drafted.json()
    priced = quote["priced"]
    nets = sum(Decimal(row["net"]) for row in priced["items"] + priced["lines"])
    assert Decimal(priced["net"]) == nets - Decimal(priced["discount"])
    assert Decimal(priced["gross"]) == Decimal(priced["net"]) + sum(Decimal(t["tax"]) for t in priced["tax"])
    assert Decimal(priced["gross"]) == sum(Decimal(p["amount"]) for p in priced["payments"])

    issued = client.post(f"/api/v1/quotes/{quote['id']}/issue")
    assert issued.status_code == 201
    assert issued.json()["number"]
    assert issued.json()["priced"]["gross"] == priced["gross"]
    paper = client.get(f"/api/v1/quotes/{quote['id']}/pdf")
    assert b"".join(paper) if paper.streaming else paper.content == bytes(IssuedQuote.objects.get().pdf)

    again = client.post(f"/api/v1/quotes/{quote['id']}/issue")
    assert again.status_code == 409
    changed = client.patch(f"/api/v1/quotes/{quote['id']}", {"title": "Another"})
    assert changed.status_code == 409
    assert client.delete(f"/api/v1/quotes/{quote['id']}").status_code == 409


def test_a_piece_names_its_tax_category(api: Api, rowan: Any, library: Any) -> None:
    update_terms({"tax_rates": {"standard": "0.20", "reduced": "0.05"}})
    client = api(rowan)
    revision = saved(client, specification("hearth"))["id"]
    items = [{"revision": revision, "quantity": 1, "tax_category": "reduced"}, {"revision": revision}]
    sent = {"client": library.pk, "title": "Hearths", "items": items}
    drafted = client.post("/api/v1/quotes", sent)
    assert drafted.status_code == 201, drafted.json()
    quote = drafted.json()
    assert [item["tax_category"] for item in quote["items"]] == ["reduced", "standard"]
    low, high = quote["priced"]["items"]
    for priced, category, rate in ((low, "reduced", "0.05"), (high, "standard", "0.20")):
        (own,) = priced["estimate"]["price"]["tax_lines"]
        due = to_minor(Decimal(priced["net"]) * Decimal(rate), 2)
        assert (own["category"], Decimal(own["tax"])) == (category, due)
    taxed = [(tax["category"], tax["base"]) for tax in quote["priced"]["tax"]]
    assert taxed == [("standard", high["net"]), ("reduced", low["net"])]

    at = f"/api/v1/quotes/{quote['id']}"
    luxury = {"items": [{"revision": revision}, {"revision": revision, "tax_category": "luxury"}]}
    refused = client.patch(at, luxury)
    assert refused.status_code == 400
    assert [fault["path"] for fault in refused.json()["errors"]] == ["items[1].tax_category"]
    assert client.post(f"{at}/issue").status_code == 201
    revised = client.post(f"{at}/revise").json()
    again = client.post(f"{at}/again", {}, format="json").json()
    for copy in (revised, client.get(f"/api/v1/quotes/{again['id']}").json()):
        assert [item["tax_category"] for item in copy["items"]] == ["reduced", "standard"]


def test_an_empty_quote_is_not_issued(api: Api, rowan: Any, library: Any) -> None:
    client = api(rowan)
    quote = client.post("/api/v1/quotes", {"client": library.pk, "title": "Nothing yet"}).json()
    assert client.post(f"/api/v1/quotes/{quote['id']}/issue").status_code == 409


def test_faults_of_a_quote_are_told_together(api: Api, rowan: Any) -> None:
    answer = api(rowan).post(
        "/api/v1/quotes",
        {"client": 99, "title": "", "items": [{"revision": 5, "quantity": 0}], "discount": "2"},
    )
    assert answer.status_code == 400
    paths = {error["path"] for error in answer.json()["errors"]}
    assert {"client", "title", "items[0].revision", "items[0].quantity", "discount"} <= paths


def test_a_draft_is_thrown_away(api: Api, rowan: Any, library: Any) -> None:
    client = api(rowan)
    quote = client.post("/api/v1/quotes", {"client": library.pk, "title": "Passing thought"}).json()
    assert client.delete(f"/api/v1/quotes/{quote['id']}").status_code == 204
    assert client.get("/api/v1/quotes").json()["count"] == 0


def test_the_bench_is_turned_away(api: Api, sorrel: Any) -> None:
    client = api(sorrel)
    assert {client.get(f"/api/v1/{place}").status_code for place in ("pieces", "clients", "quotes")} == {403}
