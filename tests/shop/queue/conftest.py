"""A Redis of one's own on a port of its own, and workers in processes of their own."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.conf import settings

SERVERS = ("redis-server", "valkey-server")
LISTENS = "Ready to accept connections"
QUIET = ("--save", "", "--appendonly", "no", "--bind", "127.0.0.1")


@dataclass
class Server:
    """A server that runs, and where."""

    address: str
    process: subprocess.Popen[bytes]

    def kill(self) -> None:
        """Take it away without a word, with all that works for it."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(30)


Serve = Callable[..., Server]
Work = Callable[[str], Server]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def started(address: str, *command: str, folder: Path, said: str) -> Iterator[Server]:
    """A process in a group of its own until the test ends, once its log says that it is ready."""
    log = folder / f"{Path(command[0]).name}-{free_port()}.log"
    environment = {**os.environ, "CELERY_BROKER_URL": address, "VAR_DIR": str(folder)}
    with log.open("wb") as out:
        process = subprocess.Popen(
            command, cwd=settings.BASE_DIR, env=environment, stdout=out, stderr=out, start_new_session=True
        )
    with process:
        server = Server(address, process)
        try:
            _wait_for_line(log, said, process)
            yield server
        finally:
            server.kill()


def _wait_for_line(log: Path, said: str, process: subprocess.Popen[bytes]) -> None:
    """Follow the log as it is written until it says so."""
    with subprocess.Popen(["tail", "-n", "+1", "-F", str(log)], stdout=subprocess.PIPE, text=True) as tail:
        assert tail.stdout is not None
        try:
            for line in tail.stdout:
                if said in line:
                    return
                assert process.poll() is None, log.read_text(errors="replace")
        finally:
            tail.kill()


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Start a Redis; told a certificate and its key, one over TLS alone."""
    program = next((found for name in SERVERS if (found := shutil.which(name))), None)
    assert program, "The queue is tested on a real Redis: apt-get install redis-server"
    with ExitStack() as running:

        def start(certificate: Path | None = None, key: Path | None = None, port: int = 0) -> Server:
            port = port or free_port()
            ports = ["--port", str(port)]
            address = f"redis://127.0.0.1:{port}/0"
            if certificate and key:
                ports = ["--port", "0", "--tls-port", str(port), "--tls-auth-clients", "no"]
                ports += ["--tls-cert-file", str(certificate), "--tls-key-file", str(key)]
                address = f"rediss://127.0.0.1:{port}/0?ssl_ca_certs={certificate}"
            command = (program, *QUIET, *ports)
            return running.enter_context(started(address, *command, folder=tmp_path, said=LISTENS))

        yield start


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Work]:
    """Start a worker at an address and wait until it is ready."""
    with ExitStack() as running:

        def start(address: str) -> Server:
            command = [sys.executable, "-m", "celery", "-A", "shop.celery", "worker", "--concurrency", "1"]
            options = ["--without-gossip", "--without-mingle", "--loglevel", "INFO"]
            return running.enter_context(started(address, *command, *options, folder=tmp_path, said="ready."))

        yield start
