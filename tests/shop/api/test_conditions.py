"""Tags and conditions: RFC 9110, sections 8.8.3 and 13, and RFC 6585. Rows K95 to K101."""

from __future__ import annotations

import pytest

from catalog.api import tags
from catalog.models import Material
from catalog.services.materials import set_price
from quoting.models import Client
from tests.shop.api.conftest import TODAY, Api


@pytest.mark.parametrize(
    ("one", "other", "strong", "weak"),
    [
        ('W/"1"', 'W/"1"', False, True),
        ('W/"1"', 'W/"2"', False, False),
        ('W/"1"', '"1"', False, True),
        ('"1"', '"1"', True, True),
    ],
)
def test_comparison_k95(one: str, other: str, strong: bool, weak: bool) -> None:
    """RFC 9110, section 8.8.3.2, table 3."""
    assert (tags.strongly_equal(one, other), tags.weakly_equal(one, other)) == (strong, weak)


def test_a_change_rests_on_what_was_read(api: Api, library: Client) -> None:
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    read = client.get(at)["ETag"]
    assert read.startswith('"')
    changed = client.patch(at, {"phone": "1"}, headers={"if-match": read})
    assert changed.status_code == 200
    assert changed["ETag"] == client.get(at)["ETag"] != read


def test_stale_k96(api: Api, library: Client) -> None:
    """RFC 9110, section 13.1.1: the method is not performed."""
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    read = client.get(at)["ETag"]
    assert client.patch(at, {"phone": "1"}, headers={"if-match": read}).status_code == 200
    answer = client.patch(at, {"phone": "2"}, headers={"if-match": read})
    assert (answer.status_code, answer.json()["code"]) == (412, "stale")
    library.refresh_from_db()
    assert library.phone == "1"


def test_one_of_several_tags_is_enough(api: Api, library: Client) -> None:
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    several = f'"another", {client.get(at)["ETag"]}'
    assert client.patch(at, {"phone": "1"}, headers={"if-match": several}).status_code == 200


def test_anything_on_nothing_k97(api: Api) -> None:
    answer = api("owner").patch("/api/v1/clients/99", {"phone": "1"}, headers={"if-match": "*"})
    assert answer.status_code == 412


def test_anything_on_something(api: Api, library: Client) -> None:
    at = f"/api/v1/clients/{library.pk}"
    assert api("owner").patch(at, {"phone": "1"}, headers={"if-match": "*"}).status_code == 200


@pytest.mark.parametrize("spoilt", ["W/{}", "no tag", '""', "W/*"])
def test_weak_or_spoilt_never_matches_k98(api: Api, library: Client, spoilt: str) -> None:
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    sent = spoilt.format(client.get(at)["ETag"])
    assert client.patch(at, {"phone": "1"}, headers={"if-match": sent}).status_code == 412


def test_known_already_k99(api: Api, library: Client) -> None:
    """RFC 9110, section 13.2.2: 304 to a read, 412 to a change; compared weakly."""
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    read = client.get(at)["ETag"]
    for sent in (read, f"W/{read}", f'"x", {read}', "*"):
        for ask in (client.get, client.head):
            answer = ask(at, headers={"if-none-match": sent})
            assert (answer.status_code, answer.content, answer["ETag"]) == (304, b"", read)
    assert client.get(at, headers={"if-none-match": '"x"'}).status_code == 200
    assert client.patch(at, {"phone": "1"}, headers={"if-none-match": read}).status_code == 412


def test_order_of_conditions_k100(api: Api, library: Client) -> None:
    """RFC 9110, section 13.2.2: `If-Match` first, then `If-None-Match`; dates say nothing here."""
    client, at = api("owner"), f"/api/v1/clients/{library.pk}"
    read = client.get(at)["ETag"]
    past = {"if-unmodified-since": "Thu, 01 Jan 1998 00:00:00 GMT"}
    both = {"if-match": read, "if-none-match": read}
    assert client.patch(at, {"phone": "1"}, headers=both).status_code == 412
    assert client.patch(at, {"phone": "1"}, headers={"if-match": read, **past}).status_code == 200
    future = {"if-modified-since": "Thu, 01 Jan 2099 00:00:00 GMT"}
    assert client.get(at, headers={"if-none-match": read, **future}).status_code == 200


@pytest.mark.parametrize("headers", [{}, {"if-none-match": '"x"'}])
def test_without_a_condition_k101(api: Api, library: Client, headers: dict[str, str]) -> None:
    """RFC 6585, section 3."""
    answer = api("owner").patch(f"/api/v1/clients/{library.pk}", {"phone": "1"}, headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (428, "tag_wanted")
    assert api("owner").patch("/api/v1/clients/99", {"phone": "1"}).status_code == 404


def test_a_tag_follows_everything_in_the_document(api: Api, board: Material) -> None:
    client, at = api("owner"), "/api/v1/materials/BOARD-18"
    read = client.get(at)["ETag"]
    set_price("BOARD-18", "70.00", valid_from=TODAY, today=TODAY)
    assert client.get(at)["ETag"] != read
    assert client.patch(at, {"name": "Board"}, headers={"if-match": read}).status_code == 412


def test_lists_have_tags_too(api: Api, library: Client) -> None:
    client = api("owner")
    read = client.get("/api/v1/clients")["ETag"]
    assert client.get("/api/v1/clients", headers={"if-none-match": read}).status_code == 304
    assert client.post("/api/v1/clients", {"name": "Café"}).status_code == 201
    assert client.get("/api/v1/clients", headers={"if-none-match": read}).status_code == 200


def test_the_terms_have_a_tag(api: Api) -> None:
    client = api("owner")
    read = client.get("/api/v1/terms")["ETag"]
    assert client.patch("/api/v1/terms", {"phone": "1"}).status_code == 428
    assert client.patch("/api/v1/terms", {"phone": "1"}, headers={"if-match": read}).status_code == 200
    assert client.patch("/api/v1/terms", {"phone": "2"}, headers={"if-match": read}).status_code == 412


@pytest.mark.parametrize("condition", [{}, {"if-match": "*"}, {"if-match": '"1"'}, {"if-none-match": "*"}])
def test_a_name_where_a_number_belongs_is_nothing_that_is_there(api: Api, condition: dict[str, str]) -> None:
    """With `If-Match` on nothing: 412 (RFC 9110, section 13.1.1), as with a number that is nobody's."""
    owner, wanted = api("owner"), {412 if "if-match" in condition else 404}
    for name in ("abc", "1e3", "\u0663x", "1\r\n"):
        assert owner.get(f"/api/v1/pieces/{name}").status_code == 404
        assert owner.get(f"/api/v1/pieces/{name}/takeoff").status_code == 404
        assert owner.get(f"/api/v1/quotes/{name}/traveller").status_code == 404
        said = {
            owner.patch(f"/api/v1/clients/{name}", {}, headers=condition).status_code,
            owner.patch(f"/api/v1/pieces/{name}", {}, headers=condition).status_code,
            owner.delete(f"/api/v1/quotes/{name}", headers=condition).status_code,
            owner.post(f"/api/v1/quotes/{name}/issue", headers=condition).status_code,
            owner.post(f"/api/v1/pieces/{name}/revisions", {}, headers=condition).status_code,
        }
        assert said <= wanted | {428 if "if-none-match" in condition else 404}
