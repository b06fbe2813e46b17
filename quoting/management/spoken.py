"""What the commands share: reading a document, and how refusals are said."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError

from quoting.engine.errors import Refused
from quoting.engine.spec.parse import parse_json

READ_LIMIT = 16 * 1024 * 1024
"""More than this is not read at all: a document is refused long before."""


def read_document(source: str) -> object:
    """The JSON document in a file, or on standard input for `-`.

    Raises Refused for what is no proper JSON, CommandError (exit 2) for a file that cannot be read.
    """
    if source == "-":
        return parse_json(sys.stdin.buffer.read(READ_LIMIT))
    try:
        with Path(source).open("rb") as file:
            return parse_json(file.read(READ_LIMIT))
    except OSError as reason:
        raise CommandError(f"{source}: {reason.strerror or reason}", returncode=2) from None


@contextmanager
def refusals_said(stderr: IO[str] | object) -> Iterator[None]:
    """Turn a refusal into `path: what is wrong` lines on standard error and exit status 1."""
    write: Callable[[str], object] = stderr.write  # type: ignore[union-attr]
    try:
        yield
    except Refused as refusal:
        for fault in refusal.faults:
            write(str(fault))
        raise SystemExit(1) from None
    except ValidationError as refusal:
        for name, messages in refusal.message_dict.items():
            write(f"{name}: {' '.join(messages)}")
        raise SystemExit(1) from None
