"""Many contours cut at many places at once: the closed forms of chords and of what lies beyond, laid out as columns of numbers.

Rows are cuts, columns the lines and arcs of the contours (arcs split where they turn back, so that each meets
a cut once). Sums run with Green's theorem over signed pieces, so chords need no sorting.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.engine.plane.turned import Axis, CutPiece

Floats = NDArray[np.float64]
Places = NDArray[np.float64]
"""Cuts in mm along the axis, one a row: shape (rows, 1)."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Pieces of contours, coordinates (along the axis, across it); for each row the same, or its own."""

    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    cx: Floats
    cy: Floats
    radius: Floats
    """0 for lines."""
    arcs: NDArray[np.intp]
    """Which columns are arcs."""
    hand: float
    """+1 where counter-clockwise contours are so in (along, across), −1 where they are mirrored."""

    def moved(self, rates: Columns, by: Floats) -> Columns:
        """The pieces of each row moved at their rates `by` its own measure (rows, 1)."""
        return Columns(
            x0=self.x0 + by * rates.x0,
            y0=self.y0 + by * rates.y0,
            x1=self.x1 + by * rates.x1,
            y1=self.y1 + by * rates.y1,
            cx=self.cx + by * rates.cx,
            cy=self.cy + by * rates.cy,
            radius=self.radius,
            arcs=self.arcs,
            hand=self.hand,
        )

    def rates_to(self, other: Columns, over: float) -> Columns:
        """How fast the pieces move towards those of `other`, `over` away: same pieces, same radii."""
        pairs = ((other.x0, self.x0), (other.y0, self.y0), (other.x1, self.x1), (other.y1, self.y1))
        ends = [(after - before) / over for after, before in pairs]
        centres = [(other.cx - self.cx) / over, (other.cy - self.cy) / over]
        return Columns(*ends, *centres, radius=self.radius, arcs=self.arcs, hand=self.hand)


def columns(pieces: Sequence[CutPiece], axis: Axis) -> Columns:
    """Lines and arcs of `cut` as columns."""
    table = np.array(
        [(*p.start, *p.end, *(p.centre or (0.0, 0.0)), p.radius) for p in pieces], dtype=np.float64
    ).reshape(len(pieces), 7)
    arcs = np.array([n for n, piece in enumerate(pieces) if piece.centre is not None], dtype=np.intp)
    return Columns(*table.T, arcs=arcs, hand=1.0 if axis == "x" else -1.0)


def crossings(pieces: Columns, at: Places) -> tuple[Floats, Floats]:
    """Where each piece meets each cut, across; and its sign: +1 where a chord ends there, −1 where one
    begins, 0 where the two do not meet.
    """
    starts, ends = pieces.x0 < at, pieces.x1 < at
    sign = pieces.hand * (ends.astype(np.float64) - starts.astype(np.float64))
    return sign, _across(pieces, at, sign != 0.0)


def _across(pieces: Columns, at: Places, met: NDArray[np.bool_]) -> Floats:
    run = np.where(met, pieces.x1 - pieces.x0, 1.0)
    across = pieces.y0 + (at - pieces.x0) / run * (pieces.y1 - pieces.y0)
    arcs = pieces.arcs
    if len(arcs):
        cx, cy = pieces.cx[..., arcs], pieces.cy[..., arcs]
        height = np.sqrt(np.maximum(0.0, pieces.radius[arcs] ** 2 - (at - cx) ** 2))
        bulge = pieces.y0[..., arcs] + pieces.y1[..., arcs] - 2.0 * cy
        across[..., arcs] = cy + np.copysign(height, bulge)
    return np.where(met, across, 0.0)


def chord_integrals(pieces: Columns, at: Places, middle: Floats) -> tuple[Floats, Floats, Floats]:
    """What each piece adds to ∫du, ∫u du and ∫u² du over the chords of each cut, u measured from `middle`."""
    sign, across = crossings(pieces, at)
    u = across - middle
    width = sign * u
    first = width * u / 2.0
    return width, first, first * u / 1.5


def beyond(pieces: Columns, at: Places) -> tuple[Floats, Floats]:
    """What each piece adds to the area beyond each cut in mm², and to its first moment about it in mm³:
    ∫X dY and ½∫X² dY along what of the piece lies beyond, X measured from the cut.
    """
    out0, out1 = pieces.x0 < at, pieces.x1 < at
    meet = _across(pieces, at, out0 != out1)
    neither = out0 & out1
    ax = np.where(out0, 0.0, pieces.x0 - at)
    bx = np.where(out1, 0.0, pieces.x1 - at)
    ay, by = np.where(out0, meet, pieces.y0), np.where(out1, meet, pieces.y1)
    rise = np.where(neither, 0.0, by - ay)
    area = rise * (ax + bx) / 2.0
    moment = rise * (ax * ax + ax * bx + bx * bx) / 6.0
    arcs = pieces.arcs
    if len(arcs):
        h, cy = pieces.cx[..., arcs] - at, pieces.cy[..., arcs]
        r2, rise = pieces.radius[arcs] ** 2, rise[..., arcs]
        sx, ex = ax[..., arcs] - h, bx[..., arcs] - h
        sy, ey = ay[..., arcs] - cy, by[..., arcs] - cy
        bow = 0.5 * (r2 * np.arctan2(sx * ey - sy * ex, sx * ex + sy * ey) + ex * ey - sx * sy)
        lens = 0.5 * (h * h * rise + 2.0 * h * bow + r2 * rise - (ey**3 - sy**3) / 3.0)
        keep = ~neither[..., arcs]
        area[..., arcs] = np.where(keep, h * rise + bow, 0.0)
        moment[..., arcs] = np.where(keep, lens, 0.0)
    return pieces.hand * area, pieces.hand * moment
