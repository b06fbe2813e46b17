"""Tokens: shown once, kept as a hash, never wider than the person, ended by time, hand or leaving."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from datetime import timedelta
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client as Browser
from django.utils import timezone
from rest_framework.test import APIClient

from shop.accounts.keys import make_token
from shop.accounts.models import AccessToken, Scope, User

AT = "/api/v1/clients"
People = Callable[[str], User]


def bearer(secret: str) -> APIClient:
    return APIClient(HTTP_AUTHORIZATION=f"Bearer {secret}", enforce_csrf_checks=True)


def made(user: User, scope: str = Scope.WRITE, days: int = 1) -> tuple[AccessToken, str]:
    return make_token(user, name="counter till", scope=scope, days=days, now=timezone.now())


def test_a_token_signs_in_without_a_session(person: People) -> None:
    _, secret = made(person("estimator"))
    assert bearer(secret).get(AT).status_code == 200
    assert bearer(secret).post(AT, {"name": "Village library"}).status_code == 201


def test_a_reading_token_changes_nothing(person: People) -> None:
    _, secret = made(person("owner"), Scope.READ)
    assert bearer(secret).get(AT).status_code == 200
    answer = bearer(secret).post(AT, {"name": "Village library"})
    assert (answer.status_code, answer.json()["code"]) == (403, "token_only_reads")


def test_never_wider_than_the_person(person: People) -> None:
    _, secret = made(person("owner"))
    assert bearer(secret).get("/api/v1/roles").status_code == 200
    User.objects.update(role="bench")
    assert bearer(secret).get("/api/v1/roles").status_code == 403


def spoil_time(token: AccessToken) -> None:
    AccessToken.objects.filter(pk=token.pk).update(expires_at=timezone.now())


def spoil_hand(token: AccessToken) -> None:
    AccessToken.objects.filter(pk=token.pk).update(revoked_at=timezone.now())


def spoil_person(token: AccessToken) -> None:
    User.objects.filter(pk=token.user_id).update(is_active=False)


@pytest.mark.parametrize("spoil", [spoil_time, spoil_hand, spoil_person])
def test_ended(person: People, spoil: Callable[[AccessToken], None]) -> None:
    token, secret = made(person("owner"))
    assert bearer(secret).get(AT).status_code == 200
    spoil(token)
    answer = bearer(secret).get(AT)
    assert (answer.status_code, answer["WWW-Authenticate"]) == (401, 'Bearer realm="api"')


@pytest.mark.parametrize("secret", ["", "ccc_guess", "x" * 5000, "é", "a b"])
def test_a_guess_is_nobody(person: People, secret: str) -> None:
    made(person("owner"))
    assert bearer(secret).get(AT).status_code == 401


def test_a_bad_token_does_not_fall_back_on_the_session(person: People) -> None:
    client = APIClient(HTTP_AUTHORIZATION="Bearer ccc_guess")
    client.force_login(person("owner"))
    assert client.get(AT).status_code == 401


def test_a_token_opens_no_page(person: People) -> None:
    _, secret = made(person("owner"))
    for page in ("/pieces/", "/admin/", "/accounts/tokens/"):
        assert bearer(secret).get(page).status_code == 302, page


def test_only_a_hash_is_kept(person: People) -> None:
    token, secret = made(person("owner"))
    kept = " ".join(str(value) for value in AccessToken.objects.filter(pk=token.pk).values()[0].values())
    assert secret not in kept
    assert secret.removeprefix("ccc_") not in kept
    assert re.search(r"\b[0-9a-f]{64}\b", kept)


def test_use_is_noted_now_and_then(person: People) -> None:
    token, secret = made(person("owner"))
    bearer(secret).get(AT)
    first = AccessToken.objects.get(pk=token.pk).used_at
    bearer(secret).get(AT)
    assert first is not None
    assert AccessToken.objects.get(pk=token.pk).used_at == first


def test_faults_of_a_token(person: People) -> None:
    with pytest.raises(ValidationError):
        made(person("owner"), days=0)
    with pytest.raises(ValidationError):
        made(person("owner"), days=367)
    with pytest.raises(ValidationError):
        made(person("owner"), scope="all")


# --- the page ----------------------------------------------------------------------------------------------
def browser(user: User) -> Browser:
    client = Browser()
    client.force_login(user)
    return client


def test_the_page_shows_a_secret_once(person: People) -> None:
    client = browser(person("bench"))
    form = {"name": "bench tablet", "scope": "write", "days": "30"}
    answer = client.post("/accounts/tokens/", form)
    (secret,) = re.findall(r">(ccc_[\w-]+)</code>", answer.content.decode())
    assert "no-store" in answer["Cache-Control"]
    assert bearer(secret).get("/api/v1/schema").status_code == 200
    again = client.get("/accounts/tokens/").content.decode()
    assert "bench tablet" in again
    assert secret not in again
    assert AccessToken.objects.get().expires_at - AccessToken.objects.get().made_at == timedelta(days=30)


def test_the_page_says_what_is_wrong(person: People) -> None:
    answer = browser(person("bench")).post("/accounts/tokens/", {"name": "", "scope": "all", "days": "900"})
    assert answer.content.count(b'class="errorlist"') == 3
    assert not AccessToken.objects.exists()


def test_another_persons_tokens_are_his(person: People) -> None:
    token, secret = made(person("owner"))
    client = browser(person("estimator"))
    assert b"counter till" not in client.get("/accounts/tokens/").content
    client.post(f"/accounts/tokens/{token.pk}/revoke/")
    assert bearer(secret).get(AT).status_code == 200
    browser(person("owner")).post(f"/accounts/tokens/{token.pk}/revoke/")
    assert bearer(secret).get(AT).status_code == 401


# --- the command -------------------------------------------------------------------------------------------
def test_the_command_prints_a_secret_and_ends_all(person: People) -> None:
    user, out = person("owner"), StringIO()
    call_command("token", user.username, "--scope", "read", "--days", "2", stdout=out)
    secret = out.getvalue().strip()
    assert bearer(secret).get(AT).status_code == 200
    call_command("token", user.username, "--revoke-all", stdout=out)
    assert bearer(secret).get(AT).status_code == 401


@pytest.mark.parametrize("words", [("nobody",), ("owner-rowan", "--days", "0")])
def test_the_command_refuses(person: People, words: tuple[str, ...]) -> None:
    person("owner")
    with pytest.raises(CommandError):
        call_command("token", *words)


# --- secrets stay out of the log ---------------------------------------------------------------------------
def test_no_secret_is_logged(person: People, caplog: pytest.LogCaptureFixture) -> None:
    user = person("owner")
    _, secret = made(user)
    caplog.set_level(logging.DEBUG)
    bearer(secret).get(AT)
    bearer(secret + "x").get(AT)
    bearer(secret).post(AT, {"name": ""})
    page = Browser()
    page.post("/accounts/login/", {"username": user.username, "password": "guessed-pass-phrase"})
    page.post("/accounts/login/", {"username": user.username, "password": "a long pass phrase"})
    records = [record for record in caplog.records if not record.name.startswith("django.db")]
    said = "\n".join(f"{record.getMessage()} {vars(record)}" for record in records)
    assert "Unauthorized" in said
    for kept_quiet in (secret, "guessed-pass-phrase", "a long pass phrase", user.password):
        assert kept_quiet not in said
