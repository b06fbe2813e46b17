"""Making a backup, live: one state of the database, and every document it could refer to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryFile

from django.apps import apps
from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from quoting.documents.client_quote import canonical, digest
from quoting.models import IssuedQuote
from shop.backup.archive import new_archive
from shop.backup.errors import BackupRefused
from shop.backup.rows import dumped, snapshot, tables


@dataclass(frozen=True, slots=True)
class Kept:
    """What went into a backup, or came out of one."""

    rows: int
    documents: int
    quotes: int


def make_backup(file: Path, *, at: datetime, passphrase: str = "") -> Kept:
    """Write database and documents to `file`, sealed where there is a passphrase.

    Others go on working meanwhile. Raises BackupRefused where the file is there already, migrations are
    outstanding, or an issued quote is not what its hash says.
    """
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise BackupRefused("The database is behind the program: run manage.py migrate first.")
    rows: dict[str, int] = {}
    with new_archive(file, int(at.timestamp()), passphrase) as archive, snapshot():
        for label, model in tables(apps).items():
            with TemporaryFile() as lines:
                rows[label] = 0
                for line in dumped(model):
                    lines.write(line)
                    rows[label] += 1
                lines.seek(0)
                archive.add(f"tables/{label}.jsonl", lines)
        quotes = quote_hashes(IssuedQuote)
        migrations = sorted(MigrationRecorder(connection).applied_migrations())
        documents = _documents()
        for name, document in documents:
            with document.open("rb") as content:
                archive.add(f"documents/{name}", content)
        archive.finish({"made_at": at.isoformat(), "migrations": migrations, "rows": rows, "quotes": quotes})
    return Kept(sum(rows.values()), len(documents), len(quotes))


def quote_hashes(issued: type[IssuedQuote]) -> dict[str, list[str]]:
    """Return the two hashes of every issued quote by its number, worked out afresh.

    Raises BackupRefused for one that is not what was written down when it was issued.
    """
    found: dict[str, list[str]] = {}
    for one in issued._base_manager.select_related("quote").order_by("pk").iterator(chunk_size=20):
        hashes = [digest(canonical(one.data)), digest(bytes(one.pdf))]
        if hashes != [one.data_sha256, one.pdf_sha256]:
            raise BackupRefused(f"Quote {one.quote.number} is not what was issued: its hash is another.")
        found[str(one.quote.number)] = hashes
    return found


def _documents() -> list[tuple[str, Path]]:
    """Every file of the documents folder with its name there, in order; links are not followed."""
    folder = Path(settings.MEDIA_ROOT)
    files = (path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
    return sorted((path.relative_to(folder).as_posix(), path) for path in files)
