"""What protects the site: headers, cookies, checks, sessions, passwords; and who changed what."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.test import Client

from catalog.models import MaterialPrice, OperationStandard, RoleRate
from shop.accounts.models import User
from shop.checks import no_demo_accounts
from shop.demo import load_demo
from shop.scenario import DEMO_PASSWORD
from tests.site.test_settings import PRODUCTION, manage

GOOD = "trowel-and-float-9"


@pytest.fixture
def ida(db: None) -> User:
    return User.objects.create_user("ida", GOOD, role="owner")


# --- deployment checks -------------------------------------------------------------------------------------
def test_a_demo_account_stops_deployment(db: None) -> None:
    assert no_demo_accounts(None) == []
    user = User.objects.create_user("demo", DEMO_PASSWORD, role="owner")
    (found,) = no_demo_accounts(None)
    assert (found.id, "demo" in found.msg) == ("site.E001", True)
    user.set_password(GOOD)
    user.save()
    assert no_demo_accounts(None) == []


def test_check_deploy_of_a_site_with_the_demo_in_it(tmp_path: Path) -> None:
    code = (
        "from django.core.management import call_command as call; call('migrate', verbosity=0);"
        "from shop.accounts.models import User; from shop.scenario import DEMO_PASSWORD as word;"
        "User.objects.create_user('demo', word, role='owner')"
    )
    assert manage(["shell", "--no-imports", "-c", code], {}, tmp_path).returncode == 0
    done = manage(["check", "--deploy", "--fail-level", "WARNING"], PRODUCTION, tmp_path)
    assert done.returncode != 0
    assert "site.E001" in done.stderr
    with sqlite3.connect(tmp_path / "workshop.sqlite3") as rows:
        rows.execute("DELETE FROM accounts_user")
    done = manage(["check", "--deploy", "--fail-level", "WARNING"], PRODUCTION, tmp_path)
    assert done.returncode == 0, done.stderr


# --- headers -----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "at", ["/accounts/login/", "/accounts/tokens/", "/api/v1/terms", "/api/v1/docs", "/nowhere"]
)
def test_headers_of_every_answer(client: Client, ida: User, at: str) -> None:
    client.force_login(ida)
    answer = client.get(at)
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "script-src 'self'" in policy
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"
    for inline in (b"<style", b" style=", b" onclick=", b"<script>"):
        assert inline not in answer.content


def test_production_speaks_https_only(tmp_path: Path) -> None:
    code = (
        "from django.test import Client as C; from django.conf import settings as s;"
        "a = C(headers={'host': 'shop.example'}).get('/accounts/login/');"
        "b = C(headers={'host': 'shop.example'}).get('/accounts/login/', secure=True) if s.PRODUCTION else a;"
        "print(a.status_code, a['Location'], b['Strict-Transport-Security'],"
        " s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SESSION_COOKIE_HTTPONLY,"
        " s.SESSION_COOKIE_SAMESITE)"
    )
    manage(["collectstatic", "--noinput", "--verbosity", "0"], PRODUCTION, tmp_path)
    done = manage(["shell", "--no-imports", "-c", code], PRODUCTION, tmp_path)
    assert done.stdout.split() == [
        "301",
        "https://shop.example/accounts/login/",
        "max-age=31536000;",
        "includeSubDomains;",
        "preload",
        "True",
        "True",
        "True",
        "Lax",
    ], done.stderr


# --- sessions and passwords --------------------------------------------------------------------------------
@pytest.mark.parametrize("weak", ["short-1", "1234567890123", "password1234", "ida-the-owner"])
def test_weak_passwords_are_refused(weak: str) -> None:
    with pytest.raises(ValidationError):
        validate_password(weak, User(username="ida-the-owner"))


def test_signing_in_changes_the_sessions_key(client: Client, ida: User) -> None:
    client.get("/accounts/login/")
    session = client.session
    session["before"] = 1
    session.save()
    client.cookies[settings.SESSION_COOKIE_NAME] = str(session.session_key)
    client.post("/accounts/login/", {"username": "ida", "password": GOOD})
    assert client.cookies[settings.SESSION_COOKIE_NAME].value != session.session_key
    assert client.get("/accounts/tokens/").status_code == 200


def test_signing_out_ends_it_for_good(client: Client, ida: User) -> None:
    client.force_login(ida)
    kept = client.cookies[settings.SESSION_COOKIE_NAME].value
    client.post("/accounts/logout/")
    client.cookies[settings.SESSION_COOKIE_NAME] = kept
    assert client.get("/accounts/tokens/").status_code == 302


def test_a_new_password_ends_other_sessions(ida: User) -> None:
    here, elsewhere = Client(), Client()
    here.force_login(ida)
    elsewhere.force_login(ida)
    new = "screed-board-17"
    form = {"old_password": GOOD, "new_password1": new, "new_password2": new}
    assert here.post("/accounts/password/", {**form, "old_password": "guess"}).status_code == 200
    assert elsewhere.get("/accounts/tokens/").status_code == 200
    assert here.post("/accounts/password/", form).status_code == 302
    assert here.get("/accounts/tokens/").status_code == 200
    assert elsewhere.get("/accounts/tokens/").status_code == 302


def test_who_left_is_out_at_once(client: Client, ida: User) -> None:
    client.force_login(ida)
    User.objects.update(is_active=False)
    assert client.get("/accounts/tokens/").status_code == 302
    assert client.get("/api/v1/terms").status_code == 401


def test_sessions_end_by_themselves() -> None:
    assert settings.SESSION_COOKIE_AGE <= 14 * 24 * 3600


# --- who changed what --------------------------------------------------------------------------------------
def test_prices_pay_standards_and_quotes_name_who_changed_them(client: Client, ida: User) -> None:
    demo = load_demo("metric", on=date(2026, 3, 2))
    client.force_login(ida)
    sent: dict[str, Any] = {"content_type": "application/json"}
    for at, document in (
        ("materials/BOARD-18/prices", {"price": "70.50"}),
        ("roles/MAKER/rates", {"pay_per_hour": "25.00"}),
        ("operations/CUT-MOULD/standards", {"setup_hours": 0.4}),
    ):
        answer = client.post(f"/api/v1/{at}", document, **sent)
        assert answer.status_code == 201, answer.content
    for model in (MaterialPrice, RoleRate, OperationStandard):
        newest = model._default_manager.order_by("-entered_at", "-pk")[:1].get()
        assert newest.entered_by == "ida"
        assert newest.entered_at is not None
    quote = demo.issued.quote
    answer = client.post(f"/api/v1/quotes/{quote.pk}/withdraw", {"reason": "asked to"}, **sent)
    assert answer.status_code == 200, answer.content
    told = [(event.kind, event.by and event.by.username) for event in quote.events.order_by("pk")]
    assert told[0] == ("drafted", "demo")
    assert ("withdrawn", "ida") in told
    assert all(by for _, by in told)
