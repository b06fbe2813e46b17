"""What manage.py does before there is a Django: on a machine that has things, and on one that lacks them."""

import ctypes.util
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from django.conf import settings

from shop import debian


@pytest.fixture
def manage() -> ModuleType:
    """The script as a module."""
    spec = importlib.util.spec_from_file_location("manage_script", settings.BASE_DIR / "manage.py")
    if spec is None or spec.loader is None:
        raise AssertionError("manage.py cannot be read")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """A Debian that has nothing of what we need; returns the commands that would have run."""
    ran: list[list[str]] = []

    def run(command: list[str], **_: Any) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(ctypes.util, "find_library", lambda name: None)
    monkeypatch.setattr(shutil, "which", lambda name: f"bin/{name}")
    monkeypatch.setattr(subprocess, "run", run)
    return ran


def fake_venv(folder: Path) -> Path:
    """Make what the script takes for an environment."""
    venv = folder / ".venv"
    (venv / "bin").mkdir(parents=True)
    (venv / "bin" / "python").write_text("#!/bin/sh\n")
    (venv / "bin" / "python").chmod(0o755)
    return venv


def stamp(manage: ModuleType, lock: Path, venv: Path) -> None:
    """Say that the lock, as it is now, is installed."""
    python = (venv / "bin" / "python").resolve()
    manage.stamp_of(lock, venv).write_text(f"{hashlib.sha256(lock.read_bytes()).hexdigest()} {python}")


@pytest.mark.parametrize("version", [(3, 11), (3, 12), (3, 13)])
def test_python_in_range(manage: ModuleType, version: tuple[int, int]) -> None:
    assert manage.check_python(version) is None


@pytest.mark.parametrize("version", [(3, 9), (3, 10), (3, 14)])
def test_python_out_of_range(
    manage: ModuleType, version: tuple[int, int], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        manage.check_python(version)
    assert left.value.code == 2
    assert f"This is Python {version[0]}.{version[1]}" in capsys.readouterr().err


def test_stamp_follows_the_lock(manage: ModuleType, tmp_path: Path) -> None:
    venv, lock = fake_venv(tmp_path), tmp_path / "requirements.lock"
    lock.write_text("one==1\n")
    assert not manage.is_installed(lock, venv)
    stamp(manage, lock, venv)
    assert manage.is_installed(lock, venv)
    lock.write_text("one==2\n")
    assert not manage.is_installed(lock, venv)


def test_a_python_put_in_the_place_of_another_is_noticed(manage: ModuleType, tmp_path: Path) -> None:
    venv, lock = fake_venv(tmp_path), tmp_path / "requirements.lock"
    lock.write_text("one==1\n")
    stamp(manage, lock, venv)
    (venv / "bin" / "python").rename(tmp_path / "python3.13")
    assert not manage.is_installed(lock, venv)
    (venv / "bin" / "python").symlink_to(tmp_path / "python3.13")
    assert not manage.is_installed(lock, venv)


def test_an_environment_of_another_version_is_left_alone(
    manage: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever starts the script with another Python must not empty the environment that others use."""
    venv, lock = fake_venv(tmp_path), tmp_path / "requirements.lock"
    lock.write_text("one==1\n")
    stamp(manage, lock, venv)
    monkeypatch.setattr(sys, "version_info", (3, 13, 5, "final", 0))
    assert manage.is_installed(lock, venv)
    lock.write_text("one==2\n")
    monkeypatch.setattr(debian, "missing_packages", list)
    keepsake = venv / "keepsake"
    keepsake.touch()
    manage.bootstrap([lock], venv)
    assert keepsake.exists()


def test_a_broken_environment_is_not_sound(manage: ModuleType, tmp_path: Path) -> None:
    venv = fake_venv(tmp_path)
    assert manage.is_sound(venv)
    pip_that_says(venv, "No module named pip", 1)
    assert not manage.is_sound(venv)
    (venv / "bin" / "python").unlink()
    assert not manage.is_sound(venv)


def test_bare_debian_lacks_three_packages(bare: list[list[str]]) -> None:
    assert debian.missing_packages() == ["python3-venv", "libpangoft2-1.0-0", "libharfbuzz-subset0"]


def test_root_installs_them(bare: list[list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    debian.install_packages(["python3-venv"])
    assert [command[:2] for command in bare] == [["apt-get", "update"], ["apt-get", "install"]]
    assert {"python3-venv", "--no-install-recommends"} <= set(bare[1])


def test_others_are_told_the_line(bare: list[list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(debian.Unmet) as unmet:
        debian.install_packages(["python3-venv"])
    line = "apt-get update && apt-get install --yes --no-install-recommends python3-venv"
    assert [row.strip() for row in str(unmet.value).splitlines()].count(line) == 1
    assert bare == []


def test_without_apt_the_libraries_are_named(bare: list[list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: None)
    with pytest.raises(debian.Unmet, match="libpangoft2"):
        debian.install_packages(["libpangoft2-1.0-0"])


def test_failing_apt_says_so(bare: list[list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    failed = subprocess.CompletedProcess(["apt-get"], 100, "", "Could not resolve host")
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: failed)
    with pytest.raises(debian.Unmet, match=r"(?s)Could not resolve.*offline"):
        debian.install_packages(["python3-venv"])


def pip_that_says(venv: Path, text: str, status: int) -> None:
    """Put a script where the environment's Python would be."""
    (venv / "bin" / "python").write_text(f"#!/bin/sh\necho '{text}'\nexit {status}\n")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Temporary failure in name resolution", "offline"),
        ("THESE PACKAGES DO NOT MATCH THE HASHES", "MATCH THE HASHES"),
    ],
)
def test_failing_pip_says_why(manage: ModuleType, tmp_path: Path, text: str, expected: str) -> None:
    venv, lock = fake_venv(tmp_path), tmp_path / "requirements.lock"
    lock.write_text("one==1\n")
    pip_that_says(venv, text, 1)
    with pytest.raises(debian.Unmet, match=expected):
        manage.pip_install(lock, venv)


def test_stamps_are_written_after_everything_else(
    manage: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    venv, lock = fake_venv(tmp_path), tmp_path / "requirements.lock"
    lock.write_text("one==1\n")
    monkeypatch.setattr(debian, "missing_packages", list)
    monkeypatch.setattr(
        manage.subprocess, "run", lambda command, **_: subprocess.CompletedProcess(command, 0)
    )
    pip_that_says(venv, "no", 1)
    with pytest.raises(debian.Unmet):
        manage.bootstrap([lock], venv)
    assert not manage.is_installed(lock, venv)
    pip_that_says(venv, "Collecting one", 0)
    manage.bootstrap([lock], venv)
    assert manage.is_installed(lock, venv)


def test_unmet_leaves_with_status_2(
    manage: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(packages: list[str]) -> None:
        raise debian.Unmet("run this line")

    monkeypatch.setattr(manage, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(debian, "missing_packages", lambda: ["python3-venv"])
    monkeypatch.setattr(debian, "install_packages", refuse)
    with pytest.raises(SystemExit) as left:
        manage.main(["migrate"])
    assert left.value.code == 2
    assert "run this line" in capsys.readouterr().err


@pytest.mark.parametrize(("command", "count"), [("migrate", 1), ("verify", 2)])
def test_starts_itself_again_inside(
    manage: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, count: int
) -> None:
    asked: list[list[Path]] = []
    started: list[list[str]] = []
    monkeypatch.setattr(manage, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(manage, "bootstrap", lambda locks, venv: asked.append(locks))
    monkeypatch.setattr(manage.os, "execv", lambda path, words: started.append([path, *words]))
    manage.main([command, "-x"])
    assert [len(locks) for locks in asked] == [count]
    assert started[0][0] == str(tmp_path / ".venv" / "bin" / "python")
    assert started[0][-2:] == [command, "-x"]
