"""A server of one's own: what is said where there is none and it may not be installed."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from shop import postgres
from shop.debian import Unmet


def test_a_command_is_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    assert postgres.main([]) == 2
    assert "COMMAND" in capsys.readouterr().err


def test_without_a_server_the_line_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgres, "programs", lambda: None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    with pytest.raises(Unmet, match="--no-install-recommends postgresql"):
        postgres.ensure_postgres()


def test_a_server_that_does_not_start_is_a_failure(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fails = tmp_path / "initdb"
    fails.write_text("#!/bin/sh\nexit 3\n", encoding="ascii")
    fails.chmod(0o755)
    monkeypatch.setattr(postgres, "ensure_postgres", lambda: tmp_path)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert postgres.main([sys.executable, "-c", "raise SystemExit(0)"]) == 2
    assert "initdb failed with status 3" in capsys.readouterr().err
