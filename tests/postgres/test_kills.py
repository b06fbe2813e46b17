"""A worker killed in the middle of each kind of work, on a PostgreSQL of its own; `KILLS` says how often."""

from pathlib import Path

from tests.shop.faults.kills import KILLS, killed


def test_a_killed_worker_loses_nothing_and_leaves_nothing_half_done(tmp_path: Path) -> None:
    done = killed(tmp_path / "var", "--postgres", "--seed", "4")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{KILLS} kills")
