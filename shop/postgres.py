"""A PostgreSQL of one's own for as long as a command runs: made, used, thrown away.

    python3 -m shop.postgres COMMAND ...

runs COMMAND with DATABASE_URL set. The server listens on a socket in its own folder only. It keeps nothing,
so it need not wait for the disk. As root it runs as the user that Debian's package makes: PostgreSQL refuses
root. Standard library alone.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from shop.debian import Unmet, install_packages, say

PACKAGE = "postgresql"
SERVICE_USER = "postgres"
NAME = "workshop"
FAST = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "listen_addresses=")


def programs() -> Path | None:
    """Return the folder with the newest server's programs, None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


def ensure_postgres() -> Path:
    """Return the folder with the server's programs, installing them when root; else raise ``Unmet``."""
    folder = programs()
    if folder is None:
        say("The tests run on a real PostgreSQL too, and there is none yet.")
        install_packages([PACKAGE])
        folder = programs()
    if folder is None:
        raise Unmet("PostgreSQL's initdb is not where Debian puts it.")
    return folder


@contextmanager
def throwaway() -> Iterator[str]:
    """Start an empty server, yield its DATABASE_URL, stop it and delete everything."""
    folder = ensure_postgres()
    with tempfile.TemporaryDirectory(prefix="pg-") as home:
        data = Path(home) / "data"
        if os.geteuid() == 0:
            shutil.chown(home, SERVICE_USER, SERVICE_USER)
        _run(
            folder / "initdb", "--pgdata", data, "--auth=trust", "--encoding=UTF8", "--no-locale", "--no-sync"
        )
        settings = " ".join(f"-c {setting}" for setting in (*FAST, f"unix_socket_directories={home}"))
        _run(folder / "pg_ctl", "start", "-D", data, "-w", "-s", "-l", Path(home) / "log", "-o", settings)
        try:
            _run(folder / "createdb", "--host", home, NAME)
            user = SERVICE_USER if os.geteuid() == 0 else os.environ.get("USER", "")
            yield f"postgresql://{user}@{quote(home, safe='')}/{NAME}"
        finally:
            _run(folder / "pg_ctl", "stop", "-D", data, "-m", "immediate", "-s")


def _run(program: Path, *arguments: str | Path) -> None:
    as_whom = ("runuser", "-u", SERVICE_USER, "--") if os.geteuid() == 0 else ()
    command = [*as_whom, str(program), *map(str, arguments)]
    # What it says goes to a file of its own or nowhere: a server that inherits a pipe keeps it open.
    done = subprocess.run(
        command,
        cwd="/",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=False,
    )
    if done.returncode:
        raise Unmet(f"{program.name} failed with status {done.returncode}.")


def main(command: Sequence[str]) -> int:
    """Run a command beside a server of its own and return its status."""
    if not command:
        say(__doc__ or "")
        return 2
    try:
        with throwaway() as url:
            environment = {**os.environ, "DATABASE_URL": url}
            return subprocess.run(list(command), env=environment, check=False).returncode
    except Unmet as unmet:
        say(str(unmet))
        return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
