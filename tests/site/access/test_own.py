"""Whose it is decides: another's time, draw, token, calendar; another client's link."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal

import pytest
from django.db import transaction
from django.test import Client as Browser
from django.utils import timezone

from quoting.models import CalendarFeed, ClientLink, Quote
from quoting.services.links import create_calendar, create_link, revoke_links
from shop.accounts.keys import make_token
from shop.accounts.models import AccessToken, User
from shop.jobs.models import Draw, TimeEntry
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.services.time import Work, add_minutes
from tests.site.access.conftest import DAY, World

pytestmark = pytest.mark.django_db
NOT_MINE = (403, 404)


@contextmanager
def undone() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture
def ash(world: World) -> User:
    """Another at the bench."""
    return User.objects.create_user("ash", "a long pass phrase", role="bench")


@pytest.fixture
def entry(world: World) -> TimeEntry:
    """Half an hour of the bench's own."""
    work = Work(world.job.pieces.get().operations.order_by("pk")[:1].get())
    mine, now = world.people["b"], timezone.now()
    return add_minutes(world.job, work, person=mine, minutes=Decimal(30), worked_on=DAY, now=now)


@pytest.fixture
def draw(world: World) -> Draw:
    """A bag that the bench took."""
    drawn = Drawn(Decimal(1), "bought", name="Van", amount=Decimal(9))
    return record_draw(world.job, drawn, on=DAY, by=world.people["b"], now=timezone.now())


def browser_of(user: User) -> Browser:
    found = Browser(raise_request_exception=False)
    found.force_login(user)
    return found


def every_way(world: World, entry: TimeEntry, draw: Draw) -> list[tuple[str, str, dict[str, str]]]:
    """Each address and method that reads, changes or strikes out an entry."""
    api, page = f"/api/v1/jobs/{world.job.pk}", f"/jobs/{world.job.number}"
    change, out = {"minutes": "45", "reason": "Longer"}, {"reason": "Out"}
    return [
        ("GET", f"{api}/time/{entry.pk}", {}),
        ("PATCH", f"{api}/time/{entry.pk}", change),
        ("POST", f"{api}/time/{entry.pk}", out),
        ("GET", f"{api}/draws/{draw.pk}", {}),
        ("PATCH", f"{api}/draws/{draw.pk}", {"quantity": "2", "reason": "Two"}),
        ("POST", f"{api}/draws/{draw.pk}", out),
        ("POST", f"{page}/time/{entry.pk}", out | {"do": "strike-out"}),
        ("POST", f"{page}/draws/{draw.pk}", out | {"do": "strike-out"}),
    ]


def status(browser: Browser, method: str, at: str, body: dict[str, str]) -> int:
    if at.startswith("/api/") and method != "GET":
        kind = "application/json"
        send = getattr(browser, method.lower())
        return int(send(at, body, content_type=kind, headers={"if-match": "*"}).status_code)
    return int(getattr(browser, method.lower())(at, body).status_code)


def test_entries_of_another_are_neither_read_nor_touched(
    world: World, ash: User, entry: TimeEntry, draw: Draw
) -> None:
    for method, at, body in every_way(world, entry, draw):
        with undone():
            assert status(browser_of(ash), method, at, body) in NOT_MINE, (method, at)
            entry.refresh_from_db()
            draw.refresh_from_db()
            assert (entry.seconds, entry.struck_out) == (1800, False)
            assert (draw.quantity, draw.struck_out) == (Decimal(1), False)
        with undone():
            assert status(world.browser("b"), method, at, body) in (200, 302), (method, at)
        with undone():
            assert status(world.browser("-"), method, at, body) in (302, 401, 403), (method, at)


def test_an_entry_is_found_under_its_own_job_alone(world: World, entry: TimeEntry) -> None:
    other = Quote.objects.order_by("pk")[:1].get().pk + world.job.pk + 1000
    assert world.browser("o").get(f"/api/v1/jobs/{other}/time/{entry.pk}").status_code == 404


def test_a_timer_of_another_runs_on(world: World, ash: User) -> None:
    """Stopping is by person: there is no way to name somebody else's."""
    operation = world.job.pieces.get().operations.order_by("pk")[:1].get()
    base = f"/api/v1/jobs/{world.job.pk}/time"
    body = {"operation": operation.pk, "key": "b1"}
    mine = world.browser("b").post(f"{base}/start", body, content_type="application/json")
    assert mine.status_code == 201, mine.content
    stop = {"person": world.people["b"].pk}
    answer = browser_of(ash).post(f"{base}/stop", stop, content_type="application/json")
    assert answer.status_code >= 400
    assert TimeEntry.objects.get(pk=mine.json()["id"]).seconds is None


def test_a_token_of_another_is_not_seen_and_not_ended(world: World, ash: User) -> None:
    token, _ = make_token(
        world.people["o"], name="The owner's till", scope="read", days=3, now=timezone.now()
    )
    browser = browser_of(ash)
    assert "The owner&#x27;s till" not in browser.get("/accounts/tokens/").content.decode()
    browser.post(f"/accounts/tokens/{token.pk}/revoke/")
    assert AccessToken.objects.get(pk=token.pk).revoked_at is None
    assert "The owner&#x27;s till" in world.browser("o").get("/accounts/tokens/").content.decode()


def test_a_new_calendar_address_ends_ones_own_alone(world: World, ash: User) -> None:
    of_owner = create_calendar(world.people["o"], now=timezone.now())
    of_ash = create_calendar(ash, now=timezone.now())
    create_calendar(ash, now=timezone.now())
    stranger = world.browser("-")
    assert stranger.get(f"/calendar/{of_owner}.ics").status_code == 200
    assert stranger.get(f"/calendar/{of_ash}.ics").status_code == 404
    User.objects.filter(pk=world.people["o"].pk).update(is_active=False)
    assert stranger.get(f"/calendar/{of_owner}.ics").status_code == 404
    assert CalendarFeed.objects.filter(user=ash, revoked_at=None).count() == 1


def test_a_clients_link_opens_its_own_quote_alone(world: World) -> None:
    now = timezone.now()
    first, second = (create_link(world.issued, now=now) for _ in range(2))
    stranger = world.browser("-")
    page = stranger.get(f"/q/{first[1]}/").content.decode()
    assert str(world.issued.number) in page
    assert stranger.get(f"/q/{first[1][:-1]}/").status_code == 404
    assert stranger.get(f"/q/{first[0].token_sha256}/").status_code == 404
    assert stranger.get(f"/quotes/{world.issued.pk}/").status_code == 302
    revoke_links(world.issued, now=now)
    for _, token in (first, second):
        assert stranger.get(f"/q/{token}/").status_code == 404
        assert stranger.get(f"/q/{token}/quote.pdf").status_code == 404
        assert stranger.post(f"/q/{token}/", {"do": "ask", "question": "?"}).status_code == 404


def test_secrets_are_kept_as_hashes(world: World) -> None:
    _, token = create_link(world.issued, now=timezone.now())
    secret = create_calendar(world.people["o"], now=timezone.now())
    _, key = make_token(world.people["o"], name="till", scope="read", days=3, now=timezone.now())
    rows = [*ClientLink.objects.values(), *CalendarFeed.objects.values(), *AccessToken.objects.values()]
    assert not any(said in str(rows) for said in (token, secret, key))
