"""Log lines: JSON with the request's id, what was asked and how it ended, and nothing secret."""

import json
import logging
import uuid
from collections.abc import Iterator

import pytest
from django.test import Client

from shop.logging import JsonFormatter, request_id

SECRET = "Zt3kQ0a8xL5mB1nV7cY2eR9wPq4s"


class Lines(logging.Handler):
    """Keeps what would be written."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(JsonFormatter())
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(self.format(record))


@pytest.fixture
def lines() -> Iterator[Lines]:
    """What the whole site logs during the test."""
    kept = Lines()
    logger = logging.getLogger("shop.request")
    root = logging.getLogger()
    before = logger.level
    logger.setLevel(logging.INFO)
    root.addHandler(kept)
    yield kept
    root.removeHandler(kept)
    logger.setLevel(before)


def answered(lines: Lines) -> dict[str, object]:
    found = [json.loads(line) for line in lines.lines]
    return next(line for line in reversed(found) if line["logger"] == "shop.request")


def test_a_request_leaves_one_line_with_its_id(client: Client, lines: Lines) -> None:
    answer = client.get("/accounts/login/?next=/quotes/")
    said = answered(lines)
    assert said["request_id"] == answer["X-Request-ID"]
    assert (said["method"], said["route"], said["status"]) == ("GET", "accounts/login/", 200)
    assert float(str(said["ms"])) > 0
    assert request_id() == ""


def test_every_line_about_a_request_has_its_id(client: Client, lines: Lines) -> None:
    answer = client.get("/nowhere")
    said = [json.loads(line) for line in lines.lines]
    assert {line["logger"] for line in said} == {"shop.request", "django.request"}
    assert {line.get("request_id") for line in said} == {answer["X-Request-ID"]}


def test_an_id_of_the_proxy_is_kept(client: Client) -> None:
    answer = client.get("/accounts/login/", headers={"X-Request-ID": "edge-7f3a.0001"})
    assert answer["X-Request-ID"] == "edge-7f3a.0001"


@pytest.mark.parametrize("bad", ["short", "x" * 65, "two words here", 'quote"inside1', "-starts-with-dash"])
def test_an_id_that_is_not_well_formed_is_replaced(client: Client, bad: str) -> None:
    answer = client.get("/accounts/login/", headers={"X-Request-ID": bad})
    assert uuid.UUID(answer["X-Request-ID"])


@pytest.mark.django_db
def test_secrets_of_addresses_forms_and_headers_stay_out(client: Client, lines: Lines) -> None:
    client.get(f"/nowhere/{SECRET}/pdf?token={SECRET}")
    client.get(f"/q/{SECRET}/")
    client.get(f"/calendar/{SECRET}.ics")
    for before, behind in (("", ")"), ("", ">"), ("", ","), ("", ";x"), ("=", ""), ("=3D=", ""), ("<", "]")):
        client.get(f"/q/{before}{SECRET}{behind}/")  # as a mail program may spoil an address
        client.get(f"/q/{SECRET}/quote.pdf{behind}")
    client.post("/accounts/login/", {"username": "rowan", "password": SECRET})
    client.get("/api/v1/quotes", headers={"Authorization": f"Bearer {SECRET}"})
    client.cookies["sessionid"] = SECRET
    client.get("/accounts/login/")
    assert len(lines.lines) >= 4
    assert SECRET not in "".join(lines.lines)


def test_a_failure_is_one_line_with_its_trace() -> None:
    record = logging.LogRecord("shop", logging.ERROR, __file__, 1, "pour %s\nfailed", ("A",), None)
    line = JsonFormatter().format(record)
    assert "\n" not in line
    assert json.loads(line)["message"] == "pour A\nfailed"


def test_what_else_hangs_on_a_record_is_not_written() -> None:
    record = logging.LogRecord("shop", logging.INFO, __file__, 1, "hello", (), None)
    record.password = SECRET
    assert SECRET not in JsonFormatter().format(record)
