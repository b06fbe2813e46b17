"""Numbers without gap or repeat: twenty people at once, one killed in the middle; on both databases."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings

from tests.quoting.services.conftest import run

PROGRAM = (sys.executable, "-m", "tests.quoting.services.issuing_program")
PEOPLE = 20


def _run(place: dict[str, str], *words: str) -> Any:
    return run("issuing_program", place, *words)


def test_twenty_people_issue_at_once(place: dict[str, str]) -> None:
    _run(place, "prepare", str(PEOPLE))
    assert _run(place, "together") == {"wrong": []}
    kept = _run(place, "state")
    numbers = [f"Q26-{number:04d}" for number in range(1, PEOPLE + 1)]
    assert kept["numbers"] == numbers
    assert kept["said"] == numbers
    assert kept["last"] == {"Q26": PEOPLE}


def test_a_process_killed_in_the_middle_leaves_nothing(place: dict[str, str]) -> None:
    _run(place, "prepare", "1")
    for point in ("paper", "rows"):
        with subprocess.Popen(
            [*PROGRAM, "die", point], env=place, cwd=settings.BASE_DIR, stdout=subprocess.PIPE, text=True
        ) as doomed:
            assert doomed.stdout is not None
            assert doomed.stdout.readline() == "in the middle\n"
            doomed.kill()
            assert doomed.wait() == -9
    kept = _run(place, "state")
    assert kept["drafts"] == 1
    assert kept["numbers"] == kept["said"] == []
    assert set(kept["last"].values()) <= {0}
    assert _run(place, "together") == {"wrong": []}
    assert _run(place, "state")["numbers"] == ["Q26-0001"]


def test_what_is_frozen_stays_so_on_postgresql(server: str, tmp_path: Path) -> None:
    """The tests of the frozen rows once more, on a real PostgreSQL."""
    environment = dict(os.environ) | {"DATABASE_URL": server, "VAR_DIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "tests/quoting/models/test_frozen.py"],
        env=environment,
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    assert " passed" in done.stdout
