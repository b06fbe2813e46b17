"""Lists in pages and narrowed; how often one may ask. Rows K107 to K109."""

from __future__ import annotations

import re
import time

import pytest
from pytest_django import Settings
from requests.utils import parse_header_links

from quoting.services.clients import create_client
from tests.shop.api.conftest import Api


def links(answer: object) -> dict[str, str]:
    """Read `Link` with another library, which knows RFC 8288's grammar."""
    found = parse_header_links(answer["Link"])  # type: ignore[index]
    assert len({link["rel"] for link in found}) == len(found)
    return {link["rel"]: link["url"] for link in found}


@pytest.fixture
def seven(db: None) -> None:
    for number in range(7):
        create_client(name=f"Client {number}")


def test_links_k109(api: Api, seven: None) -> None:
    """RFC 8288: one rel a link, no `next` on the last page, no `prev` on the first."""
    client, seen = api("owner"), []
    answer = client.get("/api/v1/clients?limit=3&search=client")
    assert set(links(answer)) == {"first", "next", "last"}
    at = links(answer)["first"]
    while at:
        page = client.get(at)
        seen += [row["name"] for row in page.json()["results"]]
        at = links(page).get("next", "")
    assert seen == [f"Client {number}" for number in range(7)]
    assert set(links(page)) == {"first", "prev", "last"}
    end = client.get(links(answer)["last"]).json()
    assert ([row["name"] for row in end["results"]], end["count"], end["next"]) == (["Client 6"], 7, None)


def test_an_empty_list_is_one_page(api: Api) -> None:
    assert set(links(api("owner").get("/api/v1/clients"))) == {"first", "last"}


@pytest.mark.parametrize("query", ["limit=0", "limit=201", "limit=x", "offset=-1", "offset=1e9", "limit=٣"])
def test_a_page_that_is_none_is_refused(api: Api, query: str) -> None:
    answer = api("owner").get(f"/api/v1/clients?{query}")
    assert (answer.status_code, answer.json()["errors"][0]["path"]) == (400, query.split("=")[0])


@pytest.mark.parametrize(
    "at",
    [
        "clients?nmae=x",
        "clients?ordering=note",
        "materials?colour=red",
        "pieces?archived=perhaps",
        "jobs?quote=9223372036854775808",
        "jobs?client=-1",
    ],
)
def test_what_a_list_does_not_know_is_refused(api: Api, at: str) -> None:
    assert api("owner").get(f"/api/v1/{at}").status_code == 400


def test_order(api: Api, seven: None) -> None:
    rows = api("owner").get("/api/v1/clients?ordering=-name&limit=2").json()["results"]
    assert [row["name"] for row in rows] == ["Client 6", "Client 5"]


def test_headers_k107_and_refusal_k108(api: Api, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    """draft-ietf-httpapi-ratelimit-headers; RFC 6585, section 4: `Retry-After` is no earlier than `t`."""
    settings.API_PACE = {"default": 2, "heavy": 1}
    monkeypatch.setattr(time, "time", lambda: 1_767_225_600.0 + 18)
    client = api("owner")
    first = client.get("/api/v1/clients")
    assert first["RateLimit-Policy"] == '"default";q=2;w=60'
    assert first["RateLimit"] == '"default";r=1;t=42'
    assert client.get("/api/v1/clients")["RateLimit"] == '"default";r=0;t=42'
    refused = client.get("/api/v1/clients")
    assert (refused.status_code, refused["Content-Type"]) == (429, "application/problem+json")
    (reset,) = re.findall(r"t=(\d+)", refused["RateLimit"])
    assert int(refused["Retry-After"]) >= int(reset) == 42
    assert api("estimator").get("/api/v1/clients").status_code == 200
    monkeypatch.setattr(time, "time", lambda: 1_767_225_660.0)
    assert client.get("/api/v1/clients").status_code == 200
