"""`manage.py starter_catalogue PACK`: a first catalogue to begin from."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.errors import CatalogRefused
from catalog.services.starter import PACKS, load_starter


class Command(BaseCommand):
    help = "Load the starter catalogue. What the shop has already is kept; loading again adds nothing twice."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("pack", choices=PACKS, help="metric or US customary")
        parser.add_argument(
            "--on", type=date.fromisoformat, help="first day of the prices (YYYY-MM-DD), else today"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Load the pack and say how much came of it."""
        try:
            done = load_starter(options["pack"], on=options["on"] or timezone.localdate())
        except CatalogRefused as refused:
            raise CommandError(str(refused)) from None
        self.stdout.write(f"{done.created} rows added, {done.kept} kept as they were.")
