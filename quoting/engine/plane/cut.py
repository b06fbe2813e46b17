"""Contours cut by a line across: where it crosses them, and what lies beyond it, in closed form.

`axis` "x" cuts along the line x = at (the chords run along y), "y" along y = at. A cut exactly through a
corner is taken as the limit from below.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from quoting.engine.plane import corners
from quoting.engine.plane.contour import Contour, Ellipse
from quoting.engine.plane.quadrature import nodes
from quoting.engine.plane.shapes import Point

Axis = Literal["x", "y"]
Chords = tuple[tuple[float, float], ...]
_OVAL_NODES = 24


@dataclass(frozen=True, slots=True)
class _Piece:
    """A line, or an arc that does not turn back; coordinates are (along the axis, across it)."""

    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0

    def across(self, at: float) -> float:
        """Where the piece meets the cut."""
        (x0, y0), (x1, y1) = self.start, self.end
        if self.centre is None:
            return y0 + (at - x0) / (x1 - x0) * (y1 - y0)
        cx, cy = self.centre
        height = math.sqrt(max(0.0, self.radius**2 - (at - cx) ** 2))
        return cy + math.copysign(height, y0 + y1 - 2.0 * cy)

    def clipped(self, at: float) -> _Piece | None:
        """What of the piece lies beyond the cut."""
        above = (self.start[0] >= at, self.end[0] >= at)
        if all(above) or not any(above):
            return self if all(above) else None
        meet = (at, self.across(at))
        ends = (self.start, meet) if above[0] else (meet, self.end)
        return _Piece(ends[0], ends[1], self.centre, self.radius)

    def swept(self, at: float) -> tuple[float, float]:
        """∫X dY and ½∫X² dY along the piece, X measured from the cut."""
        (x0, y0), (x1, y1) = self.start, self.end
        if self.centre is None:
            a, b, dy = x0 - at, x1 - at, y1 - y0
            return dy * (a + b) / 2.0, dy * (a * a + a * b + b * b) / 6.0
        cx, cy = self.centre
        h, dy, r2 = cx - at, y1 - y0, self.radius**2
        ax, ay, bx, by = x0 - cx, y0 - cy, x1 - cx, y1 - cy
        angle = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        arc = 0.5 * (r2 * angle + bx * by - ax * ay)
        return h * dy + arc, 0.5 * (h * h * dy + 2.0 * h * arc + r2 * dy - (by**3 - ay**3) / 3.0)


class CutContour:
    """A contour made ready for many cuts across one axis."""

    __slots__ = ("_mirror", "_oval", "_pieces", "_whole", "high_mm", "low_mm")

    def __init__(self, contour: Contour, axis: Axis) -> None:
        i = 0 if axis == "x" else 1
        self._mirror = 1.0 if axis == "x" else -1.0
        self._oval = _Oval(contour.curve, axis) if contour.curve is not None else None
        self._pieces = () if contour.curve is not None else tuple(_pieces(contour, i))
        self._whole: tuple[float, float] | None = None
        if self._oval is not None:
            self.low_mm, self.high_mm = self._oval.low_mm, self._oval.high_mm
        else:
            # Arcs are split at their extremes, so the ends of the pieces reach as far as the contour does.
            alongs = [piece.start[0] for piece in self._pieces]
            self.low_mm, self.high_mm = min(alongs), max(alongs)

    def chords(self, at_mm: float) -> Chords:
        """The stretches of the cut inside the contour, in order."""
        if not self.low_mm < at_mm <= self.high_mm:
            return ()
        if self._oval is not None:
            return self._oval.chords(at_mm)
        meets = sorted(p.across(at_mm) for p in self._pieces if (p.start[0] < at_mm) != (p.end[0] < at_mm))
        return tuple(zip(meets[::2], meets[1::2], strict=True))

    def crosses_arc(self, at_mm: float) -> bool:
        """Whether the cut meets a curve rather than straight sides only."""
        return self._oval is not None or any(
            p.centre is not None and (p.start[0] < at_mm) != (p.end[0] < at_mm) for p in self._pieces
        )

    def beyond(self, at_mm: float) -> tuple[float, float]:
        """Area in mm² beyond the cut and its first moment about it in mm³."""
        if at_mm >= self.high_mm:
            return 0.0, 0.0
        if at_mm <= self.low_mm:
            if self._whole is None:
                self._whole = self._swept(self.low_mm)
            area, moment = self._whole
            return area, moment + area * (self.low_mm - at_mm)
        return self._swept(at_mm)

    def _swept(self, at_mm: float) -> tuple[float, float]:
        if self._oval is not None:
            return self._oval.beyond(at_mm)
        clipped = [piece for p in self._pieces if (piece := p.clipped(at_mm)) is not None]
        swept = [piece.swept(at_mm) for piece in clipped]
        return self._mirror * math.fsum(a for a, _ in swept), self._mirror * math.fsum(m for _, m in swept)

    @property
    def breaks(self) -> tuple[float, ...]:
        """Where along the axis the outline changes its course: ends of sides and arcs, and both extremes."""
        return tuple(sorted({self.low_mm, self.high_mm, *(p.start[0] for p in self._pieces)}))


def _pieces(contour: Contour, i: int) -> list[_Piece]:
    out = []
    j = 1 - i
    for part in corners.walk(contour.ring):
        start, end = (part.start[i], part.start[j]), (part.end[i], part.end[j])
        if part.bend is None:
            out.append(_Piece(start, end))
            continue
        middle, radius = part.bend.centre, part.bend.corner.radius_mm
        centre = (middle[i], middle[j])
        before, after = part.bend.before[i], part.bend.after[i]
        if before * after < 0.0:
            turn = (centre[0] + math.copysign(radius, before), centre[1])
            out += [_Piece(start, turn, centre, radius), _Piece(turn, end, centre, radius)]
        else:
            out.append(_Piece(start, end, centre, radius))
    return out


class _Oval:
    """An ellipse, or a curve parallel to it, cut across one axis; angles are the eccentric ones."""

    __slots__ = ("_curve", "_i", "_middle", "_reach", "_top", "high_mm", "low_mm")

    def __init__(self, curve: Ellipse, axis: Axis) -> None:
        self._i = 0 if axis == "x" else 1
        towards = 0.0 if axis == "x" else 0.5 * math.pi
        self._curve = curve
        self._middle = curve.centre[self._i]
        self._reach = curve.reach_mm(towards)
        self.low_mm, self.high_mm = self._middle - self._reach, self._middle + self._reach
        local = towards - curve.turn_rad
        self._top = math.atan2(curve.semi_y_mm * math.sin(local), curve.semi_x_mm * math.cos(local))

    def _point(self, angle: float) -> tuple[float, float, float]:
        """Along and across the axis, and the rate of the latter with the angle."""
        curve = self._curve
        c, s = math.cos(angle), math.sin(angle)
        a, b, d = curve.semi_x_mm, curve.semi_y_mm, curve.offset_mm
        speed = math.hypot(a * s, b * c)
        x, y = (a + d * b / speed) * c, (b + d * a / speed) * s
        stretch = 1.0 + d * a * b / speed**3
        dx, dy = -a * s * stretch, b * c * stretch
        ct, st = math.cos(curve.turn_rad), math.sin(curve.turn_rad)
        point = (curve.centre[0] + x * ct - y * st, curve.centre[1] + x * st + y * ct)
        rate = (dx * ct - dy * st, dx * st + dy * ct)
        return point[self._i], point[1 - self._i], rate[1 - self._i]

    def _meet(self, at: float, hand: float) -> float:
        """The angle at which the curve meets the cut, going from its furthest point round to one hand."""
        if self._curve.offset_mm == 0.0:
            return self._top + hand * math.acos(min(1.0, max(-1.0, (at - self._middle) / self._reach)))
        near, far = 0.0, math.pi
        for _ in range(60):
            half = 0.5 * (near + far)
            if self._point(self._top + hand * half)[0] > at:
                near = half
            else:
                far = half
        return self._top + hand * near

    def chords(self, at: float) -> Chords:
        """The one stretch inside the curve."""
        ends = [self._point(self._meet(at, hand))[1] for hand in (-1.0, 1.0)]
        return ((min(ends), max(ends)),)

    def beyond(self, at: float) -> tuple[float, float]:
        """Green's theorem between the two meets, quarter by quarter: ∫X dY and ½∫X² dY."""
        if at <= self.low_mm:
            area = self._curve.area_mm2
            return area, area * (self._middle - at)
        low, high = self._meet(at, -1.0), self._meet(at, 1.0)
        quarter = 0.5 * math.pi
        stops = [
            low,
            *(quarter * k for k in range(math.ceil(low / quarter), math.ceil(high / quarter))),
            high,
        ]
        area = moment = 0.0
        for start, end in pairwise(stops):
            for angle, weight in nodes(start, end, _OVAL_NODES):
                along, _, rate = self._point(angle)
                area += weight * (along - at) * rate
                moment += weight * 0.5 * (along - at) ** 2 * rate
        mirror = 1.0 if self._i == 0 else -1.0
        return mirror * area, mirror * moment
