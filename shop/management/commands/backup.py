"""`manage.py backup FILE`: the whole shop in one file, while it works."""

from __future__ import annotations

import hashlib
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shop.backup.errors import BackupRefused
from shop.backup.making import make_backup
from shop.backup.passphrase import add_passphrase_argument, passphrase_of


class Command(BaseCommand):
    help = "Write database and documents to one checksummed file, sealed where there is a passphrase."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("file", type=Path, help="where to; must not be there yet")
        add_passphrase_argument(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it, say what is in it."""
        file: Path = options["file"]
        passphrase = passphrase_of(options["passphrase_file"])
        try:
            kept = make_backup(file, at=timezone.now(), passphrase=passphrase)
        except (BackupRefused, OSError) as refusal:
            raise CommandError(str(refusal)) from refusal
        with file.open("rb") as content:
            sha256 = hashlib.file_digest(content, "sha256").hexdigest()
        sealed = "sealed" if passphrase else "not sealed: keep it where nobody else can read it"
        self.stdout.write(
            f"{file}: {kept.rows} rows, {kept.documents} documents, "
            f"{kept.quotes} issued quotes with their hashes\n"
            f"  {file.stat().st_size} bytes, {sealed}\n  SHA-256 {sha256}"
        )
