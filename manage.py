#!/usr/bin/env python3
"""Runs the project's commands; on a fresh machine it first makes what they need.

    python3 manage.py quickstart    a working site with example data
    python3 manage.py verify        every check there is

With the standard library alone it makes ``.venv``, installs the locked packages there with their hashes
checked, and starts itself again inside. Once that is done, a run goes straight on until a lock file changes.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import time
from pathlib import Path

BASE = Path(__file__).resolve().parent
VENV = BASE / ".venv"
RUNTIME_LOCK = BASE / "requirements.lock"
DEVELOPMENT_LOCK = BASE / "requirements-dev.lock"  # everything of the other, and the tools
PIP_OPTIONS = (
    *("--require-hashes", "--no-deps", "--no-input", "--disable-pip-version-check"),
    *("--retries=2", "--progress-bar=off"),
    # Wheels, so that nothing is built here; the one tool that publishes none is plain Python.
    *("--only-binary=:all:", "--no-binary=rectpack"),
)
NEEDS_TOOLS = frozenset({"verify", "audit"})
OLDEST, NEWEST = (3, 11), (3, 13)
OFFLINE_SIGNS = (
    "NewConnectionError",
    "NameResolutionError",
    "Temporary failure in name resolution",
    "ConnectTimeoutError",
    "Network is unreachable",
)


def check_python(version: tuple[int, int]) -> None:
    """Leave with status 2 when this Python is not one the lock was made for."""
    if not OLDEST <= version <= NEWEST:
        here, oldest, newest = (f"{major}.{minor}" for major, minor in (version, OLDEST, NEWEST))
        leave(f"This is Python {here}, and it takes {oldest} to {newest}. Try: python{newest} manage.py ...")


def leave(message: str) -> None:
    """Say why we cannot go on, and leave with status 2."""
    print(message, file=sys.stderr)
    sys.exit(2)


def is_inside(venv: Path) -> bool:
    """Return whether this process already runs on the environment's own Python."""
    return Path(sys.prefix).resolve() == venv.resolve()


def stamp_of(lock: Path, venv: Path) -> Path:
    """Return the file that says with which state of ``lock`` the environment was filled."""
    return venv / (lock.name + ".sha256")


def state_of(lock: Path, venv: Path) -> str:
    """Return what the stamp says when ``lock`` is installed: its digest, and the Python it was installed for.

    The Python is the environment's own, whichever started this script: a system upgrade that puts another in
    its place makes the environment useless, a developer who tries another version does not.
    """
    return "{} {}".format(hashlib.sha256(lock.read_bytes()).hexdigest(), (venv / "bin" / "python").resolve())


def is_installed(lock: Path, venv: Path) -> bool:
    """Return whether ``venv`` holds what ``lock`` asks for."""
    stamp = stamp_of(lock, venv)
    has_python = (venv / "bin" / "python").exists()
    return has_python and stamp.exists() and stamp.read_text() == state_of(lock, venv)


def is_sound(venv: Path) -> bool:
    """Return whether ``venv`` has a Python that works and a pip that belongs to it."""
    python = venv / "bin" / "python"
    if not python.exists():
        return False
    return (
        subprocess.run([str(python), "-m", "pip", "--version"], capture_output=True, check=False).returncode
        == 0
    )


def bootstrap(locks: list[Path], venv: Path) -> None:
    """Make ``venv`` and install the last of ``locks``, which holds all of those before it.

    The stamps are written last: a run that was broken off is taken up by the next.
    """
    from shop.debian import Unmet, install_packages, missing_packages, say

    started = time.monotonic()
    missing = missing_packages()
    if missing:
        install_packages(missing)
    if not is_sound(venv):
        say("Making .venv")
        make = [sys.executable, "-m", "venv", "--clear", str(venv)]
        if subprocess.run(make, check=False).returncode:
            raise Unmet("This Python cannot make a virtual environment; try another one from 3.11 to 3.13.")
    pip_install(locks[-1], venv)
    for lock in locks:
        stamp_of(lock, venv).write_text(state_of(lock, venv))
    say(f"Ready after {time.monotonic() - started:.0f} s")


def pip_install(lock: Path, venv: Path) -> None:
    """Install ``lock`` into ``venv``, every hash checked; raise ``Unmet`` when that fails."""
    from shop.debian import Unmet, say

    total = sum(1 for line in lock.read_text().splitlines() if line[:1].isalnum())
    say(f"Installing {total} packages from {lock.name}")
    command = [str(venv / "bin" / "python"), "-m", "pip", "install", *PIP_OPTIONS, "-r", str(lock)]
    tail: list[str] = []
    count = 0
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        for line in process.stdout or ():
            tail = [*tail[-15:], line]
            if line.startswith(("Collecting ", "Requirement already satisfied")):
                count += 1
                show_count(count, total)
    if process.returncode:
        if any(sign in "".join(tail) for sign in OFFLINE_SIGNS):
            raise Unmet("The package index cannot be reached: is this machine offline? Try again online.")
        raise Unmet("Installing {} failed:\n{}".format(lock.name, "".join(tail)))


def show_count(count: int, total: int) -> None:
    """Show how far the installation is: in place on a terminal, every tenth package in a log."""
    if sys.stderr.isatty():
        print(
            f"\r  {count} of {total}",
            end="" if count < total else "\n",
            file=sys.stderr,
            flush=True,
        )
    elif count % 10 == 0:
        print(f"  {count} of {total}", file=sys.stderr, flush=True)


def main(arguments: list[str]) -> None:
    """Run a Django command on the environment's Python, made first where it is not."""
    check_python((sys.version_info[0], sys.version_info[1]))
    if is_inside(VENV):
        from django.core.management import execute_from_command_line

        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
        execute_from_command_line(["manage.py", *arguments])
        return
    locks = [RUNTIME_LOCK, *([DEVELOPMENT_LOCK] if NEEDS_TOOLS.intersection(arguments[:1]) else [])]
    if not all(is_installed(lock, VENV) for lock in locks):
        from shop.debian import Unmet

        try:
            bootstrap(locks, VENV)
        except Unmet as unmet:
            leave(str(unmet))
    python = str(VENV / "bin" / "python")
    os.execv(python, [python, str(BASE / "manage.py"), *arguments])


if __name__ == "__main__":
    main(sys.argv[1:])
