"""What cannot be cast."""

from __future__ import annotations

from quoting.engine.errors import Fault
from quoting.engine.spec import types as spec


def refusals(piece: spec.Piece, places: tuple[int, ...], system: str = "metric") -> list[Fault]:
    return []
