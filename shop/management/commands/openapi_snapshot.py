"""The API as published: writes its description to ``fixtures/openapi.yaml``, or compares the two."""

import difflib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

SNAPSHOT = settings.BASE_DIR / "fixtures" / "openapi.yaml"


def described() -> str:
    """Return today's description of the API as YAML; a view that cannot be described is an error."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "openapi.yaml"
        call_command("spectacular", file=str(path), validate=True, fail_on_warn=True)
        return path.read_text(encoding="utf-8")


def difference(published: str, today: str) -> str:
    """Return a unified diff, empty where the two agree."""
    lines = difflib.unified_diff(
        published.splitlines(), today.splitlines(), "as published", "as it is now", lineterm=""
    )
    return "\n".join(lines)


class Command(BaseCommand):
    """``manage.py openapi_snapshot [--check]``."""

    help = "Write the API's description to fixtures/openapi.yaml, or with --check compare."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take ``--check``."""
        parser.add_argument("--check", action="store_true", help="compare, write nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write, or compare and fail on a difference."""
        today = described()
        if not options["check"]:
            SNAPSHOT.write_text(today, encoding="utf-8")
            return
        published = SNAPSHOT.read_text(encoding="utf-8") if SNAPSHOT.exists() else ""
        changes = difference(published, today)
        if changes:
            raise CommandError(
                f"{changes}\nThe API departs from fixtures/openapi.yaml. "
                "If that is meant: python3 manage.py openapi_snapshot"
            )
        self.stdout.write("The API is as published.")
