"""The same piece gives the same bytes whatever the process is like: hash seed, time zone, language."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
PIECES = ("reading-room-table", "cafe-counter", "shape-oval")
SURROUNDINGS = (
    {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "de_DE.UTF-8"},
    {"PYTHONHASHSEED": "4242", "TZ": "America/St_Johns", "LC_ALL": "tr_TR.UTF-8"},
)


def told(surroundings: dict[str, str]) -> bytes:
    done = subprocess.run(
        [sys.executable, "-m", "tests.quoting.engine.estimate.told", *PIECES],
        cwd=ROOT,
        env={**os.environ, **surroundings},
        capture_output=True,
        check=True,
    )
    return done.stdout


def test_hash_seed_time_zone_and_language_change_no_byte() -> None:
    first, *others = [told(each) for each in SURROUNDINGS]
    assert all(other == first for other in others)
    lines = first.splitlines()
    assert len(lines) == len(PIECES)
    table = json.loads(lines[0])
    assert table["price"]["gross"] == table["what_if"]["base"]["gross"]
    assert {"risk", "breaks", "promise", "cure", "handling"} <= table.keys()
