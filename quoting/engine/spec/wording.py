"""How refusals and cautions speak: the reader's units, limits on their safe side, edges by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from quoting.engine.plane.shapes import Oval, Rectangle, Round, Shape, Slot
from quoting.engine.units import format_length

KEEP_CLEAR_MM: Final = 10.0
"""Least concrete in plan between a feature and an edge or another feature."""
LEAVE_BELOW_MM: Final = 8.0
"""Least concrete behind a pocket."""
GUARD_MM: Final = 1e-3
"""Binary dust allowed at a limit: exactly the limit is accepted."""

COARSE_MM: Final = 0.25
"""Chord error of a first look in plan; near a limit distances are measured again with finer chords."""

_RECTANGLE_EDGES: Final = ("front edge", "right edge", "back edge", "left edge")


@dataclass(frozen=True, slots=True)
class Words:
    """Lengths for a reader of `metric` or `us` units."""

    system: str = "metric"

    def of(self, length_mm: float) -> str:
        """A length as it is."""
        return format_length(length_mm, self.system)

    def found(self, length_mm: float) -> str:
        """A length that falls short, never rounded up to the limit."""
        return format_length(max(length_mm, 0.0), self.system, "down")

    def least(self, length_mm: float) -> str:
        """A lower limit that is enough when kept as written."""
        return format_length(length_mm, self.system, "up")

    def most(self, length_mm: float) -> str:
        """An upper limit that is not too much when used as written."""
        return format_length(max(length_mm, 0.0), self.system, "down")


def edge_name(shape: Shape, side: int | None) -> str:
    """What a maker calls an edge of a shape: front edge, back edge, or the number of its side."""
    if isinstance(shape, Rectangle) and side is not None:
        return _RECTANGLE_EDGES[side]
    if side is None or isinstance(shape, Round | Oval | Slot):
        return "edge"
    return "front edge" if side == 0 else f"edge (side {side})"
