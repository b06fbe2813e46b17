"""A few workers killed in the middle of issuing, accepting, importing and backing up; `kills.py` has more."""

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings


def test_a_killed_worker_loses_nothing_and_leaves_nothing_half_done(tmp_path: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LD_LIBRARY_PATH"}}
    done = subprocess.run(
        [sys.executable, "-m", "tests.shop.faults.kills", "--kills", "8", "--seed", "3"],
        cwd=settings.BASE_DIR,
        env={**kept, "VAR_DIR": str(tmp_path / "var")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("8 kills")
