"""Lists in pages and narrowed. Row K109."""

from __future__ import annotations

import pytest
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
