"""A real browser on the served site. Pictures go to the folder that SCREENSHOTS names.

The browser's driver must not share a thread with Django's database calls, so it lives in one of its own:
a test hands it a walk to do.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import Client
from playwright.sync_api import Browser, Page, Playwright, expect, sync_playwright

from catalog.services.starter import load_starter
from quoting.models import frozen
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.web.examples import examples
from shop.accounts.models import Role, User
from shop.management.commands import verify

PATIENCE_MS = 20_000
expect.set_options(timeout=PATIENCE_MS)
CHROMIUM = next(filter(None, map(shutil.which, verify.BROWSER[1])), None)
FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-gpu", "--disable-dev-shm-usage"]
SIZES = {"phone": {"width": 360, "height": 740}, "desk": {"width": 1280, "height": 900}}
STANDARDS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PASSWORD = "a-trowel-and-a-float"


@dataclass
class Visit:
    """One person's window, and everything that went wrong in it."""

    page: Page
    address: str
    size: str
    pictures: Path | None
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.on("request", self._request)
        self.page.set_default_timeout(PATIENCE_MS)

    def _console(self, message: Any) -> None:
        # A form refused answers 422 or 409 on purpose; the browser logs that as an error of the console. A
        # preview that is overtaken is abandoned: htmx tells that by these two, a failed one by sendError.
        overtaken = message.text.startswith(("htmx:afterRequest,", "htmx:sendAbort,"))
        refused = re.search("a status of (409|422)", message.text)
        if message.type == "error" and not refused and not overtaken:
            self.faults.append(f"console at {urlsplit(self.page.url).path}: {message.text[:120]}")

    def _request(self, request: Any) -> None:
        if urlsplit(request.url).scheme != "data" and not request.url.startswith(self.address):
            self.faults.append(f"another host: {request.url}")

    def go(self, path: str) -> None:
        self.page.goto(self.address + path)

    def sign_in(self, username: str = "ottilie") -> None:
        self.go("/accounts/login/")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url(re.compile("/pieces/"))

    def become(self, session: str) -> None:
        """Go on as whose session this is; nobody's where it is empty."""
        self.page.context.clear_cookies()
        if session:
            cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session, "url": self.address}
            self.page.context.add_cookies([cookie])  # type: ignore[list-item]

    def checked(self, name: str, *rules: str) -> None:
        """No barrier that axe knows (of `rules`, or of all), nothing wider than the window; a picture."""
        self.page.wait_for_load_state("load")
        self.fits(name)
        self.barriers(name, *rules)
        self.picture(name)

    def fits(self, name: str) -> None:
        """Nothing is wider than the window."""
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        if wide > SIZES[self.size]["width"]:
            self.faults.append(f"{name}: {wide} px wide at {self.size} width")

    def barriers(self, name: str, *rules: str) -> None:
        """What axe finds by WCAG 2.0 to 2.2, A and AA, and by good practice, or by some `rules` only."""
        only = {"type": "rule", "values": rules} if rules else {"type": "tag", "values": STANDARDS}
        found = Axe().run(self.page, options={"runOnly": only, "resultTypes": ["violations"]})
        self.faults += [
            f"{name}: {one['id']}: {node['html'][:150]}"
            for one in found.response["violations"]
            for node in one["nodes"]
        ]

    def picture(self, name: str) -> None:
        """Keep what the page looks like, where somebody wants to see."""
        if self.pictures is not None:
            file = self.pictures / f"{name}-{self.size}.jpg"
            self.page.screenshot(path=file, full_page=True, type="jpeg", quality=70)

    def resize(self, size: str) -> None:
        """Go on at another width."""
        self.size = size
        self.page.set_viewport_size(SIZES[size])  # type: ignore[arg-type]


Walk = Callable[[Visit], None]
Doing = Callable[..., None]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A file, as in the shop: threads that share a database in memory lock one another out at once."""
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("site") / "tested.sqlite3")


@pytest.fixture(scope="session")
def driver() -> Iterator[tuple[ThreadPoolExecutor, Browser]]:
    with ThreadPoolExecutor(max_workers=1) as thread:
        playwright: Playwright = thread.submit(lambda: sync_playwright().start()).result()
        browser = thread.submit(
            lambda: playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        ).result()
        yield thread, browser
        thread.submit(browser.close).result()
        thread.submit(playwright.stop).result()


@pytest.fixture(scope="session")
def pictures() -> Path | None:
    """The folder that SCREENSHOTS names: outside the repository."""
    named = os.environ.get("SCREENSHOTS")
    if not named:
        return None
    folder = Path(named)
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture
def walk(driver: tuple[ThreadPoolExecutor, Browser], live_server: Any, pictures: Path | None) -> Doing:
    """Do a walk in a fresh window, then fail with everything that went wrong on the way."""
    thread, browser = driver

    def visit(steps: Walk, size: str, scheme: Any, session: str) -> list[str]:
        context = browser.new_context(viewport=SIZES[size], color_scheme=scheme)  # type: ignore[arg-type]
        try:
            seen = Visit(context.new_page(), live_server.url, size, pictures)
            seen.become(session)
            steps(seen)
            return seen.faults
        finally:
            context.close()

    def do(steps: Walk, size: str = "desk", scheme: str = "light", session: str = "") -> None:
        faults = thread.submit(visit, steps, size, scheme, session).result()
        assert not faults, "\n".join(faults)

    return do


def session_of(user: User) -> str:
    """Somebody's session, signed in without the form."""
    browser = Client()
    browser.force_login(user)
    return str(browser.cookies[settings.SESSION_COOKIE_NAME].value)


def emptied() -> None:
    """Empty the database, what was issued too, which its guards refuse."""
    frozen.remove(connection)
    call_command("flush", verbosity=0, interactive=False, inhibit_post_migrate=True)
    frozen.install(connection)


@pytest.fixture
def workshop(live_server: Any) -> Iterator[None]:
    """The starter catalogue, the owner and a bench hand, a client, two saved pieces."""
    load_starter("metric", on=date(2026, 1, 1))
    User.objects.create_user("ottilie", PASSWORD, name="Ottilie Marram", role=Role.OWNER)
    User.objects.create_user("bryony", PASSWORD, name="Bryony Sedge", role=Role.BENCH)
    create_client(name="Village library of Osmerley")
    for name in ("reading-room-table", "hearth"):
        save_piece(examples()[name])
    yield
    emptied()
