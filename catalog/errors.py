"""What the catalogue refuses: every fault at once, each with its place, a sentence and a stable code."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input; `path` leads to the value (`parts[2].kg_per_m3`)."""

    path: str
    message: str
    code: str
    value: str | None = None

    def __str__(self) -> str:
        return f"{self.path or 'input'}: {self.message}"


class CatalogRefused(ValueError):
    """Raised with every fault found; nothing has been written."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        if not self.faults:
            raise AssertionError("CatalogRefused needs at least one fault")
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NoSuchRow(LookupError):
    """Raised when a code names nothing in the catalogue."""

    def __init__(self, what: str, code: str) -> None:
        self.what = what
        self.code = code
        super().__init__(f"there is no {what} with the code {code!r}")
