"""Every page of the site, from the URL configuration: a new one is walked unless it is excepted here."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from http import HTTPStatus
from typing import Any

import pytest
from django.test import RequestFactory
from django.utils import timezone

from quoting.models import Quote, SavedPiece
from quoting.services.links import create_link
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.accounts.models import User
from shop.error_pages import bad_request, csrf_failure, plain_answer
from shop.jobs.models import PlannedOperation
from shop.jobs.planning import OperationPlan
from shop.jobs.services.jobs import PieceWanted, close_job, open_by_hand
from shop.jobs.services.time import Work, add_minutes
from tests.browser.conftest import Doing, Visit, emptied
from tests.site.access.conftest import World, built_world, routes
from tests.site.access.rules import RULES

LEADS_ON = "leads on to another page"
NOT_PAGES = {
    "": LEADS_ON,
    "admin/login/": LEADS_ON,
    "healthz": "one line for machines",
    "bench/worker.js": "script",
    "pieces/<int:pk>/document.json": "file",
    "quotes/list.csv": "file",
    "pieces/list.csv": "file",
    "clients/list.csv": "file",
    "jobs/list.csv": "file",
    "jobs/time.csv": "file",
    "outbox/list.csv": "file",
    "look-back/hours.csv": "file",
    "look-back/breakage.csv": "file",
    "look-back/margins.csv": "file",
    "look-back/months.csv": "file",
    "prices/list.csv": "file",
    "prices/shelf/list.csv": "file",
    "prices/mixes/list.csv": "file",
    "prices/roles/list.csv": "file",
    "prices/operations/list.csv": "file",
    "prices/changes/list.csv": "file",
    "quotes/to-buy.pdf": "file",
    "quotes/to-buy.csv": "file",
    "quotes/<int:pk>/paper.pdf": "file",
    "quotes/<int:pk>/traveller.pdf": "file",
    "quotes/<int:pk>/buying-list.pdf": "file",
    "q/<str:token>/quote.pdf": "file",
    "calendar/<str:secret>.ics": "file",
    "jobs/<str:number>/report.pdf": "file",
    "jobs/<str:number>/report.csv": "file",
    "jobs/<str:number>/report.json": "file",
    "jobs/<str:number>/photographs/<int:photograph>": "picture",
    "prices/logo/picture": "picture",
    "q/<str:token>/logo": "picture",
}
"""Addresses that answer GET without being a page, and why; what they answer is looked at too."""
OF_DRAFTS = ("/issue", "/delete")
COLONS = "[...document.querySelectorAll('label')].filter(one => one.textContent.trim().endsWith(':')).length"
PROBE = "[document.querySelectorAll('h1').length, document.title, document.querySelectorAll('main').length]"
ONE_OF_EACH = [1, 1]
NOTHING_FOUND = ("/pieces/?search=nowhere", "/quotes/?search=nowhere", "/clients/?search=nowhere")
SHARES = 3


@dataclass(frozen=True)
class Shop:
    """The world of the access tests, with a quote that is out today and a job that is closed."""

    world: World
    out: Quote
    token: str

    def addresses(self, route: str) -> list[str]:
        """The addresses of a route: a quote's page is walked as a draft and as issued."""
        own = self.world.address(route)
        if not route.startswith("quotes/<int:pk>/") or route.endswith(OF_DRAFTS):
            return [own.replace(self.world.values["token"], self.token)]
        issued = f"/{route.replace('<int:pk>', str(self.out.pk))}"
        return [own, issued] if route == "quotes/<int:pk>/" else [issued]


@pytest.fixture
def shop(live_server: Any) -> Iterator[Shop]:
    world = built_world()
    today, owner = timezone.localdate(), world.people["o"]
    revision = SavedPiece.objects.order_by("-pk")[:1].get().revisions.order_by("-number")[:1].get()
    draft = draft_quote(
        world.draft.client, title="Out", quoted_on=today, items=(ItemWanted(revision),), by=owner
    )
    out = issue_quote(draft, on=today, by=owner).quote
    close_job(world.job, on=today, by=owner)
    for number in range(3):  # enough for the look-back to suggest something
        _closed(number, owner)
    yield Shop(world, out, create_link(out, now=timezone.now(), by=owner)[1])
    emptied()


def _closed(number: int, by: User) -> None:
    """A job worked off, half as long again as planned."""
    today = timezone.localdate()
    plan = OperationPlan("CAST", "Mix and cast", "cast", "MAKER", 1, Decimal(4), Decimal(20), Decimal(80))
    job = open_by_hand(
        title=f"Step {number}", on=today, pieces=[PieceWanted("Step", operations=[plan])], by=by
    )
    work = Work(PlannedOperation.objects.get(piece__job=job))
    add_minutes(job, work, person=by, minutes=Decimal(360), worked_on=today, now=timezone.now())
    close_job(job, on=today, by=by)


def pages(who: str) -> list[str]:
    """Routes of pages that somebody may open."""
    return [
        route
        for route in routes()
        if who in RULES.get(route, {}).get("GET", "")
        and route not in NOT_PAGES
        and (not route.startswith("api/v1/") or route == "api/v1/docs")
    ]


def called(address: str) -> str:
    """A file's name for a page's pictures."""
    short = re.sub(r"[A-Za-z0-9_-]{40,}", "secret", address)
    return re.sub(r"[^a-z0-9]+", "-", short.lower()).strip("-") or "home"


def looked_at(visit: Visit, address: str) -> None:
    """Once through axe on a phone, its contrast in the dark at a desk; both widths fit; one head, a title."""
    visit.go(address)
    name = called(address)
    heads, title, mains = visit.page.evaluate(PROBE)
    if [heads, mains] != ONE_OF_EACH or not title:
        visit.faults.append(f"{name}: {heads} heads, {mains} main parts, titled “{title}”")
    if visit.page.evaluate(COLONS):
        visit.faults.append(f"{name}: a label with a colon behind")
    visit.checked(name)
    visit.page.emulate_media(color_scheme="dark")
    visit.resize("desk")
    visit.checked(name, "color-contrast")
    visit.page.emulate_media(color_scheme="light")
    visit.resize("phone")


@pytest.mark.parametrize("share", range(SHARES))
def test_the_owner_and_a_stranger_can_use_every_page(walk: Doing, shop: Shop, share: int) -> None:
    """Looked at whole, in shares that may be walked side by side."""
    whole = [("o", one) for one in (*_addresses(shop, "o"), *NOTHING_FOUND)]
    assert len(whole) > 45
    whole += [("-", one) for one in _addresses(shop, "-")]
    sessions = _sessions(shop)

    def steps(visit: Visit) -> None:
        for who, address in whole[share::SHARES]:
            visit.become(sessions[who])
            looked_at(visit, address)

    walk(steps, "phone")


def test_the_others_can_use_every_page(walk: Doing, shop: Shop) -> None:
    """They have the owner's templates, with less on them."""
    sessions = _sessions(shop)

    def steps(visit: Visit) -> None:
        for who in "eb":
            visit.become(sessions[who])
            for address in _addresses(shop, who):
                glanced_at(visit, who, address)
        visit.become(sessions["o"])
        no_page_behind(visit, [one for route in NOT_PAGES if route in RULES for one in shop.addresses(route)])

    walk(steps, "phone")


def _addresses(shop: Shop, who: str) -> list[str]:
    return [one for route in pages(who) for one in shop.addresses(route)]


def _sessions(shop: Shop) -> dict[str, str]:
    return shop.world.sessions | {"-": ""}


def glanced_at(visit: Visit, who: str, address: str) -> None:
    """It comes, fits a phone and has one head."""
    visit.go(address)
    visit.fits(f"{who} {address}")
    if visit.page.evaluate(PROBE)[0] != 1:
        visit.faults.append(f"{who} {address}: not one head")


def no_page_behind(visit: Visit, addresses: list[str]) -> None:
    """What is excepted answers, and with no page."""
    for address in addresses:
        answer = visit.page.context.request.get(visit.address + address, max_redirects=0)
        page = "html" in answer.headers.get("content-type", "")
        if answer.status >= 400 or (page and not 300 <= answer.status < 400):
            visit.faults.append(f"{address}: {answer.status} {answer.headers.get('content-type')}")


def test_pages_of_errors(walk: Doing, live_server: Any) -> None:
    """As the site answers them outside any view, told by the browser as they would arrive."""
    request = RequestFactory().get("/")
    answers = {
        "400": bad_request(request, ValueError()),
        "403": csrf_failure(request),
        "413": plain_answer(request, HTTPStatus.REQUEST_ENTITY_TOO_LARGE),
        "500": plain_answer(request, HTTPStatus.INTERNAL_SERVER_ERROR),
        "503": plain_answer(request, HTTPStatus.SERVICE_UNAVAILABLE),
    }

    def steps(visit: Visit) -> None:
        for status, answer in answers.items():
            assert int(status) == answer.status_code
            told = partial(_tell, body=answer.content.decode())
            visit.page.route(f"**/error-{status}", told)
            looked_at(visit, f"/error-{status}")
        looked_at(visit, "/nothing-here")
        visit.faults[:] = [one for one in visit.faults if "status of 404" not in one]

    walk(steps, "phone")


def _tell(route: Any, body: str) -> None:
    route.fulfill(body=body, content_type="text/html; charset=utf-8")
