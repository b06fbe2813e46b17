"""What changed from one revision of a piece to the next, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from quoting.models import PieceRevision, SavedPiece


@dataclass(frozen=True, slots=True)
class Change:
    """One revision and what it changed."""

    revision: PieceRevision
    words: tuple[str, ...]


def differences(piece: SavedPiece) -> list[Change]:
    """Every revision, newest first, with its changes against the one before."""
    found: list[Change] = []
    before: dict[str, Any] | None = None
    for revision in piece.revisions.select_related("created_by").order_by("number"):
        words = ("first drawn",) if before is None else tuple(changes(before, revision.document))
        found.append(Change(revision, words or ("nothing",)))
        before = revision.document
    return found[::-1]


def changes(before: Any, after: Any) -> Iterator[str]:
    """Sentences for what differs between two documents, in the order of the newer one.

    >>> list(changes({"thickness": 40, "edges": []}, {"thickness": 45, "mix": "MIX-A", "edges": []}))
    ['thickness 40, now 45', 'mix MIX-A added']
    """
    old, new = dict(_leaves(before)), dict(_leaves(after))
    for path, value in new.items():
        if path not in old:
            yield f"{path} {value} added"
        elif old[path] != value:
            yield f"{path} {old[path]}, now {value}"
    for path, value in old.items():
        if path not in new:
            yield f"{path} {value} taken out"


def _leaves(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value of a document with its path in words; points and short lists in one."""
    if isinstance(value, dict):
        for key, part in value.items():
            if part not in (None, [], {}):
                yield from _leaves(part, f"{path} {key.replace('_', ' ')}".strip())
    elif isinstance(value, list) and any(isinstance(part, dict) for part in value):
        for number, part in enumerate(value, start=1):
            yield from _leaves(part, f"{path.removesuffix('s')} {number}")
    else:
        yield path, _said(value)


def _said(value: Any) -> str:
    if isinstance(value, list):
        nested = any(isinstance(part, list) for part in value)
        return "; ".join(map(_said, value)) if nested else ", ".join(map(_said, value))
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
