"""Contours cut by a line across: where it crosses them, and what lies beyond it, in closed form.

`axis` "x" cuts along the line x = at (the chords run along y), "y" along y = at. A cut exactly through a
corner is taken as the limit from below.
"""

from __future__ import annotations

import math
from functools import cached_property
from itertools import pairwise

import numpy as np

from quoting.engine.plane.contour import Contour, Ellipse
from quoting.engine.plane.quadrature import nodes
from quoting.engine.plane.sweep import Columns, beyond, columns, crossings
from quoting.engine.plane.turned import Axis, pieces_of

Chords = tuple[tuple[float, float], ...]
_OVAL_NODES = 24


class CutContour:
    """A contour made ready for many cuts across one axis."""

    def __init__(self, contour: Contour, axis: Axis) -> None:
        self.pieces = pieces_of(contour, axis)
        """Lines and arcs; none for an oval."""
        self._axis: Axis = axis
        self._oval = None if self.pieces or contour.curve is None else _Oval(contour.curve, axis)
        if self._oval is not None:
            self.low_mm, self.high_mm = self._oval.low_mm, self._oval.high_mm
        else:
            # Arcs are split at their extremes, so the ends of the pieces reach as far as the contour does.
            alongs = [piece[0] for piece in self.pieces]
            self.low_mm, self.high_mm = min(alongs), max(alongs)

    @cached_property
    def columns(self) -> Columns:
        """The lines and arcs, for many cuts at once."""
        return columns(self.pieces, self._axis)

    def chords(self, at_mm: float) -> Chords:
        """The stretches of the cut inside the contour, in order."""
        if not self.low_mm < at_mm <= self.high_mm:
            return ()
        if self._oval is not None:
            return self._oval.chords(at_mm)
        meets = np.sort(crossings(self.columns, np.array([at_mm])).across).tolist()
        return tuple(zip(meets[::2], meets[1::2], strict=True))

    def beyond(self, at_mm: float) -> tuple[float, float]:
        """Area in mm² beyond the cut and its first moment about it in mm³."""
        if at_mm >= self.high_mm:
            return 0.0, 0.0
        if self._oval is not None:
            return self._oval.beyond(at_mm)
        area, moment = beyond(self.columns, np.array([at_mm]), np.ones(len(self.pieces)))
        return float(area[0]), float(moment[0])

    @property
    def breaks(self) -> tuple[float, ...]:
        """Where along the axis the outline changes its course: ends of sides and arcs, and both extremes."""
        return tuple(sorted({self.low_mm, self.high_mm, *(piece[0] for piece in self.pieces)}))


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
