"""Many people at once against a real server on this machine: how many answers, how late, how wrong.

By hand: `python -m tests.benchmarks.load_site --people 50 --seconds 60 --workers 2`. Loopback only, a
database of its own in a temporary folder. Each reads lists and a quote, and adds a client now and then,
one request after another. Ends with 1 where any answer was an error or a client added is not there.
"""
# ruff: noqa: S310 - an address of our own

from __future__ import annotations

import argparse
import json
import os
import statistics
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from pathlib import Path

READS = ("/api/v1/quotes", "/api/v1/clients", "/api/v1/quotes/1", "/api/v1/pieces", "/api/v1/materials")
SECRET = "from shop.accounts.models import User; print(User.objects.get(role='owner').username)"
COUNT = "from quoting.models import Client; print(Client.objects.filter(name__startswith='Load ').count())"


def main() -> None:
    """Serve, ask, print."""
    parser = argparse.ArgumentParser(description="Loads a server on this machine.")
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 2)
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from tests.shop.faults.served import manage, served

    with tempfile.TemporaryDirectory() as folder:
        var = Path(folder)
        manage(var, "quickstart", "--no-serve")
        owner = manage(var, "shell", "-v0", "-c", SECRET).strip()
        token = manage(var, "token", owner, "--scope", "write").strip()
        with served(var, asked.workers, threads=4) as address, ThreadPoolExecutor(asked.people) as people:
            until = time.monotonic() + asked.seconds
            work = [
                people.submit(one_person, address, token, until, number) for number in range(asked.people)
            ]
            told = [one.result() for one in work]
        kept = int(manage(var, "shell", "-v0", "-c", COUNT))
    late = sorted(seconds for times, _ in told for seconds in times)
    answers = sum((codes for _, codes in told), Counter[int]())
    marks = statistics.quantiles(late, n=100)
    print(
        f"{asked.people} people, {asked.seconds} s, {asked.workers} workers: {len(late)} answers "
        f"({len(late) / asked.seconds:.0f} a second), {dict(sorted(answers.items()))}\n"
        f"median {1000 * marks[49]:.0f} ms, 95 % within {1000 * marks[94]:.0f} ms; "
        f"{kept} clients of {answers[201]} added are there"
    )
    sys.exit(bool(set(answers) - {200, 201}) or kept != answers[201])


def one_person(address: str, token: str, until: float, number: int) -> tuple[list[float], Counter[int]]:
    """Ask until the time is over; how long each answer took, and how many there were of each status."""
    times: list[float] = []
    codes: Counter[int] = Counter()
    head = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    for turn in count():
        if time.monotonic() > until:
            return times, codes
        body = json.dumps({"name": f"Load {number} {turn}"}).encode() if turn % 10 == 9 else None
        path = "/api/v1/clients" if body else READS[(number + turn) % len(READS)]
        begun = time.monotonic()
        try:
            with urllib.request.urlopen(
                urllib.request.Request(address + path, body, head), timeout=60
            ) as answer:
                answer.read()
                codes[answer.status] += 1
        except urllib.error.HTTPError as fault:
            codes[fault.code] += 1
        except OSError:
            codes[0] += 1
        times.append(time.monotonic() - begun)
    raise AssertionError("unreachable")


if __name__ == "__main__":
    main()
