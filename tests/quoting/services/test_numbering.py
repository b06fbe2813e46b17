"""Numbers without gap or repeat: twenty people at once, one killed in the middle."""

from __future__ import annotations

import subprocess
import sys
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
