"""What the workers that get killed do, one step at a time; each returns what it has committed."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections
from django.utils import timezone

from catalog.price_list import apply, export
from catalog.services.starter import load_starter
from quoting.models import Quote
from quoting.services.answering import accept_quote
from quoting.services.clients import create_client
from quoting.services.drafting import LineWanted, draft_quote
from quoting.services.issuing import issue_quote
from quoting.services.pieces import save_piece
from quoting.services.sending import send_quote
from shop.backup.making import make_backup
from shop.backup.restoring import restore_backup

TODAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
BESIDE = "beside_"
STEPS = ("issue", "accept", "send", "import", "backup", "restore", "reprice")


class Work:
    """The database, and what is known to be committed in it."""

    def __init__(self, var: Path) -> None:
        timezone.now = lambda: NOON  # a quote of that day can be answered whenever this runs
        call_command("migrate", verbosity=0, interactive=False)
        load_starter("metric", on=date(2026, 1, 1))
        self._client = create_client(name="Village library", email="library@example.org")
        example = settings.BASE_DIR / "fixtures" / "specifications" / "bench.json"
        save_piece(json.loads(example.read_text(encoding="utf-8")))
        self.backups, self.results = var / "backups", var / "results"
        for folder in (self.backups, self.results):
            folder.mkdir()
        self.places = Places(var / "fresh")
        self.turn = 0
        self.known: dict[str, set[str]] = {step: set() for step in STEPS}
        self.whole = var / "to-restore.backup"
        self._issue()
        make_backup(self.whole, at=NOON)

    def do(self, step: str) -> str:
        """Do one and return its name."""
        self.turn += 1
        work: dict[str, Callable[[], str]] = {
            "issue": self._issue,
            "accept": self._accept,
            "send": self._send,
            "import": self._import,
            "backup": self._backup,
            "restore": self._restore,
            "reprice": self._reprice,
        }
        return work[step]()

    def _issue(self) -> str:
        lines = [LineWanted("Survey", Decimal(80)), LineWanted("Site visit", Decimal(60))]
        draft = draft_quote(self._client, title="Survey", quoted_on=TODAY, lines=lines)
        return str(issue_quote(draft, on=TODAY).quote.number)

    def _accept(self) -> str:
        number = self._issue()
        quote = Quote.objects.select_related("issued").get(number=number)
        accept_quote(quote, name="A. Reader", data_sha256=quote.issued.data_sha256, on=TODAY)
        return number

    def _send(self) -> str:
        quote = Quote.objects.filter(status="issued").order_by("pk")[:1].get()
        link = send_quote(quote, address_of=lambda token: f"https://shop.example/q/{token}/", now=NOON)
        return str(link.pk)

    def _import(self) -> str:
        head, *rows = export(TODAY).splitlines()
        place = head.split(",").index("supplier")
        changed = [_with(row, place, f"Yard {self.turn}") for row in rows if '"' not in row]
        apply("\n".join([head, *changed]).encode(), today=TODAY)
        return str(self.turn)

    def _backup(self) -> str:
        make_backup(self.backups / f"{self.turn}.tar.gz", at=NOON)
        return str(self.turn)

    def _restore(self) -> str:
        with self.places.at(str(self.turn)):
            restore_backup(self.whole)
        return str(self.turn)

    def _reprice(self) -> str:
        file = self.results / f"{self.turn}.json"
        call_command("reprice", on=TODAY, workers=1, json=str(file), stdout=StringIO(), stderr=StringIO())
        return str(self.turn)


class Places:
    """Databases beside the shop's, empty at first: files in a folder, or databases of the same server."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._shop = connection.settings_dict["NAME"]
        self._server = connection.vendor == "postgresql"
        folder.mkdir()

    @contextmanager
    def at(self, name: str) -> Iterator[None]:
        """Let the connection lead to the database of that name for a while."""
        if self._server and name not in self.names():
            with connection.cursor() as cursor:
                cursor.execute(f"CREATE DATABASE {BESIDE}{int(name)}")
        self._go(f"{BESIDE}{name}" if self._server else str(self._folder / f"{name}.sqlite3"))
        try:
            yield
        finally:
            self._go(self._shop)

    def names(self) -> set[str]:
        """Return the names of those that there are."""
        if not self._server:
            return {file.stem for file in self._folder.glob("*.sqlite3")}
        with connection.cursor() as cursor:
            cursor.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [BESIDE])
            return {name.removeprefix(BESIDE) for (name,) in cursor.fetchall()}

    def clear(self) -> None:
        """Remove them all."""
        for path in self._folder.iterdir():
            path.unlink()
        for name in self.names():
            with connection.cursor() as cursor:
                cursor.execute(f"DROP DATABASE {BESIDE}{int(name)}")

    def wait(self) -> None:
        """Wait until the server has noticed that whoever was killed is gone; a file needs no waiting."""
        others = "SELECT count(*) FROM pg_stat_activity WHERE backend_type = 'client backend' AND pid <> %s"
        while self._server:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_backend_pid()")
                cursor.execute(others, cursor.fetchone())
                if cursor.fetchone() == (0,):
                    return
            time.sleep(0.01)

    def _go(self, name: str) -> None:
        connections.close_all()
        connection.settings_dict["NAME"] = name


def _with(row: str, place: int, value: str) -> str:
    cells = row.split(",")
    return ",".join([*cells[:place], value, *cells[place + 1 :]])
