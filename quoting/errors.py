"""What quoting refuses, besides the engine's `Refused` for specifications and figures."""

from __future__ import annotations


class DocumentRefused(RuntimeError):
    """A document asked for something that is not the project's own."""


class IllegalMove(ValueError):
    """A quote cannot be taken from its present state to the one asked for."""

    def __init__(self, status: str, wanted: str, reason: str) -> None:
        self.status, self.wanted, self.reason = status, wanted, reason
        super().__init__(reason)


class DraftOvertaken(ValueError):
    """A draft is not what a person saw of it: somebody, or a new price, changed it meanwhile."""

    def __init__(self, pk: int) -> None:
        self.pk = pk
        super().__init__("This draft has changed since you saw it. Look at it again.")


class Frozen(RuntimeError):
    """A row that is written once was about to be changed or removed."""

    def __init__(self, what: object) -> None:
        super().__init__(f"{what}: what was issued or answered is never changed or removed")


class QueueUnavailable(Exception):
    """The shop's queue of work is not configured, cannot be reached, or nobody works on it."""
