"""A worker killed at any moment: what it had committed is there, what it had not is not, numbers have no gap.

By hand: `VAR_DIR=DIR python -m tests.shop.faults.kills --kills 300`; DIR must not be there yet.
One process holds the program; for each kill it forks a worker, which works as fast as it can and says through
a pipe what is committed, and kills it (SIGKILL) after a time drawn with a seed. Then all is looked at.
"""

from __future__ import annotations

import argparse
import os
import random
import select
import signal
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import django

TODAY = date(2026, 3, 2)
STEPS = ("issue", "accept", "import", "backup")


class Wrong(Exception):
    """Something was lost, half done or numbered wrongly."""


def main() -> None:
    """Kill as often as asked, look after each, print how it went."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    django.setup()
    from django.conf import settings

    if settings.VAR_DIR.joinpath("workshop.sqlite3").exists() or settings.DATABASES["default"]["HOST"]:
        raise SystemExit("Give a VAR_DIR that is not there yet: this makes and breaks a database.")
    chance = random.Random(asked.seed)
    yard = Yard(settings.VAR_DIR)
    spans = {step: yard.seconds_of(step) for step in STEPS}
    yard.look()
    broken_off = 0
    for turn in range(asked.kills):
        step = STEPS[turn % len(STEPS)]
        broken_off += yard.kill(step, chance.uniform(0, 3 * spans[step]))
        yard.look()
    counts = yard.counts()
    print(f"{asked.kills} kills, {broken_off} of them in the middle of something: {counts}")


class Yard:
    """The database, what is known to be committed in it, and the workers that get killed."""

    def __init__(self, var: Path) -> None:
        from django.core.management import call_command

        from catalog.services.starter import load_starter
        from quoting.services.clients import create_client

        call_command("migrate", verbosity=0, interactive=False)
        load_starter("metric", on=date(2026, 1, 1))
        self._client = create_client(name="Village library")
        self._backups = var / "backups"
        self._backups.mkdir()
        self._step = 0
        self._known: dict[str, set[str]] = {step: set() for step in STEPS}

    def seconds_of(self, step: str) -> float:
        """How long one takes here, done once without a kill (the second: the first one warms up)."""
        self._known[step].add(self._work(step))
        begun = time.perf_counter()
        self._known[step].add(self._work(step))
        return time.perf_counter() - begun

    def kill(self, step: str, after: float) -> bool:
        """Let a worker work, kill it; return whether that was in the middle of something."""
        from django.db import connections

        connections.close_all()
        reading, writing = os.pipe()
        self._step += 100
        child = os.fork()
        if child == 0:
            os.close(reading)
            self._toil(step, writing)
        os.close(writing)
        select.select([reading], [], [])  # it has begun
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(reading) as pipe:
            lines = pipe.read().splitlines()
        self._known[step] |= {line.removeprefix("done ") for line in lines if line.startswith("done ")}
        if "failed" in lines:
            raise Wrong(f"a worker failed by itself at {step}: {lines}")
        return lines[-1] == "begin"

    def _toil(self, step: str, writing: int) -> None:
        """What the worker does until it is killed."""
        try:
            while True:
                os.write(writing, b"begin\n")
                os.write(writing, f"done {self._work(step)}\n".encode())
        except BaseException as fault:
            os.write(writing, f"{fault!r}\nfailed\n".encode())
        os._exit(1)

    def _work(self, step: str) -> str:
        self._step += 1
        work: dict[str, Callable[[], str]] = {
            "issue": self._issue,
            "accept": self._accept,
            "import": self._import,
            "backup": self._backup,
        }
        return work[step]()

    def _issue(self) -> str:
        from quoting.services.drafting import LineWanted, draft_quote
        from quoting.services.issuing import issue_quote

        lines = [LineWanted("Survey", Decimal(80)), LineWanted("Site visit", Decimal(60))]
        draft = draft_quote(self._client, title="Survey", quoted_on=TODAY, lines=lines)
        return str(issue_quote(draft, on=TODAY).quote.number)

    def _accept(self) -> str:
        from quoting.models import Quote
        from quoting.services.answering import accept_quote

        number = self._issue()
        quote = Quote.objects.select_related("issued").get(number=number)
        sha256 = quote.issued.data_sha256
        accept_quote(quote, name="A. Reader", data_sha256=sha256, on=TODAY)
        return number

    def _import(self) -> str:
        from catalog.price_list import apply, export

        head, *rows = export(TODAY).splitlines()
        place = head.split(",").index("supplier")
        changed = [
            ",".join(_with(row.split(","), place, f"Yard {self._step}")) for row in rows if '"' not in row
        ]
        apply("\n".join([head, *changed]).encode(), today=TODAY)
        return str(self._step)

    def _backup(self) -> str:
        from shop.backup.making import make_backup

        make_backup(self._backups / f"{self._step}.tar.gz", at=datetime(2026, 3, 2, tzinfo=UTC))
        return str(self._step)

    # --- looking ---------------------------------------------------------------------------------------
    def look(self) -> None:
        """Raise Wrong where anything is not as it must be."""
        for fault in self._faults():
            raise Wrong(fault)

    def _faults(self) -> Iterator[str]:
        from django.db import connection

        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            if cursor.fetchone()[0] != "ok":
                yield "the database file is damaged"
        yield from self._quote_faults()
        yield from self._price_faults()
        yield from self._backup_faults()

    def _quote_faults(self) -> Iterator[str]:
        from quoting.documents.client_quote import digest
        from quoting.models import NumberSeries, Quote

        out = list(Quote.objects.exclude(number=None).select_related("issued", "answer").order_by("number"))
        numbers = [quote.number for quote in out]
        if numbers != [f"Q26-{number:04d}" for number in range(1, len(out) + 1)]:
            yield f"numbers have gaps or repeats: {numbers}"
        if NumberSeries.objects.get().last != len(out):
            yield "the series does not stand at the last number"
        lost = (self._known["issue"] | self._known["accept"]) - set(numbers)
        if lost:
            yield f"issued and lost: {sorted(lost)}"
        for quote in out:
            kinds = sorted(event.kind for event in quote.events.all())
            answered = hasattr(quote, "answer")
            if answered != (quote.status == "accepted") or answered != ("accepted" in kinds):
                yield f"{quote.number} is half accepted"
            if quote.number in self._known["accept"] and not answered:
                yield f"{quote.number} was accepted, and that is lost"
            if digest(bytes(quote.issued.pdf)) != quote.issued.pdf_sha256 or "issued" not in kinds:
                yield f"{quote.number} is half issued"

    def _price_faults(self) -> Iterator[str]:
        from catalog.models import Material
        from catalog.price_list import export

        plain = {row.split(",")[0] for row in export(TODAY).splitlines()[1:] if '"' not in row}
        found = set(Material.objects.filter(code__in=plain).values_list("supplier", flat=True))
        last = max(map(int, self._known["import"]))
        if len(found) != 1 or int(found.pop().split()[-1]) < last:
            yield "a price list is half taken in, or lost"

    def _backup_faults(self) -> Iterator[str]:
        from shop.backup.archive import checked_manifest

        files = {file.name.partition(".")[0]: file for file in self._backups.glob("*.tar.gz")}
        if self._known["backup"] - set(files):
            yield "a backup is lost"
        for file in files.values():
            checked_manifest(file, "")  # raises where it is not whole
            file.unlink()
        self._known["backup"].clear()

    def counts(self) -> dict[str, Any]:
        """What there is in the end."""
        from quoting.models import Quote, QuoteAnswer

        return {"issued": Quote.objects.exclude(number=None).count(), "accepted": QuoteAnswer.objects.count()}


def _with(cells: list[str], place: int, value: str) -> list[str]:
    return [*cells[:place], value, *cells[place + 1 :]]


if __name__ == "__main__":
    main()
