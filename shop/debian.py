"""System packages that pip cannot bring, on Debian: found missing, then installed by root or named for him.

Standard library alone: ``manage.py`` uses this before anything else is installed.
"""

from __future__ import annotations

import ctypes.util
import importlib.util
import os
import shutil
import subprocess
import sys

# What each is for: python3-venv carries ensurepip, which Debian splits off; the other two lay out and shrink
# the letters of PDF documents (Pango, HarfBuzz).
VENV_PACKAGE = "python3-venv"
LIBRARIES = {"pangoft2-1.0": "libpangoft2-1.0-0", "harfbuzz-subset": "libharfbuzz-subset0"}
INSTALL = ("apt-get", "install", "--yes", "--no-install-recommends")


class Unmet(Exception):
    """Something this machine lacks and we may not or cannot put there; the text says what to do."""


def missing_packages() -> list[str]:
    """Return the Debian packages that this Python and the document printer still need."""
    found = [] if importlib.util.find_spec("ensurepip") else [VENV_PACKAGE]
    return found + [package for name, package in LIBRARIES.items() if not ctypes.util.find_library(name)]


def may_install(packages: list[str]) -> None:
    """Raise :class:`Unmet` with the one line to run unless ``packages`` are none or we are root on Debian."""
    names = " ".join(packages)
    if not packages:
        return
    if not shutil.which("apt-get"):
        raise Unmet(f"Missing system libraries (by Debian's names): {names}. Install them, then start again.")
    if os.geteuid() != 0:
        line = f"apt-get update && {' '.join((*INSTALL, *packages))}"
        raise Unmet(f"Missing system packages. As root run this line, then start again:\n\n  {line}\n")


def install_packages(packages: list[str]) -> None:
    """Install ``packages`` when root on Debian; otherwise raise :class:`Unmet` with the one line to run."""
    may_install(packages)
    names = " ".join(packages)
    install = [*INSTALL, *packages]
    say(f"Installing Debian packages: {names}")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["apt-get", "update"], install):
        done = subprocess.run(
            [*command, "-qq"],
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise Unmet(f"{' '.join(command)} failed:\n{done.stderr.strip()}\nIs this machine offline?")


def say(message: str) -> None:
    """Print a line of progress at once, on standard error: standard output belongs to the command."""
    print(message, file=sys.stderr, flush=True)
