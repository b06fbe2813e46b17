"""A person has one role, and it says what he may do."""

import pytest
from django.core.management import call_command
from django.db import IntegrityError
from django.test import Client

from shop.accounts.models import Role, User

pytestmark = pytest.mark.django_db


def test_least_by_default() -> None:
    person = User.objects.create_user("bo", "trowel-and-float-9", email="bo@WORKSHOP.example")
    assert (person.role, person.is_owner, person.is_staff) == (Role.BENCH, False, False)
    assert person.email == "bo@workshop.example"
    assert person.check_password("trowel-and-float-9")


def test_names() -> None:
    assert User(username="bo").get_full_name() == "bo"
    assert User(username="bo", name="Bo Lind").get_short_name() == "Bo"


def test_without_a_password_nobody_signs_in() -> None:
    assert not User.objects.create_user("bo").has_usable_password()


def test_command_makes_an_owner(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "trowel-and-float-9")
    call_command("createsuperuser", username="ida", interactive=False, verbosity=0)
    assert User.objects.get(username="ida").is_owner


def test_a_user_needs_a_name() -> None:
    with pytest.raises(ValueError, match="needs a username"):
        User.objects.create_user("")


def test_unknown_role_is_refused_by_the_database() -> None:
    with pytest.raises(IntegrityError):
        User.objects.create_user("bo", role="visitor")


@pytest.mark.parametrize("role", [Role.ESTIMATOR, Role.BENCH])
def test_admin_is_the_owners(client: Client, role: Role) -> None:
    client.force_login(User.objects.create_user("bo", role=role))
    assert client.get("/admin/accounts/user/").status_code == 302


def test_an_owner_who_left_has_no_rights() -> None:
    left = User.objects.create_user("ida", role=Role.OWNER, is_active=False)
    assert not left.is_staff
    assert not left.has_perm("accounts.change_user")


def test_owner_keeps_people_in_admin(client: Client) -> None:
    client.force_login(User.objects.create_user("ida", role=Role.OWNER))
    password = "screed-board-17"
    form = {
        "username": "bo",
        "name": "Bo Lind",
        "role": "bench",
        "password1": password,
        "password2": password,
    }
    made = client.post("/admin/accounts/user/add/", {**form, "usable_password": "true"})
    assert made.status_code == 302
    person = User.objects.get(username="bo")
    assert person.check_password(password)
    page = client.get(f"/admin/accounts/user/{person.pk}/change/")
    assert page.status_code == 200
    assert person.password.encode() not in page.content
    assert client.get("/admin/accounts/user/?q=bo").status_code == 200


def test_the_only_owner_stays_one(client: Client) -> None:
    """Else nobody could give the role back but by a command."""
    ida, bo = (User.objects.create_user(name, role=Role.OWNER) for name in ("ida", "bo"))
    client.force_login(ida)
    at = f"/admin/accounts/user/{ida.pk}/"
    bench = {"username": "ida", "role": "bench", "is_active": "on"}
    User.objects.filter(pk=bo.pk).update(is_active=False)
    assert b"the only owner" in client.post(f"{at}change/", bench).content
    assert b"the only owner" in client.post(f"{at}change/", {"username": "ida", "role": "owner"}).content
    assert client.post(f"{at}delete/", {"post": "yes"}).status_code == 403
    ida.refresh_from_db()
    assert ida.is_owner and ida.is_active
    User.objects.filter(pk=bo.pk).update(is_active=True)
    assert client.post(f"{at}change/", bench).status_code == 302
