"""Whatever is typed into any form of any page comes back when it is refused, and says at the field why.

The forms are found by reading every page, so a new one is tried without being named here. An address that
takes a POST must be the address of such a form, or say in `NOTHING_TYPED` why there is none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlsplit

import pytest
from django.db import transaction
from django.http.response import HttpResponseBase
from django.urls import resolve
from django.utils import timezone

from quoting.models import PieceRevision, Quote
from quoting.services.links import create_link
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.jobs.services.draws import Drawn, record_draw
from tests.site.access.conftest import World, routes
from tests.site.access.forms import Form, Page
from tests.site.access.rules import OWN, RULES

pytestmark = pytest.mark.django_db
BUTTON, FILE = "a button: nothing is typed", "a file: no browser puts one back into a form"
NOTHING_TYPED = {
    "accounts/password/": "passwords are never written into a page",
    "accounts/tokens/<int:pk>/revoke/": BUTTON,
    "outbox/<int:pk>/again": BUTTON,
    "outbox/<int:pk>/drop": BUTTON,
    "pieces/preview": "a fragment beside the form, which stays as it is",
    "quotes/totals": "a fragment beside the form, which stays as it is",
    "prices/shelf/<int:pk>/off": BUTTON,
    "quotes/<int:pk>/issue": BUTTON,
    "quotes/<int:pk>/delete": BUTTON,
    "quotes/<int:pk>/again": BUTTON,
    "quotes/<int:pk>/link": BUTTON,
    "quotes/<int:pk>/link/revoke": BUTTON,
    "quotes/<int:pk>/revise": BUTTON,
    "calendar/new": BUTTON,
    "calendar/revoke": BUTTON,
    "prices/import": FILE,
    "prices/logo/off": BUTTON,
    "prices/starter": "a choice of packs, each of which can be taken in",
    "jobs/open/<int:pk>": BUTTON,
    "jobs/<str:number>/status": BUTTON,
    "jobs/<str:number>/photographs/<int:photograph>/off": BUTTON,
    "look-back/<str:code>": BUTTON,
}
LONG = "a reason longer than anybody reads " * 150
REFUSED = {
    ("pieces/<int:pk>/details", ""): {"name": ""},
    ("quotes/<int:pk>/withdraw", ""): {"reason": LONG},
    ("quotes/<int:pk>/answer", ""): {"name": ""},
    ("jobs/<str:number>/draws/<int:pk>", ""): {"reason": LONG},
    ("jobs/<str:number>/mishaps/<int:pk>", ""): {"reason": LONG},
    ("q/<str:token>/", "decline"): {"name": ""},
    ("q/<str:token>/", "ask"): {"question": ""},
    ("prices/logo", ""): {"logo_text": LONG},
    ("accounts/tokens/", ""): {"name": LONG},
    ("prices/roles/<str:code>", ""): {"name": LONG},
}
"""What a form refuses, where it takes any text in any field: by address and by what its button says."""
STATUS = {"accounts/login/": 200}
"""Where it is not 422: the sign-in is Django's own."""


@dataclass(frozen=True)
class Found:
    """A form with the page it is on and the address it is sent to."""

    page: str
    action: str
    route: str
    form: Form

    @property
    def button(self) -> tuple[str, str] | None:
        """The button that writes."""
        buttons = self.form.buttons
        return next((one for one in buttons if one[1] == "save"), buttons[0] if buttons else None)

    @property
    def do(self) -> str:
        """What is asked of an address that several forms share."""
        hidden = next((one.value for one in self.form.controls if one.name == "do"), "")
        return hidden or (self.button[1] if self.button else "")


@pytest.fixture(scope="module")
def open_quote(world: World) -> Quote:
    """A quote that can be answered today."""
    revision = PieceRevision.objects.order_by("pk")[:1].get()
    today = timezone.localdate()
    items = [ItemWanted(revision, 1)]
    draft = draft_quote(world.draft.client, title="Open", quoted_on=today, items=items, by=world.people["o"])
    return issue_quote(draft, on=today, by=world.people["o"]).quote


@pytest.fixture(scope="module")
def found(world: World, open_quote: Quote) -> list[Found]:
    """Every form of every page into which something is typed, each kind once."""
    now, own = timezone.now(), Drawn(Decimal(1), "bought", name="Trestles", amount=Decimal(40))
    record_draw(world.job, own, on=timezone.localdate(), by=world.people["o"], now=now)
    token = create_link(open_quote, now=now, by=world.people["o"])[1]
    pages = [world.address(route) for route, rule in RULES.items() if "GET" in rule and _is_page(route)]
    pages += [f"/quotes/{open_quote.pk}/{step}" for step in ("answer", "send", "withdraw")]
    pages += [f"/q/{token}/", "/pieces/new?example=reading-room-table", "/accounts/login/"]
    pages += [f"/quotes/new?piece={PieceRevision.objects.order_by('pk')[0].pk}"]
    kinds: dict[tuple[str, str, tuple[str, ...]], Found] = {}
    for page in pages:
        answer = world.browser("o").get(page)
        if answer.status_code != 200 or not answer.headers["Content-Type"].startswith("text/html"):
            continue
        for form in Page(answer.content.decode()).forms:
            if form.takes_texts:
                action = form.action or page
                one = Found(page, action, _route_of(action), form)
                names = tuple(sorted({control.name for control in form.controls}))
                kinds.setdefault((one.route, one.do, names), one)
    return list(kinds.values())


def _is_page(route: str) -> bool:
    return not route.startswith(("api/", "admin/")) and not route.endswith((".pdf", ".csv", ".json", ".ics"))


def _route_of(address: str) -> str:
    plain = resolve(urlsplit(address).path).route
    return next(route for route in routes() if route == plain)


def posted(one: Found) -> dict[str, str]:
    """The form filled in: texts that no figure, date or address is, and everything else as it stands."""
    texts = {
        control.name: f"typed {number}" if control.typed else control.value
        for number, control in enumerate(one.form.controls)
        if control.kind != "file" and (control.value or control.kind not in ("radio", "checkbox"))
    }
    if one.button is not None:
        texts[one.button[0]] = one.button[1]
    return texts | REFUSED.get((one.route, one.do), {}) | REFUSED.get((one.route, ""), {})


def sent(world: World, one: Found) -> tuple[dict[str, str], HttpResponseBase]:
    """Send a form that will be refused; whatever it did is undone."""
    texts = posted(one)
    with transaction.atomic():
        answer = world.browser("-" if one.route == "accounts/login/" else "o").post(one.action, texts)
        transaction.set_rollback(True)
    return texts, answer


def faults_of(world: World, one: Found) -> Iterator[str]:
    """What is wrong with how a form comes back."""
    texts, answer = sent(world, one)
    told = f"{one.route} {one.do} on {one.page}"
    if answer.status_code != STATUS.get(one.route, 422):
        yield f"{told}: answered {answer.status_code}, so nothing was refused, or what was typed is gone"
        return
    page = Page(answer.content.decode())  # type: ignore[attr-defined]
    for control in one.form.controls:
        back = {other.value.strip() for other in page.controls if other.name == control.name}
        if control.typed and texts[control.name].strip() not in back:
            yield f"{told}: what was typed into {control.name} is gone; it has {sorted(back)[:3]}"
    wrong = [control for control in page.controls if control.invalid]
    if not wrong and one.route not in STATUS:
        yield f"{told}: no field is marked"
    for control in wrong:
        if not control.described_by or not set(control.described_by) <= page.ids:
            yield f"{told}: {control.name} is wrong, and nothing says why"


def test_every_address_that_is_written_to_has_a_form_here(found: list[Found]) -> None:
    written = {route for route, rule in {**RULES, **OWN}.items() if "POST" in rule and _is_page(route)}
    forms = {one.route for one in found}
    assert sorted(written - forms - set(NOTHING_TYPED)) == [], "its form is on no page; see NOTHING_TYPED"
    assert sorted(forms & set(NOTHING_TYPED)) == [], "something is typed there now"
    assert sorted(set(NOTHING_TYPED) - written) == [], "there is no such address any more"


def test_what_is_typed_comes_back_when_it_is_refused(world: World, found: list[Found]) -> None:
    faults = [fault for one in found for fault in faults_of(world, one)]
    assert not faults, "\n".join(faults)


def test_many_forms_are_found(found: list[Found]) -> None:
    assert len({(one.route, one.do) for one in found}) > 30
    assert not [one for one in found if re.search("logout", one.route)]
