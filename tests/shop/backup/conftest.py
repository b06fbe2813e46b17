"""A shop with an issued quote and a document, in a database of the test's own."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from pytest_django import Settings

from shop.backup.archive import members
from shop.backup.restoring import clear
from shop.demo import Demo, load_demo

AT = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)


@pytest.fixture
def shop(transactional_db: None, settings: Settings, tmp_path: Path) -> Iterator[Demo]:
    """The demo, and a paper in the documents folder; afterwards the tables are made anew.

    What was issued cannot be deleted, so the usual emptying of tables after a test would be refused.
    """
    settings.MEDIA_ROOT = tmp_path / "documents"
    (tmp_path / "documents" / "site").mkdir(parents=True)
    (tmp_path / "documents" / "site" / "survey – café.txt").write_bytes(b"2140 mm between the walls\n")
    yield load_demo("metric", on=date(2026, 3, 2))
    clear()
    call_command("migrate", verbosity=0, interactive=False)


def contents(file: Path, passphrase: str = "") -> dict[str, Any]:
    """Everything in a backup: tables as values, documents as bytes; not the manifest."""
    found: dict[str, Any] = {}
    with members(file, passphrase) as entries:
        for name, content in entries:
            if name.startswith("tables/"):
                found[name] = [json.loads(line) for line in content]
            elif name.startswith("documents/"):
                found[name] = content.read()
    return found
