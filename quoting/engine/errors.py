"""Faults that collect: bad input is refused once, with everything that is wrong with it.

Lowest module of the engine: it imports nothing of ours.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input.

    `path` leads to the value (`features[2].depth`, `""` for the document itself), `message` says what is
    wrong and what would be right, in a maker's words, `code` is a stable name for programs
    (`unknown_code`, `too_close`), `value` is the offending value as given, shortened.
    """

    path: str
    message: str
    code: str
    value: str | None = None

    def __str__(self) -> str:
        return f"{self.path or 'document'}: {self.message}"


class Refused(ValueError):
    """Raised with every fault found, in the order of the document."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        if not self.faults:
            raise AssertionError("Refused needs at least one fault")
        super().__init__("\n".join(str(fault) for fault in self.faults))
