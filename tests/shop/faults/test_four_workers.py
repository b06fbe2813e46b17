"""Four web workers write at once to one SQLite file: every answer is a success, and every row is there."""
# ruff: noqa: S310 - an address of our own

from __future__ import annotations

import json
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.shop.faults.served import manage, served

WORKERS, WRITERS, EACH = 4, 8, 12

SET_UP = """
from django.core.management import call_command
from shop.accounts.models import User
call_command("migrate", verbosity=0)
User.objects.create_user("rowan", "a long pass phrase", role="owner")
call_command("token", "rowan", "--scope", "write")
"""
NAMES = "from quoting.models import Client; print(*Client.objects.values_list('name', flat=True), sep=',')"


def test_four_workers_writing_at_once_lose_nothing(tmp_path: Path) -> None:
    var = tmp_path / "var"
    token = manage(var, "shell", "-v0", "-c", SET_UP).split()[-1]
    with served(var, WORKERS) as address, ThreadPoolExecutor(WRITERS) as writers:

        def write(name: str) -> int:
            asked = urllib.request.Request(
                f"{address}/api/v1/clients",
                json.dumps({"name": name}).encode(),
                {"Authorization": f"Bearer {token}", "Content-Type": "application/json"},
            )
            with urllib.request.urlopen(asked, timeout=60) as answer:
                return int(answer.status)

        names = [f"Client {number}" for number in range(WRITERS * EACH)]
        assert set(writers.map(write, names)) == {201}
    kept = manage(var, "shell", "-v0", "-c", NAMES).strip().split(",")
    assert sorted(kept) == sorted(names)
