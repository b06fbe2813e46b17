"""A worker killed in the middle of each kind of work; KILLS=300 in the environment for more."""

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings

KILLS = os.environ.get("KILLS", "7")


def test_a_killed_worker_loses_nothing_and_leaves_nothing_half_done(tmp_path: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LD_LIBRARY_PATH"}}
    done = subprocess.run(
        [sys.executable, "-m", "tests.shop.faults.kills", "--kills", KILLS, "--seed", "3"],
        cwd=settings.BASE_DIR,
        env={**kept, "VAR_DIR": str(tmp_path / "var")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{KILLS} kills")
