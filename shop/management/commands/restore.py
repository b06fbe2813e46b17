"""`manage.py restore FILE`: the whole shop back from one file, on a fresh machine."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.backup.errors import BackupRefused
from shop.backup.passphrase import add_passphrase_argument, passphrase_of
from shop.backup.restoring import restore_backup


class Command(BaseCommand):
    help = "Fill an empty database and the documents folder from a backup, and compare every quote's hashes."
    requires_migrations_checks = False
    requires_system_checks: list[str] = []  # noqa: RUF012 - there may be no table yet

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("file", type=Path, help="a file that manage.py backup wrote")
        parser.add_argument(
            "--replace", action="store_true", help="throw away what the database holds; stop the site first"
        )
        add_passphrase_argument(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore it, say what came back."""
        passphrase = passphrase_of(options["passphrase_file"])
        try:
            kept = restore_backup(options["file"], passphrase=passphrase, replace=options["replace"])
        except (BackupRefused, OSError) as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"{options['file']}: {kept.rows} rows and {kept.documents} documents are back; "
            f"both hashes of {kept.quotes} issued quotes are what they were"
        )
