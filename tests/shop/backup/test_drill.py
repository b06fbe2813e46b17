"""The drill: the shop goes to a fresh machine and comes back, and not a row, a byte or a hash is another."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import Error, connection, transaction

from quoting.errors import Frozen
from quoting.models import Client, IssuedQuote, OutgoingMail, Quote, frozen
from quoting.services.clients import create_client
from quoting.services.links import create_link
from shop.backup.archive import MANIFEST, checked_manifest, members, new_archive
from shop.backup.errors import BackupRefused
from shop.backup.making import make_backup
from shop.backup.restoring import restore_backup
from shop.demo import Demo
from tests.shop.backup.conftest import AT, contents

PASSPHRASE = "cover the slab with wet sacking"


def on_a_fresh_machine(var: Path, *arguments: str | Path) -> str:
    """Run a command where there is nothing but the program, on SQLite."""
    kept = {name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LD_LIBRARY_PATH"}}
    done = subprocess.run(
        [sys.executable, "-m", "django", *map(str, arguments)],
        cwd=settings.BASE_DIR,
        env={
            **kept,
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            "VAR_DIR": str(var),
            "BACKUP_PASSPHRASE": PASSPHRASE,
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_there_and_back(shop: Demo, tmp_path: Path) -> None:
    first, second, third = (tmp_path / f"{number}.backup" for number in (1, 2, 3))
    kept = make_backup(first, at=AT, passphrase=PASSPHRASE)
    before = contents(first, PASSPHRASE)
    assert kept.quotes == 1
    assert before["documents/site/survey – café.txt"] == b"2140 mm between the walls\n"
    assert len(before["tables/quoting.issuedquote.jsonl"]) == 1

    with pytest.raises(BackupRefused, match="not empty"):
        restore_backup(first, passphrase=PASSPHRASE)

    fresh = tmp_path / "fresh"
    said = on_a_fresh_machine(fresh, "restore", first)
    assert "both hashes of 1 issued quotes are what they were" in said
    assert (fresh / "documents/site/survey – café.txt").read_bytes() == b"2140 mm between the walls\n"
    on_a_fresh_machine(fresh, "backup", second)
    assert contents(second, PASSPHRASE) == before

    assert restore_backup(second, passphrase=PASSPHRASE, replace=True) == kept
    make_backup(third, at=AT)
    assert contents(third) == before
    assert checked_manifest(third, "")["quotes"] == checked_manifest(first, PASSPHRASE)["quotes"]
    _goes_on_working(shop)


def _goes_on_working(shop: Demo) -> None:
    """New rows get new keys, and what was issued is as fixed as before."""
    highest = max(Quote.objects.values_list("client", flat=True))
    assert create_client(name="Café on the quay").pk > highest
    issued = IssuedQuote.objects.get(pk=shop.issued.pk)
    with pytest.raises(Frozen):
        issued.save()
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE quoting_issuedquote SET pdf_sha256 = 'x'")


def test_a_restore_that_ends_badly_changes_nothing(
    shop: Demo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was there is there still, tables, rows and guards, although it was to be replaced."""
    file = tmp_path / "a.backup"
    make_backup(file, at=AT)
    create_client(name="Written since")

    def other(*_: object) -> dict[str, list[str]]:
        return {"Q26-0001": ["0" * 64, "0" * 64]}

    monkeypatch.setattr("shop.backup.restoring.quote_hashes", other)
    with pytest.raises(BackupRefused, match="not those"):
        restore_backup(file, replace=True)
    assert Client.objects.filter(name="Written since").exists()
    _goes_on_working(shop)
    monkeypatch.undo()
    assert restore_backup(file, replace=True).quotes == 1

    assert not Client.objects.filter(name="Written since").exists()
    _goes_on_working(shop)
    frozen.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE quoting_issuedquote SET pdf_sha256 = %s", ["0" * 64])
    with pytest.raises(BackupRefused, match="its hash is another"):
        make_backup(tmp_path / "b.backup", at=AT)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.backup", "documents"]


def rewritten(file: Path, target: Path, change: Callable[[dict[str, Any], dict[str, bytes]], None]) -> Path:
    """A backup with its manifest and its members changed, and whole again."""
    held: dict[str, bytes] = {}
    with members(file, "") as entries:
        for name, content in entries:
            held[name] = content.read()
    manifest = json.loads(held.pop(MANIFEST))
    del manifest["members"], manifest["format"]
    change(manifest, held)
    with new_archive(target, 0, "") as archive:
        for name, written in held.items():
            archive.add(name, BytesIO(written))
        archive.finish(manifest)
    return target


def _no_migrations(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    del manifest["migrations"]


def _odd_migrations(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    manifest["migrations"] = [["catalog"], 7]


def _no_rows(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    del manifest["rows"]


def _other_table(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    held["tables/catalog.spell.jsonl"] = b"{}\n"


def _other_column(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    held["tables/quoting.client.jsonl"] = b'{"id": 1, "spell": "x"}\n'


def _no_object(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    held["tables/quoting.client.jsonl"] = b"[1]\n"


def _dangling(manifest: dict[str, Any], held: dict[str, bytes]) -> None:
    held["tables/quoting.client.jsonl"] = b""
    manifest["rows"]["quoting.client"] = 0


@pytest.mark.parametrize(
    "change",
    [_no_migrations, _odd_migrations, _no_rows, _other_table, _other_column, _no_object, _dangling],
)
def test_a_backup_of_something_else_is_refused_and_changes_nothing(
    shop: Demo, tmp_path: Path, change: Callable[[dict[str, Any], dict[str, bytes]], None]
) -> None:
    make_backup(tmp_path / "a.backup", at=AT)
    odd = rewritten(tmp_path / "a.backup", tmp_path / "odd.backup", change)
    with pytest.raises(BackupRefused):
        restore_backup(odd, replace=True)
    _goes_on_working(shop)


def test_a_database_behind_the_program_is_not_backed_up(
    transactional_db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "shop.backup.making.MigrationExecutor.migration_plan", lambda *_: [("a migration", False)]
    )
    with pytest.raises(BackupRefused, match="migrate first"):
        make_backup(tmp_path / "a.backup", at=AT)


def test_mail_that_waited_is_held_after_a_restore(shop: Demo, tmp_path: Path) -> None:
    """It may have gone since the backup was made; a restored shop sends nothing by itself."""
    now = datetime(2026, 3, 2, 12, tzinfo=UTC)
    waits = {"link": create_link(shop.issued.quote, now=now)[0], "message_id": "<a@shop.example>"}
    OutgoingMail.objects.create(**waits, page="/q/{token}/", next_try_at=now, claimed_at=now)
    make_backup(tmp_path / "a.backup", at=AT)
    restore_backup(tmp_path / "a.backup", replace=True)
    held = OutgoingMail.objects.get()
    assert (held.status, held.next_try_at, held.claimed_at) == ("waiting", None, None)
