"""A real server on this machine for a while: gunicorn with its workers, on a database of its own."""
# ruff: noqa: S310 - an address of our own

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

START_SECONDS = 90


def environment(var: Path) -> dict[str, str]:
    """Variables of a site of its own."""
    kept = {name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LD_LIBRARY_PATH"}}
    return {
        **kept,
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "SHOP_MODE": "development",
        "VAR_DIR": str(var),
        "API_PER_MINUTE": "1000000",
        "LOG_LEVEL": "ERROR",
    }


def manage(var: Path, *arguments: str) -> str:
    """Run a command on that site."""
    done = subprocess.run(
        [sys.executable, "-m", "django", *arguments],
        cwd=settings.BASE_DIR,
        env=environment(var),
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


@contextmanager
def served(var: Path, workers: int, threads: int = 1) -> Iterator[str]:
    """Serve it and yield the address; stop it afterwards."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "shop.wsgi", "--preload", "--bind", f"127.0.0.1:{port}"]
    options = ["--workers", str(workers), "--threads", str(threads), "--log-level", "error"]
    with subprocess.Popen([*command, *options], cwd=settings.BASE_DIR, env=environment(var)) as server:
        try:
            address = f"http://127.0.0.1:{port}"
            _wait_for(address, server)
            yield address
        finally:
            server.terminate()


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until:
        if server.poll() is not None:
            raise AssertionError(f"the server ended with {server.returncode}")
        try:
            urllib.request.urlopen(f"{address}/healthz", timeout=5).close()
            return
        except urllib.error.HTTPError:
            raise
        except OSError:
            time.sleep(0.1)  # it is not there yet; nothing tells when it is
    raise AssertionError("the server did not start in time")
