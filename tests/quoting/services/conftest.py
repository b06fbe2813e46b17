"""Programs run in processes of their own, on an empty database of the kind the tests run on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import psycopg
import pytest
from django.conf import settings


@pytest.fixture
def place(tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a process that works on an empty database of its own: a file, or where the tests
    run on a PostgreSQL, a database there.
    """
    plain = os.environ | {"VAR_DIR": str(tmp_path), "SHOP_MODE": "development"}
    server = plain.get("DATABASE_URL")
    if server is None:
        yield plain
        return
    name = f"place_{uuid4().hex}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        yield plain | {"DATABASE_URL": urlsplit(server)._replace(path=f"/{name}").geturl()}
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def run(program: str, place: dict[str, str], *words: str) -> Any:
    """What a program in this folder printed, as JSON; it must not fail."""
    command = [sys.executable, "-m", f"tests.quoting.services.{program}", *words]
    done = subprocess.run(
        command, env=place, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout) if done.stdout else None
