"""Many contours cut at many places at once: the closed forms of chords and of what lies beyond a cut.

Rows are cuts, columns the lines and arcs of the contours (arcs split where they turn back, so that each meets
a cut at most once). Sums run with Green's theorem over signed pieces, so chords need no sorting.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quoting.engine.plane.turned import Axis, CutPiece

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Columns:
    """Pieces of contours, coordinates (along the axis, across it): one row for all cuts, or one for each."""

    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    cx: Floats
    """Centre of an arc, middle of a line."""
    cy: Floats
    radius: Floats
    """0 for lines."""
    bow: Floats
    """∫X dY along an arc from its own centre, in mm²; 0 for lines."""
    lens: Floats
    """∫X² dY of the same, in mm³."""
    hand: float
    """+1 where counter-clockwise contours are so in (along, across), −1 where they are mirrored."""

    def moved(self, rates: Columns, by: Floats) -> Columns:
        """The pieces of each row moved at their rates `by` its own measure (rows, 1)."""
        return replace(
            self,
            x0=self.x0 + by * rates.x0,
            y0=self.y0 + by * rates.y0,
            x1=self.x1 + by * rates.x1,
            y1=self.y1 + by * rates.y1,
            cx=self.cx + by * rates.cx,
            cy=self.cy + by * rates.cy,
        )

    def rising(self) -> NDArray[np.bool_]:
        """Of one row for all cuts: not the lines along the axis, which add nothing to what lies beyond."""
        return np.asarray((self.radius > 0.0) | (self.y0 != self.y1), dtype=np.bool_)

    def only(self, kept: NDArray[np.bool_]) -> Columns:
        """Of one row for all cuts: some pieces only."""
        values = (self.x0, self.y0, self.x1, self.y1, self.cx, self.cy, self.radius, self.bow, self.lens)
        x0, y0, x1, y1, cx, cy, radius, bow, lens = (each[kept] for each in values)
        return Columns(x0, y0, x1, y1, cx, cy, radius, bow, lens, self.hand)

    def rates_to(self, other: Columns, over: float) -> Columns:
        """How fast the pieces move towards those of `other`, `over` away: same pieces, same radii."""
        return replace(
            self,
            x0=(other.x0 - self.x0) / over,
            y0=(other.y0 - self.y0) / over,
            x1=(other.x1 - self.x1) / over,
            y1=(other.y1 - self.y1) / over,
            cx=(other.cx - self.cx) / over,
            cy=(other.cy - self.cy) / over,
        )


@dataclass(frozen=True, slots=True)
class Meets:
    """Where cuts meet pieces: number of the cut, of the piece; +1 where a chord ends, −1 where it begins;
    place across.
    """

    cut: Numbers
    piece: Numbers
    sign: Floats
    across: Floats


def columns(pieces: Sequence[CutPiece], axis: Axis) -> Columns:
    """Lines and arcs as columns."""
    x0, y0, x1, y1, cx, cy, radius = np.array(pieces, dtype=np.float64).reshape(len(pieces), 7).T
    ends = (x0 - cx, y0 - cy, x1 - cx, y1 - cy)
    bow, lens = (np.where(radius > 0.0, swept, 0.0) for swept in _swept(radius, *ends))
    hand = 1.0 if axis == "x" else -1.0
    return Columns(x0, y0, x1, y1, cx, cy, radius, bow, lens, hand)


def _swept(radius: Floats, ax: Floats, ay: Floats, bx: Floats, by: Floats) -> tuple[Floats, Floats]:
    """∫X dY and ∫X² dY along arcs, coordinates from their centres."""
    angle = np.arctan2(ax * by - ay * bx, ax * bx + ay * by)
    bow = 0.5 * (radius * radius * angle + bx * by - ax * ay)
    return bow, radius * radius * (by - ay) - (by * by * by - ay * ay * ay) / 3.0


def crossings(pieces: Columns, at: Floats) -> Meets:
    """Where each cut meets each piece, cut by cut; a cut through a corner is the limit from below."""
    starts, ends = pieces.x0 < at[:, None], pieces.x1 < at[:, None]
    cut, piece = np.nonzero(starts != ends)
    sign = np.where(starts[cut, piece], -pieces.hand, pieces.hand)
    across = _across(_met(pieces, cut, piece), pieces.radius[piece], at[cut])
    return Meets(cut, piece, sign, across)


def _across(met: tuple[Floats, ...], radius: Floats, x: Floats) -> Floats:
    x0, y0, x1, y1, cx, cy = met
    height = np.sqrt(np.maximum(0.0, radius * radius - (x - cx) ** 2))
    return np.where(
        radius > 0.0,
        cy + np.copysign(height, y0 + y1 - 2.0 * cy),
        y0 + (x - x0) / (x1 - x0) * (y1 - y0),
    )


def _met(pieces: Columns, cut: Numbers, piece: Numbers) -> tuple[Floats, ...]:
    """Ends and middles of the pieces that are met: x0, y0, x1, y1, cx, cy."""
    each = (pieces.x0, pieces.y0, pieces.x1, pieces.y1, pieces.cx, pieces.cy)
    if pieces.x0.ndim == 1:
        return tuple(values[piece] for values in each)
    place = cut * pieces.x0.shape[1] + piece
    return tuple(values.take(place) for values in each)


def chord_integrals(met: Meets, middle: Floats) -> tuple[Floats, Floats, Floats]:
    """What each meet adds to ∫du, ∫u du and ∫u² du over the chords of its cut, u across from its `middle`."""
    u = met.across - middle[met.cut]
    width = met.sign * u
    first = width * u / 2.0
    return width, first, first * u / 1.5


def summed(values: Floats, cut: Numbers, cuts: int) -> Floats:
    """The sum of the values of each of so many cuts."""
    return np.bincount(cut, values, cuts).astype(np.float64, copy=False)  # whole numbers where empty


def beyond(pieces: Columns, at: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """The area beyond each cut in mm², and its first moment about it in mm³: of each piece its weight times.

    ∫X dY and ½∫X² dY along what of the pieces lies beyond, X measured from the cut. From a piece's middle m,
    with b = ∫(X − m)dY and l = ∫(X − m)²dY: m·ΔY + b and ½(m²·ΔY + 2m·b + l).
    """
    out0, out1 = pieces.x0 <= at[:, None], pieces.x1 <= at[:, None]
    rise, run = pieces.y1 - pieces.y0, pieces.x1 - pieces.x0
    middle = pieces.cx - at[:, None]
    lens = np.where(pieces.radius > 0.0, pieces.lens, rise * run * run / 12.0)
    area = middle * rise + pieces.bow
    moment = 0.5 * (middle * (area + pieces.bow) + lens)
    inside = ~(out0 | out1)
    cut, piece = np.nonzero(out0 != out1)
    clipped = _clipped(pieces, at, cut, piece, out0[cut, piece])
    first, second = (
        (whole * inside) @ weights + summed(part * weights[piece], cut, len(at))
        for whole, part in zip((area, moment), clipped, strict=True)
    )
    return pieces.hand * first, pieces.hand * second


def _clipped(
    pieces: Columns, at: Floats, cut: Numbers, piece: Numbers, out0: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """`beyond` of pieces that a cut meets: from the cut to the end that lies beyond."""
    x = at[cut]
    met, radius = _met(pieces, cut, piece), pieces.radius[piece]
    x0, y0, x1, y1, cx, cy = met
    meet = _across(met, radius, x)
    ax, bx = np.where(out0, 0.0, x0 - x), np.where(out0, x1 - x, 0.0)
    ay, by = np.where(out0, meet, y0), np.where(out0, y1, meet)
    rise, middle = by - ay, cx - x
    bow, lens = _swept(radius, ax - middle, ay - cy, bx - middle, by - cy)
    area, moment = middle * rise + bow, 0.5 * (middle * middle * rise + 2.0 * middle * bow + lens)
    line = radius == 0.0
    area[line] = (rise * (ax + bx) / 2.0)[line]
    moment[line] = (rise * (ax * ax + ax * bx + bx * bx) / 6.0)[line]
    return area, moment
