"""Where the section A–A is taken, unless the reader asks for another place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from quoting.engine.solid.build import Solid

Axis = Literal["x", "y"]


@dataclass(frozen=True, slots=True)
class CutAt:
    """An upright plane across the piece at `at_mm` on `axis`; its view looks towards -x, or towards +y, so
    that the plan's coordinates run to the right."""

    axis: Axis
    at_mm: float


def default_cut(solid: Solid) -> CutAt:
    """Through the middle of the largest trough, else of the largest other void, else of the piece, across
    the piece's shorter way (which can be drawn larger)."""
    x0, y0, x1, y1 = solid.outline.box_mm
    axis: Axis = "x" if y1 - y0 <= x1 - x0 else "y"
    spaces = [(2, body.outer) for body in solid.troughs]
    spaces += [(1, void.contour) for void in solid.voids if void.kind != "groove"]
    if not spaces:
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    else:
        _, contour = max(spaces, key=lambda item: (item[0], round(item[1].area_mm2, 3)))
        left, low, right, high = contour.box_mm
        middle = ((left + right) / 2, (low + high) / 2)
    return CutAt(axis, middle[0] if axis == "x" else middle[1])
