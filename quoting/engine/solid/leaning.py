"""The leaning inside of a trough, cut across: slices between the depths where the cut changes course."""

from __future__ import annotations

import math
from itertools import pairwise

from quoting.engine.plane.cut import Axis, CutContour
from quoting.engine.plane.quadrature import nodes
from quoting.engine.solid.build import TroughBody

_STRAIGHT_NODES = 3
"""A chord between straight walls changes in proportion to depth: exact."""
_CURVED_NODES = 16

Slice = tuple[float, float, int, CutContour]
"""Depth z, its weight in mm, the body it is taken from (as in `Layer.below`), the inside there."""


class Leaning:
    """The inside of the n-th trough, made ready for cuts across one axis."""

    __slots__ = ("_axis", "_body", "_number", "high_mm", "low_mm")

    def __init__(self, body: TroughBody, number: int, axis: Axis) -> None:
        mouth = CutContour(body.inner_at(0.0), axis)
        self._body, self._number, self._axis = body, number, axis
        self.low_mm, self.high_mm = mouth.low_mm, mouth.high_mm

    def slices(self, at_mm: float) -> list[Slice]:
        """Slices whose weighted sum integrates over the depth what the cut meets, or what lies beyond it."""
        if at_mm >= self.high_mm:
            return []
        out: list[Slice] = []
        for start, end in pairwise(self._breaks(at_mm)):
            below = 0 if end <= self._body.top_mm else self._number
            middle = CutContour(self._body.inner_at(0.5 * (start + end)), self._axis)
            for z, weight in _depths(start, end, middle.crosses_arc(at_mm)):
                out.append((z, weight, below, CutContour(self._body.inner_at(z), self._axis)))
        return out

    def _breaks(self, at: float) -> list[float]:
        """Depths at which an arc's end or extreme passes the cut; and the slab's underside."""
        trough, lean = self._body.trough, self._body.lean
        depth, r = trough.depth_mm, trough.corner_radius_mm
        found = {0.0, depth, min(depth, self._body.top_mm)}
        turn = math.radians(trough.turn_deg)
        i = 0 if self._axis == "x" else 1
        along = (math.cos(turn), -math.sin(turn)) if i == 0 else (math.sin(turn), math.cos(turn))
        half_x, half_y = 0.5 * trough.length_mm - r, 0.5 * trough.width_mm - r
        for sx in (-1.0, 1.0):
            for sy in (-1.0, 1.0):
                rate = -lean * (sx * along[0] + sy * along[1])
                start = trough.centre_mm[i] + sx * half_x * along[0] + sy * half_y * along[1]
                for offset in (sx * r * along[0], sy * r * along[1], r, -r):
                    z = (at - start - offset) / rate if abs(rate) > 1e-12 else 0.0
                    found |= {z} if 0.0 < z < depth else set()
        return sorted(found)


def _depths(start: float, end: float, curved: bool) -> list[tuple[float, float]]:
    if not curved:
        return nodes(start, end, _STRAIGHT_NODES)
    # Where an arc's extreme passes the cut the chord grows like a root: eased away at both ends.
    half, out = 0.5 * (end - start), []
    for share, weight in nodes(0.0, math.pi, _CURVED_NODES):
        out.append((start + half * (1.0 - math.cos(share)), half * math.sin(share) * weight))
    return out
