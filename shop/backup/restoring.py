"""Restoring a backup: all of it, checked against every hash of every issued quote, or nothing."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, cast

from django.apps.registry import Apps
from django.conf import settings
from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.core.management import call_command
from django.db import DataError, IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from shop.backup.archive import checked_manifest, members
from shop.backup.errors import BackupRefused
from shop.backup.making import Kept, quote_hashes
from shop.backup.rows import MADE_BY_MIGRATING, Model, count_on, load, tables

Node = tuple[str, str]
_UNREADABLE = (
    LookupError,
    TypeError,
    ValueError,
    AttributeError,
    FieldDoesNotExist,
    ValidationError,
    DataError,
    IntegrityError,
)
"""How rows that are of another program show."""


def restore_backup(file: Path, *, passphrase: str = "", replace: bool = False) -> Kept:
    """Fill an empty database and the documents folder from `file`, then bring both up to this program.

    The rows go in under the migrations they were written under, so a backup of an older program is as good.
    With `replace` it takes the place of what the database holds. Raises BackupRefused, with nothing changed,
    where the file is not whole, is of a newer program, or the database or the documents hold other things.
    """
    manifest = checked_manifest(file, passphrase)
    applied = _applied(manifest)
    _refuse_newer(applied)
    if not replace:
        _refuse_filled(applied)
        _refuse_other_documents(manifest)
    # One transaction, the tables in it too: what ends badly has changed nothing. SQLite looks the other way
    # at foreign keys only where it was told so before.
    with connection.constraint_checks_disabled(), transaction.atomic():
        if replace:
            clear()
        try:
            kept = _fill(file, passphrase, manifest, _migrated_to(applied))
            connection.check_constraints()
        except _UNREADABLE as fault:
            raise BackupRefused(f"The backup's tables are not those of this program: {fault!r}") from fault
    call_command("migrate", verbosity=0, interactive=False)
    return kept


def _applied(manifest: dict[str, Any]) -> set[Node]:
    """The migrations that the backup's rows were written under."""
    said = manifest.get("migrations")
    nodes = [tuple(node) for node in said if isinstance(node, list)] if isinstance(said, list) else []
    if not nodes or not all(len(node) == 2 and all(isinstance(one, str) for one in node) for node in nodes):
        raise BackupRefused("The backup does not say which version of this program it is of.")
    return {(app, name) for app, name in nodes}


def _refuse_newer(applied: set[Node]) -> None:
    known = set(MigrationExecutor(connection).loader.disk_migrations)
    newer = sorted(".".join(node) for node in applied - known)
    if newer:
        raise BackupRefused(f"The backup is of another version of this program: it knows {', '.join(newer)}.")


def _refuse_filled(applied: set[Node]) -> None:
    """Refuse a database with rows, or set up by another version than the backup's."""
    if not connection.introspection.table_names():
        return
    here = set(MigrationRecorder(connection).applied_migrations())
    if here != applied:
        raise BackupRefused("The database was set up by another version; give an empty one without tables.")
    registry = MigrationExecutor(connection).loader.project_state(sorted(applied)).apps
    for label, model in tables(cast(Apps, registry)).items():
        if label not in MADE_BY_MIGRATING and model._base_manager.exists():
            raise BackupRefused(f"The database is not empty ({label}); give an empty one, or say --replace.")


def _refuse_other_documents(manifest: dict[str, Any]) -> None:
    for name, member in manifest["members"].items():
        path = _place(name)
        if path and path.exists() and hashlib.sha256(path.read_bytes()).hexdigest() != member["sha256"]:
            raise BackupRefused(f"{path} is there already and is another document.")


def clear() -> None:
    """Drop every table, and with them their guards."""
    cascade = " CASCADE" if connection.vendor == "postgresql" else ""
    with connection.constraint_checks_disabled(), transaction.atomic(), connection.cursor() as cursor:
        for name in connection.introspection.table_names(cursor):
            cursor.execute(f"DROP TABLE {connection.ops.quote_name(name)}{cascade}")


def _migrated_to(applied: set[Node]) -> Apps:
    """Bring the database to the backup's migrations and return the models of that state."""
    executor = MigrationExecutor(connection)
    graph = executor.loader.graph
    last = [
        node
        for node in sorted(applied)
        if not any(
            child.key in applied and child.key[0] == node[0] for child in graph.node_map[node].children
        )
    ]
    executor.migrate(last)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:  # a migration that adds a reference has it checked at once
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")
    return cast(Apps, executor.loader.project_state(last).apps)


def _fill(file: Path, passphrase: str, manifest: dict[str, Any], registry: Apps) -> Kept:
    """Add every row and document; raise, and so undo, when the outcome is not what the manifest says."""
    models = tables(registry)
    for label in MADE_BY_MIGRATING:
        models[label]._base_manager.all().delete()
    rows: dict[str, int] = {}
    documents = 0
    with members(file, passphrase) as entries:
        for name, content in entries:
            if place := _place(name):
                _put(content, place)
                documents += 1
            elif name.startswith("tables/"):
                label = name.removeprefix("tables/").removesuffix(".jsonl")
                rows[label] = load(models[label], _lines(content))
    count_on(models.values())
    stored = {label: model._base_manager.count() for label, model in models.items()}
    if not rows == stored == manifest["rows"]:
        raise BackupRefused("The tables do not hold as many rows as the backup says.")
    _hold_mail(models)
    hashes = quote_hashes(registry.get_model("quoting", "IssuedQuote"))
    if hashes != manifest["quotes"]:
        raise BackupRefused("The issued quotes are not those the backup says.")
    return Kept(sum(rows.values()), documents, len(hashes))


def _hold_mail(models: dict[str, Model]) -> None:
    """Let mail that waited when the backup was made wait for somebody: it may have gone since."""
    if mails := models.get("quoting.outgoingmail"):
        mails._base_manager.filter(status="waiting").update(next_try_at=None, claimed_at=None)


def _lines(content: IO[bytes]) -> Iterator[bytes]:
    yield from content


def _place(name: str) -> Path | None:
    """Where a document of the backup belongs; None for what is no document."""
    if not name.startswith("documents/"):
        return None
    return Path(settings.MEDIA_ROOT) / name.removeprefix("documents/")


def _put(content: IO[bytes], place: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    part = place.with_name(f".{place.name}.part")
    with part.open("wb") as target:
        shutil.copyfileobj(content, target)
        target.flush()
        os.fsync(target.fileno())
    part.replace(place)
