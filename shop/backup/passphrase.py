"""The passphrase of a sealed backup: from a file, else from the environment; never from the command line."""

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError


def add_passphrase_argument(parser: ArgumentParser) -> None:
    """Add `--passphrase-file`."""
    parser.add_argument(
        "--passphrase-file",
        type=Path,
        help="file whose first line seals the backup; without it BACKUP_PASSPHRASE does, where it is set",
    )


def passphrase_of(file: Path | None) -> str:
    """Return the passphrase, empty where there is none. Raises CommandError for a file without one."""
    if file is None:
        return str(settings.BACKUP_PASSPHRASE)
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as fault:
        raise CommandError(f"{file}: {fault}", returncode=2) from fault
    if not lines or not lines[0].strip():
        raise CommandError(f"{file}: no passphrase in its first line", returncode=2)
    return lines[0].strip()
