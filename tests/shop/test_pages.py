"""The frame of the site: who gets in, what every answer carries, what is said when something is wrong."""

import re

import pytest
from django.conf import settings
from django.test import Client
from pytest_django import Settings

from shop.accounts.models import Role, User

pytestmark = pytest.mark.django_db
PASSWORD = "trowel-and-float-9"


@pytest.fixture
def owner() -> User:
    return User.objects.create_user("ida", PASSWORD, role=Role.OWNER)


def test_home_leads_to_the_pieces(client: Client, owner: User) -> None:
    client.force_login(owner)
    assert client.get("/").headers["Location"] == "/pieces/"


def test_home_leads_the_bench_hand_to_the_bench(client: Client) -> None:
    client.force_login(User.objects.create_user("sorrel", PASSWORD, role=Role.BENCH))
    assert client.get("/", follow=True).redirect_chain == [("/bench/", 302)]


@pytest.mark.parametrize("address", ["/", "/admin/"])
def test_strangers_are_sent_to_sign_in(client: Client, address: str) -> None:
    answer = client.get(address, follow=True)
    assert answer.redirect_chain[-1][0].startswith("/accounts/login/")
    assert answer.status_code == 200


def test_sign_in_and_out(client: Client, owner: User) -> None:
    signed_in = client.post("/accounts/login/", {"username": "ida", "password": PASSWORD})
    assert signed_in.headers["Location"] == "/"
    assert client.get("/").status_code == 302
    client.post("/accounts/logout/")
    assert client.get("/").headers["Location"] == "/accounts/login/?next=/"


@pytest.mark.parametrize(
    "address",
    [
        *("/accounts/login/", "/accounts/password/", "/accounts/tokens/"),
        *(
            "/prices/materials/new",
            "/prices/mixes/new",
            "/prices/operations/new",
            "/prices/terms",
            "/prices/logo",
        ),
        *("/quotes/new", "/clients/new", "/pieces/new?example=hearth", "/jobs/new", "/prices/"),
    ],
)
def test_labels_stand_without_a_colon(client: Client, owner: User, address: str) -> None:
    if "login" not in address:
        client.force_login(owner)
    labels = re.findall(r"<label[^>]*>(.*?)</label>", client.get(address).content.decode(), re.S)
    assert labels
    assert not [text for text in labels if text.strip().endswith(":")]


def test_nothing_inline_and_nothing_from_elsewhere(client: Client) -> None:
    policy = client.get("/accounts/login/").headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_unknown_address_is_a_page(client: Client, owner: User) -> None:
    client.force_login(owner)
    answer = client.get("/nowhere/")
    assert answer.status_code == 404
    assert b"nothing at this address" in answer.content


def test_unknown_api_address_is_a_problem_document(client: Client) -> None:
    answer = client.get("/api/v1/nowhere/")
    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["status"] == 404


@pytest.mark.parametrize("address", ["/accounts/login/", "/api/v1/schema"])
def test_a_huge_body_is_turned_away(client: Client, address: str) -> None:
    body = b"x" * (10 * 1024 * 1024)
    assert client.post(address, body, content_type="application/json").status_code == 413


def test_a_body_at_the_limit_is_read(client: Client, settings: Settings) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    answer = client.post("/accounts/login/", b"x" * 100, content_type="text/plain")
    assert answer.status_code == 200


def test_a_stale_form_is_explained(owner: User) -> None:
    answer = Client(enforce_csrf_checks=True).post("/accounts/login/", {"username": "ida"})
    assert answer.status_code == 403
    assert b"load it again" in answer.content


def test_failure_shows_no_cause(client: Client, owner: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the colour of the safe is green")

    monkeypatch.setattr("drf_spectacular.views.SpectacularAPIView.get", fail)
    client.force_login(owner)
    client.raise_request_exception = False
    answer = client.get("/api/v1/schema")
    assert answer.status_code == 500
    assert answer.json()["status"] == 500
    assert b"green" not in answer.content


def test_schema_is_for_people_of_the_shop(client: Client, owner: User) -> None:
    assert client.get("/api/v1/schema").status_code == 401
    client.force_login(owner)
    answer = client.get("/api/v1/schema?format=json")
    assert answer.json()["openapi"].startswith("3.1")


def test_passwords_are_kept_by_argon2() -> None:
    from shop import settings as ours

    assert ours.PASSWORD_HASHERS[0].endswith("Argon2PasswordHasher")
    assert settings.AUTH_USER_MODEL == "accounts.User"
