"""A real browser on the served site. Pictures are kept only where SCREENSHOTS names a folder.

The browser's driver must not share a thread with Django's database calls, so it lives in one of its own:
a test hands it a walk to do.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.management import call_command
from django.db import connection
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from catalog.services.starter import load_starter
from quoting.models import frozen
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.web.examples import examples
from shop.accounts.models import Role, User

CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-gpu", "--disable-dev-shm-usage"]
SIZES = {"phone": {"width": 390, "height": 844}, "desk": {"width": 1280, "height": 900}}
PASSWORD = "a-trowel-and-a-float"


@dataclass
class Visit:
    """One person's window, and everything that went wrong in it."""

    page: Page
    address: str
    size: str
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.on("request", self._request)
        self.page.set_default_timeout(20_000)

    def _console(self, message: Any) -> None:
        # A refused form answers 422 on purpose; the browser logs that as an error of the console. A preview
        # that a newer one overtakes is abandoned: htmx tells that by these two, a failed one by sendError.
        overtaken = message.text.startswith(("htmx:afterRequest,", "htmx:sendAbort,"))
        if message.type == "error" and "422" not in message.text and not overtaken:
            self.faults.append(f"console: {message.text}")

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

    def checked(self, name: str) -> None:
        """No barrier that axe knows, nothing wider than the window; a picture where one is wanted."""
        self.page.wait_for_load_state("load")
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        if wide > SIZES[self.size]["width"]:
            self.faults.append(f"{name}: {wide} px wide")
        found = Axe().run(self.page)
        self.faults += [
            f"{name}: {one['id']}: {node['html'][:150]}"
            for one in found.response["violations"]
            for node in one["nodes"]
        ]
        if folder := os.environ.get("SCREENSHOTS"):
            Path(folder).mkdir(parents=True, exist_ok=True)
            self.page.screenshot(path=Path(folder) / f"{name}-{self.size}.png", full_page=True)


Walk = Callable[[Visit], None]
Doing = Callable[..., None]


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


@pytest.fixture
def walk(driver: tuple[ThreadPoolExecutor, Browser], live_server: Any) -> Doing:
    """Do a walk in a fresh window, then fail with everything that went wrong on the way."""
    thread, browser = driver

    def visit(steps: Walk, size: str, scheme: Any) -> list[str]:
        context = browser.new_context(viewport=SIZES[size], color_scheme=scheme)  # type: ignore[arg-type]
        try:
            seen = Visit(context.new_page(), live_server.url, size)
            steps(seen)
            return seen.faults
        finally:
            context.close()

    def do(steps: Walk, size: str = "desk", scheme: str = "light") -> None:
        assert thread.submit(visit, steps, size, scheme).result() == []

    return do


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
    # Emptying the database removes what was issued, which its guards refuse.
    frozen.remove(connection)
    call_command("flush", verbosity=0, interactive=False, inhibit_post_migrate=True)
    frozen.install(connection)
