"""How soon each change in the piece editor is answered, by a real server, against its barest page.

By hand: `python -m tests.benchmarks.bench_preview`. Gunicorn with two workers on a database of its own in a
temporary folder, asked over the loopback by one person, as the editor asks: the whole form after each single
change. Aim: 95 of 100 within 150 ms, server, session and network included. A refused change counts like any.
The pages of a saved piece beside them: within 300 ms.
"""

from __future__ import annotations

import argparse
import http.client
import math
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

from tests.benchmarks.typed_form import edits, form_of

PIECES = ("reading-room-table", "cafe-counter", "hearth", "round-table-top", "bench")
AIM_MS, PAGE_AIM_MS = 150.0, 300.0
PAGES = {"a piece's page": "/pieces/1/", "its what-ifs": "/pieces/1/what-if", "its mould": "/pieces/1/mould"}
PAGE_ASKS = 20
WARM_UP = 6
FLOOR_ASKS = 100


def main() -> None:
    """Serve, ask, print."""
    parser = argparse.ArgumentParser(description="Measures the editor's preview.")
    parser.add_argument("--edits", type=int, default=100)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--by-field", action="store_true")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"VAR_DIR": folder, "DJANGO_SETTINGS_MODULE": "shop.settings", "LOG_LEVEL": "ERROR"}
        os.environ.pop("DATABASE_URL", None)
        cookies = set_up()
        with served(asked.workers) as port:
            print_figures(Person(port, cookies), asked.edits, by_field=asked.by_field)


def set_up() -> str:
    """A shop with the demo's catalogue and terms; the cookies of its owner, signed in."""
    import django
    from django.conf import settings

    django.setup()
    settings.ALLOWED_HOSTS = ["testserver"]
    from django.core.management import call_command
    from django.test import Client
    from django.utils import timezone

    from shop.accounts.models import User
    from shop.demo import load_demo

    call_command("migrate", verbosity=0)
    demo = load_demo("metric", on=timezone.localdate())
    browser = Client()
    browser.force_login(User.objects.get(username=demo.username))
    browser.get("/pieces/new?example=hearth")
    return "; ".join(f"{name}={morsel.value}" for name, morsel in browser.cookies.items())


@contextmanager
def served(workers: int) -> Iterator[int]:
    """Serve the site and yield its port; stop it afterwards."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [sys.executable, "-m", "gunicorn", "tests.benchmarks.preview_site", "--preload"]
    options = ["--bind", f"127.0.0.1:{port}", "--workers", str(workers), "--log-level", "error"]
    with subprocess.Popen([*command, *options], cwd=Path(__file__).parents[2]) as server:
        try:
            _wait_for(port, server)
            yield port
        finally:
            server.terminate()


def _wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until and server.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            time.sleep(0.1)  # it is not there yet; nothing tells when it is
    raise SystemExit("the server did not start")


class Person:
    """Somebody signed in, who asks one thing after another."""

    def __init__(self, port: int, cookies: str) -> None:
        self._port, self._cookies = port, cookies

    def ask(self, path: str, form: dict[str, str] | None = None) -> tuple[str, float, float]:
        """The answer, how many milliseconds it took, and how many of them of the server's processor."""
        head = {"Cookie": self._cookies, "HX-Request": "true"}
        body = None
        if form is not None:
            body, head["Content-Type"] = urlencode(form), "application/x-www-form-urlencoded"
        begun = time.perf_counter()
        link = http.client.HTTPConnection("127.0.0.1", self._port, timeout=60)
        link.request("POST" if form is not None else "GET", path, body, head)
        answer = link.getresponse()
        text = answer.read().decode()
        took = 1000 * (time.perf_counter() - begun)
        link.close()
        if answer.status != http.HTTPStatus.OK:
            raise SystemExit(f"{path} answered {answer.status}")
        return text, took, float(str(answer.headers["Server-Timing"]).partition("dur=")[2])


def print_figures(person: Person, number: int, *, by_field: bool) -> None:
    """One line a piece."""
    bare = [person.ask("/floor/page")[1:] for _ in range(FLOOR_ASKS)]
    floor, floor_cpu = (statistics.median(each) for each in zip(*bare, strict=True))
    print(f"bare page {floor:.1f} ms, {floor_cpu:.1f} ms of the processor; {os.cpu_count()} cores")
    print(f"{'':24}{'p50':>7}{'p95':>7}{'most':>7}{'cpu p50':>9}{'p95':>7}{'cpu × bare':>12}{'refused':>9}")
    for name, path in PAGES.items():
        print_row(name, [person.ask(path)[1:] for _ in range(PAGE_ASKS + 1)][1:], floor_cpu, aim=PAGE_AIM_MS)
    for piece in PIECES:
        form = form_of(person.ask(f"/pieces/new?example={piece}")[0], "piece-form")
        for _, changed in edits(form, WARM_UP, seed=1):
            person.ask("/pieces/preview", changed)
        times, refused = defaultdict[str, list[tuple[float, float]]](list), 0
        for name, changed in edits(form, number):
            text, took, cpu = person.ask("/pieces/preview", changed)
            times[name].append((took, cpu))
            refused += 'id="preview"' not in text
        print_row(piece, [both for each in times.values() for both in each], floor_cpu, refused)
        if by_field:
            for name, each in times.items():
                print_row(f"  {name}", each, floor_cpu)


def print_row(
    name: str, both: list[tuple[float, float]], floor: float, refused: int = 0, *, aim: float = AIM_MS
) -> None:
    """The middle and the late ones, by the clock and by the processor."""
    late, busy = (list(each) for each in zip(*both, strict=True))
    (half, most), (half_cpu, most_cpu) = ((statistics.median(x), within(x, 0.95)) for x in (late, busy))
    told = "" if most <= aim else f"  over {aim:.0f} ms"
    ratio = half_cpu / floor
    print(
        f"{name:24}{half:7.0f}{most:7.0f}{max(late):7.0f}{half_cpu:9.0f}{most_cpu:7.0f}{ratio:12.1f}"
        f"{refused:9}{told}"
    )


def within(times: list[float], share: float) -> float:
    """The time within which that share of them was done (nearest rank)."""
    return sorted(times)[math.ceil(share * len(times)) - 1]


if __name__ == "__main__":
    main()
