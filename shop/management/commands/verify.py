"""Every check there is, the ones that CI runs, with a table at the end."""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from argparse import REMAINDER
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop import postgres
from shop.debian import Unmet, install_packages, may_install, say
from shop.management.commands import audit

TOOLS = Path(sys.executable).parent
MANAGE = (sys.executable, "-m", "django")
# What the tests drive, by the names of its programs, and the Debian package that brings one of them.
BROWSER = ("chromium-headless-shell", ("chromium-headless-shell", "chromium"))
QUEUE = ("redis-server", ("redis-server", "valkey-server"))
PASSED, FAILED, NOT_ASKED = "passed", "FAILED", "not asked"
BROWSER_TESTS = "tests/browser"
# As many at once as there are cores; each worker has a database of its own.
EACH_CORE = ("--numprocesses=auto", "--dist=worksteal")
# What is left out on PostgreSQL: the engine, papers and the queue ask no database; pages and the client's
# link ask through services and selectors, which are tried; faults are tried on sites of their own, on SQLite.
NOT_ON_POSTGRES = ("engine", "documents", "queue", "web", "client", "faults", "__pycache__")
BESIDES = ("tests/quoting/web/test_lists.py", "tests/shop/faults/test_storage.py")


@dataclass(frozen=True, slots=True)
class Step:
    """One check: what it is called and the command that fails when something is wrong."""

    name: str
    command: tuple[str, ...]
    not_asked: int | None = None
    """The exit status that says: whom it asks gave no answer. That is no failure of ours, and no pass."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a step ended, and how long it took."""

    name: str
    state: str
    seconds: float


def quick_steps() -> list[Step]:
    """Return the checks that only read the code; none waits for another."""
    return [
        Step("Types", (sys.executable, "-m", "mypy")),
        Step("Format", (str(TOOLS / "ruff"), "format", "--check", ".")),
        Step("Lint", (str(TOOLS / "ruff"), "check", ".")),
        Step("Imports", (str(TOOLS / "lint-imports"), "--no-logo")),
        Step("Django's own check", (*MANAGE, "check", "--fail-level", "WARNING")),
        Step("Migrations", (*MANAGE, "makemigrations", "--check", "--dry-run")),
        Step("API as published", (*MANAGE, "openapi_snapshot", "--check")),
        Step("Advisories", (*MANAGE, "audit"), not_asked=audit.NOT_ASKED),
    ]


def steps_of_tests(pytest_args: Sequence[str], postgres_too: bool) -> list[Step]:
    """Return the runs of the tests, on SQLite; where it is asked for, those that ask the database something
    once more on PostgreSQL.

    The browser has a run of its own: the site served to it keeps its records in a file, the others theirs in
    memory.
    """
    tests = (sys.executable, "-m", "pytest")
    again = (sys.executable, "-m", "shop.postgres", *tests, *EACH_CORE, *on_postgres())
    last = [Step("Tests on PostgreSQL", again)] if postgres_too else []
    if pytest_args:
        return [Step("Tests", (*tests, *pytest_args)), *last]
    return [
        Step("Tests", (*tests, *EACH_CORE, f"--ignore={BROWSER_TESTS}")),
        Step("Tests in a browser", (*tests, *EACH_CORE, BROWSER_TESTS)),
        *last,
    ]


def on_postgres() -> list[str]:
    """Return the tests that ask the database something."""
    rooms = (
        path for place in ("quoting", "shop") for path in (settings.BASE_DIR / "tests" / place).iterdir()
    )
    asking = sorted(path for path in rooms if path.is_dir() and path.name not in NOT_ON_POSTGRES)
    found = [str(path.relative_to(settings.BASE_DIR)) for path in asking]
    return ["tests/postgres", "tests/catalog", *found, *BESIDES]


def run(step: Step) -> Outcome:
    """Run one step with its output shown as it comes."""
    print(f"\n--- {step.name}", flush=True)
    return _ended(step, shown=None)


def run_together(quick: Sequence[Step], beside: Sequence[str]) -> list[Outcome]:
    """Run steps side by side, as many as there are cores, each one's output shown whole when it ends.

    The Debian packages `beside` are installed meanwhile; raises ``Unmet`` where they cannot be.
    """

    def whole(step: Step) -> Outcome:
        with tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace") as kept:
            outcome = _ended(step, shown=kept)
            kept.seek(0)
            print(f"\n--- {step.name}\n{kept.read()}", end="", flush=True)
        return outcome

    with ThreadPoolExecutor(max_workers=1) as installer, ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        installing = installer.submit(install_packages, list(beside)) if beside else None
        outcomes = list(pool.map(whole, quick))
        if installing is not None:
            installing.result()
    return outcomes


def _ended(step: Step, shown: IO[str] | None) -> Outcome:
    started = time.monotonic()
    done = subprocess.run(
        step.command,
        cwd=settings.BASE_DIR,
        stdin=subprocess.DEVNULL,
        stdout=shown,
        stderr=None if shown is None else subprocess.STDOUT,
        check=False,
    )
    states = {step.not_asked: NOT_ASKED, 0: PASSED}
    return Outcome(step.name, states.get(done.returncode, FAILED), time.monotonic() - started)


def table(outcomes: Sequence[Outcome]) -> str:
    """Return one line a step, and the verdict."""
    width = max(len(outcome.name) for outcome in outcomes)
    lines = [
        f"  {outcome.name:<{width}}  {outcome.state:<{len(NOT_ASKED)}}  {outcome.seconds:6.1f} s"
        for outcome in outcomes
    ]
    failed = sum(outcome.state == FAILED for outcome in outcomes)
    open_ones = [outcome.name for outcome in outcomes if outcome.state == NOT_ASKED]
    asked = len(outcomes) - len(open_ones)
    verdict = f"{failed} of {asked} checks failed." if failed else f"All {asked} checks passed."
    return "\n".join(
        ["", *lines, "", *(f"{name}: nobody answered; ask again." for name in open_ones), verdict]
    )


def missing_programs(postgres_too: bool) -> list[str]:
    """Return the Debian packages that the tests still need."""
    packages = [package for package, names in (BROWSER, QUEUE) if not any(map(shutil.which, names))]
    if postgres_too and postgres.programs() is None:
        packages.append(postgres.PACKAGE)
    return packages


class Command(BaseCommand):
    """``manage.py verify [--postgres] [pytest arguments]``."""

    help = "Run every check: format, lint, imports, types, migrations, API snapshot, advisories, tests."
    requires_system_checks: list[str] = []  # noqa: RUF012  (Django's own declaration); it is one of the steps

    def add_arguments(self, parser: CommandParser) -> None:
        """Take whatever follows for pytest."""
        parser.add_argument(
            "--postgres", action="store_true", help="run the tests that ask the database on PostgreSQL too"
        )
        parser.add_argument("pytest_args", nargs=REMAINDER, help="for pytest: PATH, or -- -k WORD")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run every step, whatever became of those before, then say which failed."""
        pytest_args = [word for word in options["pytest_args"] if word != "--"]
        packages = missing_programs(options["postgres"])
        if packages:
            say("The tests drive real programs: a browser, Redis, with --postgres PostgreSQL.")
        try:
            may_install(packages)
            outcomes = run_together(quick_steps(), packages)
        except Unmet as unmet:
            raise CommandError(str(unmet), returncode=2) from unmet
        outcomes += [run(step) for step in steps_of_tests(pytest_args, options["postgres"])]
        print(table(outcomes), flush=True)
        if any(outcome.state == FAILED for outcome in outcomes):
            sys.exit(1)
