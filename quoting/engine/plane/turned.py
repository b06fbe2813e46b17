"""A contour's lines and arcs along one axis, arcs split where they turn back: each meets a cut at most once.

`axis` "x" is cut along lines x = at (chords run along y), "y" along y = at.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from quoting.engine.plane import corners
from quoting.engine.plane.contour import Contour, Ellipse
from quoting.engine.plane.shapes import Point

Axis = Literal["x", "y"]


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A line, or an arc that does not turn back; coordinates are (along the axis, across it)."""

    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0


def pieces_of(contour: Contour, axis: Axis) -> tuple[CutPiece, ...]:
    """The lines and arcs of a contour, in its order, arcs split where they turn back; none of an oval."""
    if contour.curve is not None:
        return _quarters(contour.curve, axis) if contour.curve.round else ()
    i = 0 if axis == "x" else 1
    out = []
    j = 1 - i
    for part in corners.walk(contour.ring):
        start, end = (part.start[i], part.start[j]), (part.end[i], part.end[j])
        if part.bend is None:
            out.append(CutPiece(start, end))
            continue
        middle, radius = part.bend.centre, part.bend.corner.radius_mm
        centre = (middle[i], middle[j])
        before, after = part.bend.before[i], part.bend.after[i]
        if before * after < 0.0:
            turn = (centre[0] + math.copysign(radius, before), centre[1])
            out += [CutPiece(start, turn, centre, radius), CutPiece(turn, end, centre, radius)]
        else:
            out.append(CutPiece(start, end, centre, radius))
    # Neighbours share their ends to the last bit, or a cut just there would slip between them.
    return tuple(
        replace(piece, start=before.end) for before, piece in zip(out[-1:] + out[:-1], out, strict=True)
    )


def _quarters(curve: Ellipse, axis: Axis) -> tuple[CutPiece, ...]:
    (x, y), r = curve.centre, curve.reach_mm(0.0)
    ring: list[Point] = [(x + r, y), (x, y + r), (x - r, y), (x, y - r), (x + r, y)]
    if axis == "y":
        x, y = y, x
        ring = [(b, a) for a, b in ring]
    return tuple(CutPiece(start, end, (x, y), r) for start, end in pairwise(ring))
