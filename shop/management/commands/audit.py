"""Whether an advisory is out against a package that the site runs on."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

NOT_ASKED = 3
"""Exit status where no answer was to be had: neither a pass nor a failure."""
LONGEST_S = 120
ACCEPTED: dict[str, str] = {}
"""Advisories that do not touch us, by their id, each with why; they are left out of what is asked."""
TOOL = ("-m", "pip_audit", "--requirement", "requirements.lock", "--require-hashes", "--disable-pip")
SAID = ("--format", "json", "--desc", "off", "--progress-spinner", "off", "--timeout", "10")


@dataclass(frozen=True, slots=True)
class Answer:
    """What the advisory service said: the packages it knows, and an advisory's names by package."""

    known: int = 0
    unknown: tuple[str, ...] = ()
    advisories: dict[str, tuple[str, ...]] = field(default_factory=dict)


class Unanswered(Exception):
    """The advisory service gave no answer, or one that leaves packages out."""


def ask(service: str = "") -> Answer:
    """Ask about every package of requirements.lock; `service` is the address of a database that speaks the
    query interface of the OSV schema, else the package index is asked.

    Raises Unanswered where there is no answer within two minutes.
    """
    accepted = [word for name in ACCEPTED for word in ("--ignore-vuln", name)]
    where = ("--vulnerability-service", "osv", "--osv-url", service) if service else ()
    try:
        done = subprocess.run(
            [sys.executable, *TOOL, *SAID, *accepted, *where],
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=LONGEST_S,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise Unanswered(f"No answer within {LONGEST_S} s.") from late
    try:
        return answer_of(json.loads(done.stdout)["dependencies"])
    except (ValueError, KeyError, TypeError) as other:
        raise Unanswered((done.stderr.strip().splitlines() or ["No answer."])[-1]) from other


def answer_of(dependencies: Sequence[dict[str, Any]]) -> Answer:
    """Read the tool's rows: one a package, with its advisories or with why it could not be looked up.

    >>> row = {"name": "django", "version": "1.0", "vulns": [{"id": "PYSEC-1", "aliases": ["CVE-2000-1"]}]}
    >>> answer_of([row, {"name": "other", "skip_reason": "not found"}])
    Answer(known=1, unknown=('other',), advisories={'django 1.0': ('PYSEC-1 (CVE-2000-1)',)})
    """
    looked_up = [row for row in dependencies if "skip_reason" not in row]
    return Answer(
        len(looked_up),
        tuple(row["name"] for row in dependencies if "skip_reason" in row),
        {
            f"{row['name']} {row['version']}": tuple(_named(one) for one in row["vulns"])
            for row in looked_up
            if row["vulns"]
        },
    )


def _named(advisory: dict[str, Any]) -> str:
    others = ", ".join(advisory.get("aliases", ()))
    return f"{advisory['id']} ({others})" if others else str(advisory["id"])


class Command(BaseCommand):
    """``manage.py audit [--service ADDRESS]``."""

    help = "Ask whether an advisory is out against a package that the site runs on. Needs the network."
    requires_system_checks: list[str] = []  # noqa: RUF012  (Django's own declaration)

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the address of another service."""
        parser.add_argument(
            "--service", default="", help="address of an OSV query interface, else the package index"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Say what was found; leave with 1 where there is an advisory, with 3 where nobody answered."""
        try:
            answer = ask(options["service"])
        except Unanswered as unanswered:
            raise CommandError(f"Not asked: {unanswered}", returncode=NOT_ASKED) from unanswered
        for package, names in answer.advisories.items():
            self.stdout.write(f"{package}: {'; '.join(names)}")
        if answer.advisories:
            raise CommandError(
                f"Advisories are out against {len(answer.advisories)} of {answer.known} packages."
            )
        if answer.unknown:
            total = answer.known + len(answer.unknown)
            said = f"Not asked: {len(answer.unknown)} of {total} packages are unknown where we ask."
            raise CommandError(said, returncode=NOT_ASKED)
        self.stdout.write(f"No advisory is out against the {answer.known} packages of requirements.lock.")
