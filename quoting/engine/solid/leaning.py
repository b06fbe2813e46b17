"""The leaning inside of a trough, cut across: slices between the depths where the cut changes course."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.engine.plane.cut import CutContour
from quoting.engine.plane.quadrature import gauss
from quoting.engine.plane.sweep import Columns, Floats, columns, crossings
from quoting.engine.plane.turned import Axis, pieces_of
from quoting.engine.solid.build import TroughBody

_STRAIGHT_NODES = 3
"""A chord between straight walls changes in proportion to depth: exact."""
_CURVED_NODES = 16


@dataclass(frozen=True, slots=True)
class Slices:
    """Slices of the inside, one a row: the cut it is for (its number), its depth, its weight, the pieces."""

    cut: NDArray[np.intp]
    z_mm: Floats
    weight_mm: Floats
    pieces: Columns


class Leaning:
    """The inside of a trough, made ready for cuts across one axis."""

    __slots__ = ("_axis", "_body", "_mouth", "_rates", "high_mm")

    def __init__(self, body: TroughBody, axis: Axis) -> None:
        half_way = 0.5 * body.trough.depth_mm
        mouth, below = body.inner_at(0.0), body.inner_at(half_way)
        self._body, self._axis = body, axis
        self.high_mm = CutContour(mouth, axis).high_mm
        # All depths have the same lines and arcs, which move in proportion to depth.
        self._mouth = columns(pieces_of(mouth, axis), axis)
        self._rates = self._mouth.rates_to(columns(pieces_of(below, axis), axis), half_way)

    def slices(self, at_mm: Floats) -> Slices:
        """Slices whose weighted sums integrate over the depth what each cut meets, or what lies beyond it."""
        breaks = self._breaks(at_mm)
        cut, number = np.nonzero((breaks[:, 1:] > breaks[:, :-1]) & (at_mm < self.high_mm)[:, None])
        start, end = breaks[cut, number], breaks[cut, number + 1]
        pieces = self._mouth.moved(self._rates, (0.5 * (start + end))[:, None])
        met = crossings(pieces, at_mm[cut])
        curved = np.zeros(len(cut), dtype=np.bool_)
        curved[met.cut[pieces.radius[met.piece] > 0.0]] = True
        straight = _even(start[~curved], end[~curved])
        eased = _eased(start[curved], end[curved])
        z = np.concatenate((straight[0], eased[0]))
        rows = np.concatenate(
            (np.repeat(cut[~curved], _STRAIGHT_NODES), np.repeat(cut[curved], _CURVED_NODES))
        )
        return Slices(
            cut=rows,
            z_mm=z,
            weight_mm=np.concatenate((straight[1], eased[1])),
            pieces=self._mouth.moved(self._rates, z[:, None]),
        )

    def _breaks(self, at: Floats) -> Floats:
        """Depths at which an arc's end or extreme passes each cut, and the slab's underside; in order."""
        trough, lean = self._body.trough, self._body.lean
        depth, r = trough.depth_mm, trough.corner_radius_mm
        turn = math.radians(trough.turn_deg)
        i = 0 if self._axis == "x" else 1
        along = (math.cos(turn), -math.sin(turn)) if i == 0 else (math.sin(turn), math.cos(turn))
        half_x, half_y = 0.5 * trough.length_mm - r, 0.5 * trough.width_mm - r
        found = [np.zeros_like(at), np.full_like(at, min(depth, self._body.top_mm)), np.full_like(at, depth)]
        for sx in (-1.0, 1.0):
            for sy in (-1.0, 1.0):
                rate = -lean * (sx * along[0] + sy * along[1])
                if abs(rate) <= 1e-12:
                    continue
                start = trough.centre_mm[i] + sx * half_x * along[0] + sy * half_y * along[1]
                for offset in (sx * r * along[0], sy * r * along[1], r, -r):
                    z = (at - start - offset) / rate
                    found.append(np.where((z > 0.0) & (z < depth), z, 0.0))
        return np.sort(np.stack(found, axis=1), axis=1)


def _even(start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Depths and weights of Gauss nodes between each start and end, one after the other."""
    share, weight = np.array(gauss(_STRAIGHT_NODES)).T
    length = (end - start)[:, None]
    return (start[:, None] + length * share).ravel(), (length * weight).ravel()


def _eased(start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """The same where an arc's extreme passes the cut and the chord grows like a root: eased at both ends."""
    share, weight = np.array(gauss(_CURVED_NODES)).T
    angle, half = math.pi * share, 0.5 * (end - start)[:, None]
    z = start[:, None] + half * (1.0 - np.cos(angle))
    return z.ravel(), (half * np.sin(angle) * (math.pi * weight)).ravel()
