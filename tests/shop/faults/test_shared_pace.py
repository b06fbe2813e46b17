"""Processes that share one database share the count of requests; a long write keeps no reader waiting."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from django.conf import settings

from tests.shop.faults.served import environment, manage

EACH = 200
SET_UP = """
from django.core.management import call_command
from shop.accounts.models import User
call_command("migrate", verbosity=0)
User.objects.create_user("rowan", pk=1)
"""
COUNTS = f"""
import json, sys
import django
django.setup()
from shop.pace import counted
print("ready", flush=True)
sys.stdin.readline()
print(json.dumps([counted(1, "default", 5) for _ in range({EACH})]))
"""
HELD = """
import sqlite3, time
from django.conf import settings
from django.db import connection
from shop.accounts.models import User
from shop.pace import counted
assert counted(1, "default", 6) == 1
other = sqlite3.connect(settings.DATABASES["default"]["NAME"], isolation_level=None)
other.execute("BEGIN IMMEDIATE")
begun = time.monotonic()
assert counted(1, "default", 6) is None
assert time.monotonic() - begun < 10, "it waited as long as a write does"
assert User.objects.count() == 1
other.execute("ROLLBACK")
assert counted(1, "default", 6) == 2
with connection.cursor() as cursor:
    assert cursor.execute("PRAGMA busy_timeout").fetchone() == (20_000,)
print("good")
"""


def test_two_processes_count_together(tmp_path: Path) -> None:
    """Every number once, none left out; what a busy disk kept from being counted has none."""
    manage(tmp_path, "shell", "-v0", "-c", SET_UP)
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", COUNTS],
            cwd=settings.BASE_DIR,
            env=environment(tmp_path),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    for worker in workers:
        assert worker.stdout is not None
        assert worker.stdout.readline() == "ready\n"
    for worker in workers:
        assert worker.stdin is not None
        worker.stdin.write("go\n")
        worker.stdin.flush()
    got = [json.loads(worker.communicate(timeout=120)[0]) for worker in workers]
    numbers = [[number for number in one if number is not None] for one in got]
    assert all(numbers), "both were counted"
    both = sorted(numbers[0] + numbers[1])
    assert both == list(range(1, len(both) + 1))
    assert len(both) > EACH, "more than one process alone has asked"


def test_a_long_write_keeps_nobody_from_reading(tmp_path: Path) -> None:
    manage(tmp_path, "shell", "-v0", "-c", SET_UP)
    assert manage(tmp_path, "shell", "-v0", "-c", HELD).split() == ["good"]
