"""Every check there is, the ones that CI runs, with a table at the end."""

import shutil
import subprocess
import sys
import time
from argparse import REMAINDER
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.debian import Unmet, install_packages, say
from shop.postgres import ensure_postgres

TOOLS = Path(sys.executable).parent
MANAGE = (sys.executable, "-m", "django")
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER_PACKAGE = "chromium"
BROWSER_TESTS = "tests/browser"
QUEUES = ("redis-server", "valkey-server")
QUEUE_PACKAGE = "redis-server"
# As many at once as there are cores; each worker has a database of its own.
EACH_CORE = ("--numprocesses=auto", "--dist=worksteal")
NOT_ON_POSTGRES = ("engine", "__pycache__")


@dataclass(frozen=True, slots=True)
class Step:
    """One check: what it is called and the command that fails when something is wrong."""

    name: str
    command: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a step ended, and how long it took."""

    name: str
    passed: bool
    seconds: float


def steps(pytest_args: Sequence[str]) -> list[Step]:
    """Return the checks in the order they run: the quick ones first, the tests last.

    Those that touch the database run on PostgreSQL too, unless only some tests are asked for.
    """
    tests = (sys.executable, "-m", "pytest")
    again = Step(
        "Tests on PostgreSQL", (sys.executable, "-m", "shop.postgres", *tests, *EACH_CORE, *on_postgres())
    )
    return [
        Step("Format", (str(TOOLS / "ruff"), "format", "--check", ".")),
        Step("Lint", (str(TOOLS / "ruff"), "check", ".")),
        Step("Imports", (str(TOOLS / "lint-imports"), "--no-logo")),
        Step("Types", (sys.executable, "-m", "mypy")),
        Step("Django's own check", (*MANAGE, "check", "--fail-level", "WARNING")),
        Step("Migrations", (*MANAGE, "makemigrations", "--check", "--dry-run")),
        Step("API as published", (*MANAGE, "openapi_snapshot", "--check")),
        *([Step("Tests", (*tests, *pytest_args))] if pytest_args else [*apart(tests), again]),
    ]


def apart(tests: tuple[str, ...]) -> list[Step]:
    """Return the tests in two runs: a site served to a browser shares SQLite in memory with its test, and a
    request that comes late must not meet another test's transaction.
    """
    return [
        Step("Tests", (*tests, *EACH_CORE, f"--ignore={BROWSER_TESTS}")),
        Step("Tests in a browser", (*tests, BROWSER_TESTS)),
    ]


def on_postgres() -> list[str]:
    """Return the folders of tests that ask the database something; the engine and the browser do not."""
    quoting = sorted(path for path in (settings.BASE_DIR / "tests" / "quoting").iterdir() if path.is_dir())
    rooms = [f"tests/quoting/{path.name}" for path in quoting if path.name not in NOT_ON_POSTGRES]
    return ["tests/postgres", "tests/catalog", *rooms, "tests/shop"]


def run(step: Step) -> Outcome:
    """Run one step with its output shown as it comes."""
    print(f"\n--- {step.name}", flush=True)
    started = time.monotonic()
    status = subprocess.run(
        step.command, cwd=settings.BASE_DIR, stdin=subprocess.DEVNULL, check=False
    ).returncode
    return Outcome(step.name, status == 0, time.monotonic() - started)


def table(outcomes: Sequence[Outcome]) -> str:
    """Return one line a step, and the verdict."""
    width = max(len(outcome.name) for outcome in outcomes)
    lines = [
        f"  {outcome.name:<{width}}  {'passed' if outcome.passed else 'FAILED'}  {outcome.seconds:6.1f} s"
        for outcome in outcomes
    ]
    failed = sum(not outcome.passed for outcome in outcomes)
    verdict = (
        f"{failed} of {len(outcomes)} checks failed." if failed else f"All {len(outcomes)} checks passed."
    )
    return "\n".join(["", *lines, "", verdict])


def ensure_browser() -> None:
    """Install the browser that the page tests drive, or raise ``Unmet`` with the line to run."""
    if not any(shutil.which(name) for name in BROWSERS):
        say("The page tests drive a real browser, and there is none yet.")
        install_packages([BROWSER_PACKAGE])


def ensure_queue() -> None:
    """Install the Redis that the tests of the queue start, or raise ``Unmet`` with the line to run."""
    if not any(shutil.which(name) for name in QUEUES):
        say("The queue is tested on a real Redis, and there is none yet.")
        install_packages([QUEUE_PACKAGE])


class Command(BaseCommand):
    """``manage.py verify [pytest arguments]``."""

    help = "Run every check: format, lint, imports, types, migrations, API snapshot, tests on both databases."
    requires_system_checks: list[str] = []  # noqa: RUF012  (Django's own declaration); it is one of the steps

    def add_arguments(self, parser: CommandParser) -> None:
        """Take whatever follows for pytest."""
        parser.add_argument("pytest_args", nargs=REMAINDER, help="for pytest: PATH, or -- -k WORD")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run every step, whatever became of those before, then say which failed."""
        pytest_args = [word for word in options["pytest_args"] if word != "--"]
        try:
            ensure_browser()
            ensure_queue()
            if not pytest_args:
                ensure_postgres()
        except Unmet as unmet:
            raise CommandError(str(unmet), returncode=2) from unmet
        outcomes = [run(step) for step in steps(pytest_args)]
        print(table(outcomes), flush=True)
        if not all(outcome.passed for outcome in outcomes):
            sys.exit(1)
