"""Guessing a password soon means waiting, for the guesser and not for the shop."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client, RequestFactory
from pytest_django import Settings

from quoting.web.visitor import line_of, visitor
from shop.accounts import throttle
from shop.accounts.models import FailedSignIn, User

pytestmark = pytest.mark.django_db
PASSWORD = "trowel-and-float-9"
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HERE, ELSEWHERE = "192.0.2.1", "192.0.2.2"


def fail(times: int, username: str = "ida", address: str = HERE) -> None:
    for _ in range(times):
        throttle.record_failure(username, address, NOW)


def test_five_failures_mean_waiting() -> None:
    fail(throttle.MOST_FOR_USERNAME - 1)
    assert not throttle.is_blocked("ida", HERE, NOW)
    fail(1, username="IDA")
    assert throttle.is_blocked("ida", HERE, NOW)


def test_a_stranger_does_not_lock_the_owner_out() -> None:
    fail(throttle.MOST_FOR_USERNAME, address=ELSEWHERE)
    assert not throttle.is_blocked("ida", HERE, NOW)


def test_one_password_on_many_names_means_waiting() -> None:
    for number in range(throttle.MOST_FOR_ADDRESS):
        fail(1, username=f"name-{number}")
    assert throttle.is_blocked("another", HERE, NOW)


def test_the_wait_ends_and_nothing_is_kept() -> None:
    fail(throttle.MOST_FOR_USERNAME)
    later = NOW + throttle.WINDOW + timedelta(seconds=1)
    assert not throttle.is_blocked("ida", HERE, later)
    throttle.record_failure("bo", HERE, later)
    assert FailedSignIn.objects.count() == 1


def test_a_clock_set_back_keeps_nobody_out_for_longer() -> None:
    fail(throttle.MOST_FOR_USERNAME)
    assert throttle.is_blocked("ida", HERE, NOW - timedelta(seconds=30)), (
        "two machines' clocks differ a little"
    )
    back = NOW - timedelta(hours=2)
    assert not throttle.is_blocked("ida", HERE, back)
    throttle.record_failure("ida", HERE, back)
    assert FailedSignIn.objects.count() == 1


def test_the_page_counts_and_then_refuses_even_the_right_password(client: Client) -> None:
    User.objects.create_user("ida", PASSWORD)
    wrong = {"username": "ida", "password": "guess"}
    for _ in range(throttle.MOST_FOR_USERNAME):
        assert client.post("/accounts/login/", wrong).status_code == 200
    answer = client.post("/accounts/login/", {"username": "ida", "password": PASSWORD})
    assert b"Too many attempts" in answer.content
    assert "_auth_user_id" not in client.session


def test_success_starts_the_count_anew(client: Client) -> None:
    User.objects.create_user("ida", PASSWORD)
    client.post("/accounts/login/", {"username": "ida", "password": "guess"})
    assert FailedSignIn.objects.count() == 1
    client.post("/accounts/login/", {"username": "ida", "password": PASSWORD})
    assert FailedSignIn.objects.count() == 0


def test_behind_a_proxy_its_own_word_counts_not_the_visitors(settings: Settings) -> None:
    request = RequestFactory().get(
        "/", REMOTE_ADDR="127.0.0.1", headers={"x-forwarded-for": f"{ELSEWHERE}, {HERE}"}
    )
    settings.BEHIND_PROXY = False
    assert visitor(request) == "127.0.0.1"
    settings.BEHIND_PROXY = True
    assert visitor(request) == HERE


@pytest.mark.parametrize(
    ("written", "counted"),
    [
        ("192.0.2.1", "192.0.2.1"),
        ("192.0.2.1:51234", "192.0.2.1"),
        ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ("[2001:db8:1:2:ffff::9]:443", "2001:db8:1:2::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("::ffff:192.0.2.1", "192.0.2.1"),
        ("", ""),
        ("unknown", "unknown"),
        ("x" * 99, "x" * 45),
    ],
)
def test_every_address_of_one_line_counts_as_one(written: str, counted: str) -> None:
    """A line with IPv6 has 2^64 addresses to guess from; a proxy may add the port, another each time."""
    assert line_of(written) == counted


def test_guesses_from_one_line_add_up(client: Client, settings: Settings) -> None:
    settings.BEHIND_PROXY = True
    for number in range(throttle.MOST_FOR_USERNAME + 1):
        answer = client.post(
            "/accounts/login/",
            {"username": "ida", "password": "guess"},
            headers={"x-forwarded-for": f"2001:db8:1:2::{number}"},
        )
    assert b"Too many attempts" in answer.content


def test_the_password_is_not_guessed_where_it_is_changed(client: Client) -> None:
    person = User.objects.create_user("ida", PASSWORD)
    client.force_login(person)
    new = {"new_password1": "float-and-trowel-9", "new_password2": "float-and-trowel-9"}
    for _ in range(throttle.MOST_FOR_USERNAME):
        client.post("/accounts/password/", {"old_password": "guess", **new})
    answer = client.post("/accounts/password/", {"old_password": PASSWORD, **new})
    assert b"Too many attempts" in answer.content
    person.refresh_from_db()
    assert person.check_password(PASSWORD)


def test_admin_has_no_door_of_its_own(client: Client) -> None:
    assert client.get("/admin/login/?next=/admin/").headers["Location"] == "/accounts/login/?next=/admin/"
