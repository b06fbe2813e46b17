"""`manage.py reprice`: every saved piece at today's prices, beside what it was last quoted at."""

from __future__ import annotations

import json
import os
from argparse import ArgumentParser, ArgumentTypeError
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.module_loading import import_string

from quoting.engine.takeoff.wording import count_of
from quoting.errors import QueueUnavailable
from quoting.selectors.library import Executor, Repriced, reprice
from quoting.selectors.pieces import newest_revisions

BAR = 30


class Command(BaseCommand):
    help = "Price the newest revision of every saved piece with the prices of a day; nothing is written."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("--on", type=_day, default=None, help="prices of this day (today if not said)")
        where = parser.add_mutually_exclusive_group()
        where.add_argument("--workers", type=_count, default=None, help="processes here (one a processor)")
        where.add_argument("--queue", action="store_true", help="the shop's queue (taken where configured)")
        parser.add_argument("--json", default=None, metavar="FILE", help="results as JSON; - for the output")

    def handle(self, *args: Any, **options: Any) -> None:
        """Price them all, with a bar on the way and a table at the end."""
        revisions = list(newest_revisions())
        rows = []
        on = options["on"] or timezone.localdate()
        executor = None if options["workers"] else _executor(required=options["queue"])
        workers = min(options["workers"] or os.cpu_count() or 1, max(len(revisions), 1))
        try:
            for row in reprice(revisions, on=on, workers=workers, executor=executor):
                rows.append(row)
                self._progress(len(rows), len(revisions))
        except QueueUnavailable as fault:
            raise CommandError(f"{fault}; --workers prices them on this machine") from fault
        self.stderr.write("")
        if options["json"]:
            text = json.dumps([_plain(row) for row in rows], indent=2, ensure_ascii=False)
            if options["json"] == "-":
                self.stdout.write(text)
                return
            _write(Path(options["json"]), text + "\n")
        for row in rows:
            self.stdout.write(_told(row))
        refused = sum(row.outcome.unit_price is None for row in rows)
        self.stdout.write(f"{count_of(len(rows), 'piece')}, {refused} without a price")

    def _progress(self, done: int, whole: int) -> None:
        full = BAR * done // whole
        self.stderr.write(f"\r[{'#' * full}{'.' * (BAR - full)}] {done} of {whole}", ending="")
        self.stderr.flush()


def _executor(*, required: bool) -> Executor | None:
    if not settings.REPRICE_EXECUTOR:
        if required:
            raise CommandError("no queue is configured: set CELERY_BROKER_URL")
        return None
    try:
        found: Executor = import_string(settings.REPRICE_EXECUTOR)
    except ModuleNotFoundError as fault:
        raise CommandError(f"CELERY_BROKER_URL is set, but {fault.name} is not installed") from fault
    return found


def _write(file: Path, text: str) -> None:
    """Write aside, then rename: whoever finds the file finds all of it."""
    part = file.with_name(f".{file.name}.part")
    part.write_text(text, encoding="utf-8")
    part.replace(file)


def _plain(row: Repriced) -> dict[str, Any]:
    made, last = row.outcome, row.last
    return {
        "piece": row.revision.piece.name,
        "revision": row.revision.number,
        "quantity": made.quantity,
        "unit_price": _text(made.unit_price),
        "cost": _text(made.cost),
        "faults": [str(fault) for fault in made.faults],
        "last": last and {"number": last.number, "on": str(last.on), "unit_price": str(last.unit_price)},
        "change": _text(row.change),
    }


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _told(row: Repriced) -> str:
    name = f"{row.revision.piece.name}, revision {row.revision.number}"
    if row.outcome.unit_price is None:
        return f"{name}: no price: {'; '.join(str(fault) for fault in row.outcome.faults)}"
    said = f"{name}: {row.outcome.unit_price}"
    if row.last is None:
        return f"{said}, never quoted"
    return f"{said}, {row.change:+} since {row.last.number} of {row.last.on} at {row.last.unit_price}"


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError("a date is written YYYY-MM-DD") from None


def _count(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 64:
        raise ArgumentTypeError("from 1 to 64 processes")
    return int(text)
