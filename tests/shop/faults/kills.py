"""A worker killed at any moment: what it had committed is there, what it had not is not, numbers have no gap.

By hand: `VAR_DIR=DIR python -m tests.shop.faults.kills --kills 300`; DIR must not be there yet. With
`--postgres` on a PostgreSQL of its own.
One process holds the program; for each kill it forks a worker, which works as fast as it can and says through
a pipe what is committed, and kills it (SIGKILL) after a time drawn with a seed. Then all is looked at.
"""

from __future__ import annotations

import argparse
import os
import random
import select
import signal
import subprocess
import sys
import time
from collections import Counter
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import django

from shop.postgres import throwaway
from tests.shop.faults.post_office import post_office

if TYPE_CHECKING:  # they need the settings, which need the port of the mail server
    from tests.shop.faults.yard_look import Look
    from tests.shop.faults.yard_work import Work


KILLS = int(os.environ.get("KILLS", "7"))
"""How often the tests kill: once in each kind of work, unless the environment asks for more."""


class Wrong(Exception):
    """Something was lost, half done or numbered wrongly."""


def main() -> None:
    """Kill as often as asked, look after each, print how it went."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=KILLS)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--postgres", action="store_true")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    if os.environ.get("DATABASE_URL"):
        raise SystemExit("This makes and breaks a database of its own; unset DATABASE_URL.")
    with post_office() as office, throwaway() if asked.postgres else nullcontext("") as url:
        if url:
            os.environ["DATABASE_URL"] = url
        os.environ |= {"EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": str(office.port), "EMAIL_SECURITY": "none"}
        django.setup()
        from django.conf import settings

        if settings.VAR_DIR.joinpath("workshop.sqlite3").exists():
            raise SystemExit("Give a VAR_DIR that is not there yet: this makes and breaks a database.")
        from tests.shop.faults.yard_look import Look
        from tests.shop.faults.yard_work import STEPS, Work

        chance = random.Random(asked.seed)
        work = Work(settings.VAR_DIR)
        look = Look(work, office)
        spans = {step: _seconds_of(work, step) for step in STEPS}
        _raise(look)
        finished: Counter[str] = Counter()
        for turn in range(asked.kills):
            step = STEPS[turn % len(STEPS)]
            finished[step] += kill(work, step, chance.uniform(0, 2.5 * spans[step]))
            look.wait()
            _raise(look)
        print(f"{asked.kills} kills, each in the middle of something; finished before: {dict(finished)}")
        print(f"in the end: {look.counts()}")


def killed(var: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Run this program by itself on a folder, and return how it ended."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if name in {"PATH", "HOME", "LD_LIBRARY_PATH", "KILLS"}
    }
    return subprocess.run(
        [sys.executable, "-m", __name__, *options],
        cwd=Path(__file__).parents[3],
        env={**kept, "VAR_DIR": str(var)},
        capture_output=True,
        text=True,
        check=False,
    )


def kill(work: Work, step: str, after: float) -> int:
    """Let a worker work, kill it; return how often it had finished."""
    from django.db import connections

    connections.close_all()
    reading, writing = os.pipe()
    work.turn += 100
    child = os.fork()
    if child == 0:
        os.close(reading)
        toil(work, step, writing)
    os.close(writing)
    select.select([reading], [], [])  # it has begun
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(reading) as pipe:
        lines = pipe.read().splitlines()
    work.known[step] |= {line.removeprefix("done ") for line in lines if line.startswith("done ")}
    if "failed" in lines:
        raise Wrong(f"a worker failed by itself at {step}: {lines}")
    return lines.count("begin") - 1


def toil(work: Work, step: str, writing: int) -> NoReturn:
    """What the worker does until it is killed."""
    try:
        while True:
            os.write(writing, b"begin\n")
            os.write(writing, f"done {work.do(step)}\n".encode())
    except BaseException as fault:
        os.write(writing, f"{fault!r}\nfailed\n".encode())
    os._exit(1)


def _seconds_of(work: Work, step: str) -> float:
    """How long one takes here, done once without a kill (the second: the first one warms up)."""
    work.known[step].add(work.do(step))
    begun = time.perf_counter()
    work.known[step].add(work.do(step))
    return time.perf_counter() - begun


def _raise(look: Look) -> None:
    for fault in look.faults():
        raise Wrong(fault)


if __name__ == "__main__":
    main()
