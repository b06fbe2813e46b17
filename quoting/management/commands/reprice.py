"""`manage.py reprice`: every saved piece at today's prices, beside what it was last quoted at."""

from __future__ import annotations

import os
from argparse import ArgumentParser, ArgumentTypeError
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from quoting.engine.takeoff.wording import count_of
from quoting.selectors.library import Repriced, reprice
from quoting.selectors.pieces import newest_revisions

BAR = 30


class Command(BaseCommand):
    help = "Price the newest revision of every saved piece with the prices of a day; nothing is written."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("--on", type=_day, default=None, help="prices of this day (today if not said)")
        parser.add_argument(
            "--workers",
            type=_count,
            default=os.cpu_count() or 1,
            help="processes to work in (one a processor)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Price them all, with a bar on the way and a table at the end."""
        revisions = list(newest_revisions())
        rows = []
        on = options["on"] or timezone.localdate()
        for row in reprice(revisions, on=on, workers=min(options["workers"], max(len(revisions), 1))):
            rows.append(row)
            self._progress(len(rows), len(revisions))
        self.stderr.write("")
        for row in rows:
            self.stdout.write(_told(row))
        refused = sum(row.outcome.unit_price is None for row in rows)
        self.stdout.write(f"{count_of(len(rows), 'piece')}, {refused} without a price")

    def _progress(self, done: int, whole: int) -> None:
        full = BAR * done // whole
        self.stderr.write(f"\r[{'#' * full}{'.' * (BAR - full)}] {done} of {whole}", ending="")
        self.stderr.flush()


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
