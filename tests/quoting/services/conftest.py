"""Programs run in processes of their own, on an SQLite file and on a real PostgreSQL."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from tests.quoting.services.postgres import cluster


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    with cluster() as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> dict[str, str]:
    """The environment of a process that works on an empty database of its own."""
    plain = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    plain |= {"VAR_DIR": str(tmp_path), "SHOP_MODE": "development"}
    if request.param == "sqlite":
        return plain
    address = request.getfixturevalue("server")
    name = f"shop_{abs(hash(request.node.name)) % 10**9}"
    subprocess.run(["psql", address, "-qc", f"CREATE DATABASE {name}"], check=True)
    return plain | {"DATABASE_URL": address.removesuffix("postgres") + name}


def run(program: str, place: dict[str, str], *words: str) -> Any:
    """What a program in this folder printed, as JSON; it must not fail."""
    command = [sys.executable, "-m", f"tests.quoting.services.{program}", *words]
    done = subprocess.run(
        command, env=place, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout) if done.stdout else None
